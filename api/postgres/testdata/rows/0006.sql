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
INSERT INTO spending_limits (workshop_id, id, job_id, amount, party_id, agreed_on, how, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000063', '{w}0000000-0000-7000-8000-000000000018', 40000, '{w}0000000-0000-7000-8000-00000000001a', '2026-10-25', 'in the letter', '2026-10-25 00:30Z');
INSERT INTO proposals (workshop_id, id, job_id, says, change, price, answer_by, suspension_id, proposed_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000064', '{w}0000000-0000-7000-8000-000000000018', 'the flanges are loose',
        sha256('catalogue of {w}'), 12000, '2026-11-09', '{w}0000000-0000-7000-8000-000000000062', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO proposal_decisions (workshop_id, proposal_id, accepted, reason, party_id, given_on, how, decided_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000064', true, 'they wobble', '{w}0000000-0000-7000-8000-00000000001a', '2026-10-25', 'by letter',
        '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO promises (workshop_id, id, job_id, what, due, party_id, confidence, promised_on, promised_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000065', '{w}0000000-0000-7000-8000-000000000018', 'ready to be played', '2026-12-20',
        '{w}0000000-0000-7000-8000-00000000001a', 0.8, '2026-10-25', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO promise_outcomes (workshop_id, promise_id, withdrawn, happened_on, why, recorded_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000065', false, '2026-12-18', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO quotations (workshop_id, id, instrument_id, party_id, quoted_on, valid_until, deposit, note, quoted_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000066', '{w}0000000-0000-7000-8000-000000000013', '{w}0000000-0000-7000-8000-00000000001a', '2026-10-25', '2026-11-25',
        50000, '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO quotation_options (workshop_id, quotation_id, number, scope_id, scope_version, title, net, tax_rate, tax)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000066', 1, '{w}0000000-0000-7000-8000-000000000016', 1, 'reconditioned', 400000, 0.2, 80000);
INSERT INTO quotation_answers (workshop_id, quotation_id, accepted, option, answered_on, note, recorded_by, created_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000066', true, 1, '2026-10-26', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
