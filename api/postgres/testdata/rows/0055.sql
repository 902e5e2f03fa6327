-- A row of one workshop in every table of migration 0055, which stands on the rows of 0001 and 0003.
INSERT INTO invoice_numbers (workshop_id, last)
VALUES ('{w}0000000-0000-7000-8000-000000000001', 1);
INSERT INTO client_invoices (workshop_id, id, number, job_id, kind, of_id, party_id, stage, net, rate, tax, deposit, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-0000000000b1', 1, '{w}0000000-0000-7000-8000-000000000018', 'invoice', NULL, '{w}0000000-0000-7000-8000-00000000001a',
        'strings and pins', 100000, 0.2, 20000, 0, '2026-10-25', '2026-10-25', '', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
INSERT INTO job_settlements (workshop_id, job_id, effective_on, posted_on, note, recorded_by, recorded_at)
VALUES ('{w}0000000-0000-7000-8000-000000000001', '{w}0000000-0000-7000-8000-000000000018', '2026-10-25', '2026-10-25', 'agreed on the telephone', '{w}0000000-0000-7000-8000-000000000002', '2026-10-25 00:30Z');
