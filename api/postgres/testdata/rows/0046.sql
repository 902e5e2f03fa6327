-- A row of one workshop in the table of migration 0046, which stands on the rows of 0034.
INSERT INTO order_days (workshop_id, order_id, number, was, expected_on, reason, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000081', 1, '2026-10-23', '2026-10-25', 'short of felt',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-22 00:30Z');
