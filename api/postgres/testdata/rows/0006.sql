-- A row of one workshop in every table of migration 0006, which stands on the
-- rows of 0002.
INSERT INTO task_progress (workshop_id, id, job_id, operation, done_hours, left_hours, finished, worked_on, person_id, note,
                           recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000061',
        '{w}0000000-0000-7000-8000-000000000018', 'AC-10', 0, 12.5, false, '2026-10-25', '{w}0000000-0000-7000-8000-000000000011', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO suspensions (workshop_id, id, job_id, operation, why, until, keeps_station, created_at, ended_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000062',
        '{w}0000000-0000-7000-8000-000000000018', 'AC-10', 'the flanges are late', '2026-11-02', true, '2026-10-25 00:30Z',
        '2026-10-25 00:31Z');
