-- A row of one workshop in every table of migration 0047, which stands on the rows of 0001 and 0003.
INSERT INTO consignments (workshop_id, id, instrument_id, number, owner_id, share, least_commission, borne, least_price, effective_on, reference, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000094', '{w}0000000-0000-7000-8000-000000000013', 1, '{w}0000000-0000-7000-8000-00000000001a', 0.25, 150000, 60000,
        NULL, '2026-10-25', '', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO consignment_ends (workshop_id, consignment_id, stays, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000094', false, '2026-10-25', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
