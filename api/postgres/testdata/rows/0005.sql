-- A row of one workshop in every table of migration 0005, which stands on the
-- rows of 0002.
INSERT INTO offers (workshop_id, id, bid_id, instrument_id, kind, depth, amount, currency, effective_on, reason, note, recorded_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000051',
        '{w}0000000-0000-7000-8000-000000000017', '{w}0000000-0000-7000-8000-000000000013', 'offered', 'recondition', 150000, 'EUR',
        '2026-10-25', '', 'cash', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
