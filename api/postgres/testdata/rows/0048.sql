-- A row of one workshop in every table of migration 0048, which stands on the rows of 0001.
INSERT INTO valuations (workshop_id, id, instrument_id, number, returns, price, to_complete, to_sell, cost, carrying, carrying_now, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000095', '{w}0000000-0000-7000-8000-000000000013', 1, 0, 200000, 60000, 20000, 150000, 150000, 120000,
        '2026-10-25', '2026-10-25', 'two offers', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO losses (workshop_id, instrument_id, kind, carrying, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000013', 'stolen', 120000, '2026-10-25', '2026-10-25', 'from the store',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
