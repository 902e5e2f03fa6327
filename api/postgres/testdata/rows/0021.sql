-- A row of one workshop in every table of migration 0021, which stands on the
-- rows of 0002, 0003 and 0006.
INSERT INTO job_consents (workshop_id, job_id, party_id, given_on, how, agreed_to, scope_version, instead_of, recorded_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000018', '{w}0000000-0000-7000-8000-00000000001a', '2026-10-25', 'by letter',
        'new hammers, the old keys', 1, '{w}0000000-0000-7000-8000-000000000066', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
