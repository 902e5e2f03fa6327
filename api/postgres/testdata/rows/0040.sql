-- A row of one workshop in every table of migration 0040, which stands on the
-- rows of 0001, 0002 and 0006.
INSERT INTO cost_rates (workshop_id, id, from_day, labour, labour_by_skill, notional, overhead, normal_hours, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000081', '2026-01-01', 24, '{}', NULL, 18, 1600, '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO cost_documents (workshop_id, id, kind, instrument_id, job_id, operation, party_id, reference, purpose, amount, tax, of_id, open_regimes, margin_price, effective_on, posted_on,
                            note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000082', 'purchase', '{w}0000000-0000-7000-8000-000000000013', NULL, '', NULL, 'lot 114', 'acquisition', 480000, 0, NULL,
        '{margin,standard}', 480000, '2026-10-25', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO cost_lines (workshop_id, id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, quantity, unit, rate, effective_on, posted_on, source_kind, source_id, number,
                        origin_id, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000083', '{w}0000000-0000-7000-8000-000000000013', NULL, '', 'duty', 'acquisition', true, 400000, 0, NULL, '', NULL,
        '2026-10-25', '2026-10-25', 'document', '{w}0000000-0000-7000-8000-000000000082', 1, '{w}0000000-0000-7000-8000-000000000082', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO cost_totals (workshop_id, instrument_id, job_id, operation, kind, purpose, inventory, amount, minutes, lines)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000013', '00000000-0000-0000-0000-000000000000', '', 'duty', 'acquisition', true, 400000, 0, 1);
