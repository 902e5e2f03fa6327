-- A row of one workshop in every table of migration 0052, which stands on the rows of 0001, 0003 and 0033.
INSERT INTO opening_balances (workshop_id, id, number, opened_on, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000096', 1, '2026-10-01', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO opening_files (workshop_id, opening_id, place, name, hash, rows, totals)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000096', 1, 'pianos.csv', sha256('pianos'::bytea), 1, '[{"column": "purchase_price", "minor": 250000}]');
INSERT INTO opening_rows (workshop_id, opening_id, number, file, line, kind, record_id, happened_on, value, billed)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000096', 1, 'pianos.csv', 2, 'instrument', '{w}0000000-0000-7000-8000-000000000013', '2026-05-01', 250000, 0);
INSERT INTO opening_reversals (workshop_id, opening_id, why, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000096', 'the wrong file', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
