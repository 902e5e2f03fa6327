-- A row of one workshop in every table of migration 0002, which stands on the
-- rows of 0001.
INSERT INTO people (workshop_id, id, name, skills, productive_share, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000011', 'Bruno Vale', '{bench,finish}', 0.72,
        '2026-10-25 00:30Z');
INSERT INTO stations (workshop_id, id, name, count, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000012', 'booth', 1, '2026-10-25 00:30Z');
INSERT INTO instruments (workshop_id, id, kind, owner, maker, model, serial, stock_number, year, size_mm, notes,
                         last_single, last_pair, covered, covering, finish, colour, decorated, action, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000013', 'grand', 'offered', 'Hartvig & Sohn',
        'IV', '40213', 'S-1', 1911, 1830, 88, 8, 20, 32, 'celluloid', 'shellac', 'walnut', true, 'roller', '2026-10-25 00:30Z');
INSERT INTO surveys (workshop_id, id, instrument_id, taken_on, taken_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000014',
        '{w}0000000-0000-7000-8000-000000000013', '2026-10-25', 'Ada', '2026-10-25 00:30Z');
INSERT INTO findings (workshop_id, id, survey_id, point, place, value, unit, canonical, answer, note, raise, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000015',
        '{w}0000000-0000-7000-8000-000000000014', 'AC-01', 'note 40', 46.5, 'mm', 46.5, '', '', '', '2026-10-25 00:30Z');
INSERT INTO scopes (workshop_id, id, instrument_id, survey_id, revision, depth, edits, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000016',
        '{w}0000000-0000-7000-8000-000000000013', '{w}0000000-0000-7000-8000-000000000014', 1, 'recondition', '[]', '2026-10-25 00:30Z');
INSERT INTO bids (workshop_id, id, instrument_id, survey_id, engine, inputs, result, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000017',
        '{w}0000000-0000-7000-8000-000000000013', '{w}0000000-0000-7000-8000-000000000014', '1',
        sha256('catalogue of {w}'), sha256('catalogue of {w}'), '2026-10-25 00:30Z');
INSERT INTO jobs (workshop_id, id, instrument_id, scope_id, accepted_on, place, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000018',
        '{w}0000000-0000-7000-8000-000000000013', '{w}0000000-0000-7000-8000-000000000016', '2026-10-25', 1, '2026-10-25 00:30Z');
INSERT INTO tasks (workshop_id, job_id, operation, planned, left_hours)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000018', 'AC-10', 12.5, 12.5);
INSERT INTO attachments (workshop_id, id, subject_kind, subject_id, sha256, media_type, bytes, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000019', 'instrument',
        '{w}0000000-0000-7000-8000-000000000013', sha256('a photograph'), 'image/jpeg', 12, '2026-10-25 00:30Z');
