-- A row of one workshop in every table of migration 0011, which stands on the
-- rows of 0002.
INSERT INTO absences (workshop_id, id, person_id, first_day, last_day, why, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000111', '{w}0000000-0000-7000-8000-000000000011',
        '2026-12-21', '2027-01-08', 'at home', '2026-10-25 00:30Z');
