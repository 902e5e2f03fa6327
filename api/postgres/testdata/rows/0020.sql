-- A row of one workshop in every table of migration 0020, which stands on the
-- rows of 0001.
INSERT INTO confirmations (workshop_id, key, confirmed_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', 'holidays', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
