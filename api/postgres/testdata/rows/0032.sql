-- A row of one workshop in every table of migration 0032, which stands on the
-- rows of 0002. The entry is approved.
INSERT INTO time_entries (workshop_id, id, person_id, job_id, operation, duty, worked_on, minutes, from_minute, to_minute, rework,
                          note, reason, ahead, correction, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000071', '{w}0000000-0000-7000-8000-000000000011',
        '{w}0000000-0000-7000-8000-000000000018', 'AC-10', '', '2026-10-23', 90, 480, 570, '', '', '', '{}', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
UPDATE tasks SET booked_minutes = 90
WHERE job_id = '{w}0000000-0000-7000-8000-000000000018' AND operation = 'AC-10';
INSERT INTO time_approvals (workshop_id, id, person_id, week, minutes, entries, note, approved_by, approved_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000072', '{w}0000000-0000-7000-8000-000000000011',
        '2026-10-19', 90, 1, '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO time_approved (workshop_id, entry_id, approval_id)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000071', '{w}0000000-0000-7000-8000-000000000072');
