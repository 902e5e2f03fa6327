-- A row of one workshop in every table of migration 0035, which stands on the
-- rows of 0034.
INSERT INTO supplier_bills (workshop_id, id, supplier_id, reference, billed_on, currency, rate, net, tax, total, home_net, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000085', '{w}0000000-0000-7000-8000-00000000001a', 'R 9', '2026-10-26', 'EUR', 1, 1000, 0, 1000, 1000,
        '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-26 00:30Z');
INSERT INTO payables (workshop_id, bill_id, balance, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000085', 900, '2026-10-26 00:30Z');
INSERT INTO supplier_bill_lines (workshop_id, bill_id, place, kind, receipt_id, quantity, unit, units, amount, tax_rate, home, accrued)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000085', 1, 'goods', '{w}0000000-0000-7000-8000-000000000073', 10, 'm', 10, 900, 0, 900, 740);
INSERT INTO supplier_bill_shared (workshop_id, bill_id, place, kind, shared_by, amount, tax_rate, note, home)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000085', 1, 'freight', 'value', 100, 0, '', 100);
INSERT INTO supplier_bill_shares (workshop_id, bill_id, shared, place, receipt_id, home)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000085', 1, 1, '{w}0000000-0000-7000-8000-000000000073', 100);
INSERT INTO supplier_payments (workshop_id, id, bill_id, paid_on, amount, discount, discount_tax, short, rate, home_amount, exchange, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000086', '{w}0000000-0000-7000-8000-000000000085', '2026-10-27', 100, 0, 0, 0, 0, 100, 0, '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-27 00:30Z');
INSERT INTO supplier_adjustments (workshop_id, source_id, receipt_id, bill_id, amount, apart, move_id)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000085', '{w}0000000-0000-7000-8000-000000000073', '{w}0000000-0000-7000-8000-000000000085', 260, 0,
        '{w}0000000-0000-7000-8000-000000000073');
