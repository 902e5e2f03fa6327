-- A row of one workshop in every table of migration 0033, which stands on the
-- rows of 0002 and 0003.
INSERT INTO part_classes (workshop_id, id, name, method, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000071', 'wire', 'fifo', '2026-10-25 00:30Z');
INSERT INTO parts (workshop_id, id, code, name, class_id, unit, purchase_unit, content, minimum, supplier_id, note, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000072', 'W-17', 'wire 17', '{w}0000000-0000-7000-8000-000000000071', 'm', 'coil', 25, 50,
        '{w}0000000-0000-7000-8000-00000000001a', '', '2026-10-25 00:30Z');
INSERT INTO stock_moves (workshop_id, id, part_id, number, kind, quantity, value, entered, unit, held, held_value, moved_on, posted_on, job_id, operation, of_id,
                         supplier_id, reference, note, entries, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000073', '{w}0000000-0000-7000-8000-000000000072', 1, 'receipt', 50, 3700, 2, 'coil', 50, 3700,
        '2026-10-25', '2026-10-25', NULL, '', NULL, '{w}0000000-0000-7000-8000-00000000001a', 'L 12', '', 1, '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO stock_entries (workshop_id, move_id, line, layer_id, out_on, quantity, value)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000073', 1, '{w}0000000-0000-7000-8000-000000000073', NULL, 50, 3700);
INSERT INTO holdings (workshop_id, part_id, moves, quantity, value)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000072', 1, 50, 3700);
INSERT INTO stock_layers (workshop_id, id, part_id, received_on, number, quantity, value)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000073', '{w}0000000-0000-7000-8000-000000000072', '2026-10-25', 1, 50, 3700);
