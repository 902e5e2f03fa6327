-- A row of one workshop in every table of migration 0051, which stands on the rows of 0032.
INSERT INTO rate_corrections (workshop_id, id, from_day, through, why, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000098', '2026-10-19', '2026-10-25', 'the rent went up', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO corrected_rates (workshop_id, correction_id, entry_id, kind, minutes, was, rate, amount)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000098', '{w}0000000-0000-7000-8000-000000000071', 'overhead', 90, 18, 20, 300);
