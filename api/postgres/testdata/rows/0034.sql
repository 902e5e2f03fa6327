-- A row of one workshop in every table of migration 0034, which stands on the
-- rows of 0033.
INSERT INTO orders (workshop_id, id, supplier_id, currency, rate, ordered_on, expected_on, reference, note, open, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000081', '{w}0000000-0000-7000-8000-00000000001a', 'EUR', 1, '2026-10-20', '2026-10-25',
        'A 7', '', true, '2026-10-20 00:30Z');
INSERT INTO order_lines (workshop_id, order_id, number, place, part_id, quantity, unit, units, price, operation, delivered, cancelled)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000081', 1, 1, '{w}0000000-0000-7000-8000-000000000072', 4, 'coil', 100, 7400, '', 50, 25);
INSERT INTO order_cancellations (workshop_id, id, order_id, line, units, reason, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000082', '{w}0000000-0000-7000-8000-000000000081', 1, 25, 'no longer made',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-26 00:30Z');
INSERT INTO deliveries (workshop_id, id, order_id, supplier_id, reference, delivered_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000083', '{w}0000000-0000-7000-8000-000000000081', '{w}0000000-0000-7000-8000-00000000001a',
        'L 12', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO arrivals (workshop_id, delivery_id, place, order_id, line, part_id, receipt_id, quantity, unit, units, price, value, reason)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000083', 1, '{w}0000000-0000-7000-8000-000000000081', 1,
        '{w}0000000-0000-7000-8000-000000000072', '{w}0000000-0000-7000-8000-000000000073', 2, 'coil', 50, 3700, 3700, '');
INSERT INTO received (workshop_id, receipt_id, delivered_on, units, returned)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000073', '2026-10-25', 50, 1);
INSERT INTO supplier_returns (workshop_id, id, order_id, line, receipt_id, move_id, quantity, unit, units, replacement, reason, returned_on, reference, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000084', '{w}0000000-0000-7000-8000-000000000081', 1,
        '{w}0000000-0000-7000-8000-000000000073', '{w}0000000-0000-7000-8000-000000000073', 1, 'm', 1, false, 'kinked', '2026-10-26', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-26 00:30Z');
