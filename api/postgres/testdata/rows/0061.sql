-- A row of one workshop in every table of migration 0061, which stands on the rows of 0001 and 0033.
INSERT INTO counter_sales (workshop_id, id, buyer_id, regime, rate, price, tax, reference, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a2', '{w}0000000-0000-7000-8000-00000000001a', 'standard', 0.2, 6000, 1000, 'R 9',
        '2026-10-25', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO counter_sale_lines (workshop_id, sale_id, line, part_id, quantity, unit, price, tax, issue_id)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a2', 1, '{w}0000000-0000-7000-8000-000000000072', 4, 'm', 6000, 1000,
        '{w}0000000-0000-7000-8000-000000000073');
INSERT INTO counter_returns (workshop_id, id, sale_id, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a3', '{w}0000000-0000-7000-8000-0000000000a2', '2026-10-25', '2026-10-25', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO counter_return_lines (workshop_id, return_id, line, quantity, refund, tax, move_id)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000a3', 1, 1, 1500, 250, '{w}0000000-0000-7000-8000-000000000073');
