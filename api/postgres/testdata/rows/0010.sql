-- A row of one workshop in every table of migration 0010, which stands on the
-- document of 0001.
INSERT INTO plans (workshop_id, id, engine, schedules, seed, inputs, result, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000101', '5', 1000, 1,
        sha256('catalogue of {w}'), sha256('catalogue of {w}'), '2026-10-25 00:30Z');
