-- A row of one workshop in each table of migration 0062, which stand on the rows of 0001 to 0034.
INSERT INTO sendings (workshop_id, id, job_id, operations, firm_id, what, sent_on, due_on, country, note, out, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000b1', '{w}0000000-0000-7000-8000-000000000018',
        '{CS-11}', '{w}0000000-0000-7000-8000-00000000001a', 'hardware', '2026-10-20', '2026-11-10', 'IE', 'in two boxes', false,
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-20 09:30Z');
INSERT INTO sending_days (workshop_id, sending_id, number, was, due_on, reason, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000b1', 1, '2026-11-03', '2026-11-10', 'the bath is being cleaned',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-30 09:30Z');
INSERT INTO sending_ends (workshop_id, sending_id, outcome, ended_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000b1', 'done', '2026-11-09', '',
        '{w}0000000-0000-7000-8000-000000000002', '2026-11-09 09:30Z');
