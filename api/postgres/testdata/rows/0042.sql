-- A row of one workshop in every table of migration 0042, which stands on the rows of 0001 and 0003.
INSERT INTO sales (workshop_id, id, instrument_id, number, buyer_id, price, regime, rate, base, tax, purchase_price, deposits, carrying, stock_number, reference, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000092', '{w}0000000-0000-7000-8000-000000000013', 1, '{w}0000000-0000-7000-8000-00000000001a', 960000, 'margin', 0.2,
        480000, 80000, 480000, 50000, 842929, 'K-7', '', '2026-10-25', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO deposit_moves (workshop_id, id, deposit_id, kind, instrument_id, buyer_id, amount, tax, sale_id, effective_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000093', '{w}0000000-0000-7000-8000-000000000093', 'taken', '{w}0000000-0000-7000-8000-000000000013',
        '{w}0000000-0000-7000-8000-00000000001a', 50000, 0, NULL, '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO hand_overs (workshop_id, sale_id, party_id, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000092', '{w}0000000-0000-7000-8000-00000000001a', '2026-10-25', '2026-10-25', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO sale_returns (workshop_id, sale_id, refund, kept, kept_tax, cost_of_sales, cost_back, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000092', 900000, 60000, 10000, 842929, 842929, '2026-10-25', '2026-10-25', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
