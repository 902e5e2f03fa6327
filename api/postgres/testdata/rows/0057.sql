-- A row of one workshop in every table of migration 0057, which stands on the rows of 0001.
INSERT INTO overhead_costs (workshop_id, id, kind, amount, minutes, effective_on, posted_on, source_kind, source_id, origin_id, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a1', 'rent', 85000, 0, '2026-10-01', '2026-10-01', 'record',
        '{w}0000000-0000-7000-8000-0000000000a1', '{w}0000000-0000-7000-8000-0000000000a1', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
