-- A row of one workshop in the table of migration 0041, which stands on the rows of 0001.
INSERT INTO showroom_prices (workshop_id, id, instrument_id, price, effective_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000091', '{w}0000000-0000-7000-8000-000000000013', 960000, '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002',
        '2026-10-25 00:30Z');
