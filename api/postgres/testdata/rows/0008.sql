-- A row of one workshop in every table of migration 0008, which stands on the
-- rows of 0002.
INSERT INTO joins (workshop_id, id, joined_on, recorded_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000081', '2026-10-25',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO openings (workshop_id, job_id, join_id, original_price, cost_so_far, deposit)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000018',
        '{w}0000000-0000-7000-8000-000000000081', 250000, 120000, NULL);
