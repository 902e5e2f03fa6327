-- What clients owe for work on their instruments: invoices against what they accepted, credit notes
-- that take one back, the deposits that they leave for a job, and how a job is settled that was given
-- up. Invoices are numbered without gaps, under the lock of the workshop's row in invoice_numbers,
-- which comes after that of the job and before the head.

ALTER TABLE workshops ADD COLUMN client_revenue text NOT NULL DEFAULT 'over_time'
  CONSTRAINT workshops_client_revenue_known CHECK (client_revenue IN ('over_time', 'on_completion'));
COMMENT ON COLUMN workshops.client_revenue IS 'When what clients pay for work becomes revenue.';

CREATE TABLE invoice_numbers (
  workshop_id uuid NOT NULL,
  last        integer NOT NULL CONSTRAINT invoice_numbers_last_positive CHECK (last > 0),
  CONSTRAINT invoice_numbers_pkey PRIMARY KEY (workshop_id),
  CONSTRAINT invoice_numbers_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE invoice_numbers IS 'The last number of a workshop''s invoices to clients. It is locked until the invoice is kept or never was, so that no number is left out.';
CALL protect('invoice_numbers');
GRANT SELECT, INSERT, UPDATE ON invoice_numbers TO bentside_service;

CREATE TABLE client_invoices (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  number       integer NOT NULL CONSTRAINT client_invoices_number_positive CHECK (number > 0),
  job_id       uuid NOT NULL,
  kind         text NOT NULL CONSTRAINT client_invoices_kind_known CHECK (kind IN ('invoice', 'credit_note')),
  of_id        uuid,
  party_id     uuid NOT NULL,
  stage        text NOT NULL,
  net          bigint NOT NULL,
  rate         numeric(20,6) NOT NULL CONSTRAINT client_invoices_rate_share CHECK (rate >= 0 AND rate < 1),
  tax          bigint NOT NULL,
  deposit      bigint NOT NULL,
  effective_on date NOT NULL,
  posted_on    date NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT client_invoices_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT client_invoices_number_key UNIQUE (workshop_id, number),
  CONSTRAINT client_invoices_credited_once UNIQUE (workshop_id, of_id),
  CONSTRAINT client_invoices_note_of_an_invoice CHECK ((kind = 'credit_note') = (of_id IS NOT NULL)),
  CONSTRAINT client_invoices_signed_by_kind CHECK (CASE kind WHEN 'invoice' THEN net > 0 AND tax >= 0 AND deposit BETWEEN 0 AND net + tax
                                                   ELSE net < 0 AND tax <= 0 AND deposit BETWEEN net + tax AND 0 END),
  CONSTRAINT client_invoices_posted_after_its_day CHECK (posted_on >= effective_on),
  CONSTRAINT client_invoices_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT client_invoices_of_fkey FOREIGN KEY (workshop_id, of_id) REFERENCES client_invoices (workshop_id, id),
  CONSTRAINT client_invoices_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT client_invoices_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE client_invoices IS 'Invoices to clients for work on their instruments, and credit notes, each of which takes one invoice back whole. Amounts in minor units of the workshop''s currency, those of credit notes negative.';
COMMENT ON COLUMN client_invoices.deposit IS 'What of it was paid by deposits that the client had left.';
CREATE INDEX client_invoices_job_idx ON client_invoices (workshop_id, job_id, recorded_at, id);
CALL protect('client_invoices');
CALL append_only('client_invoices');
CREATE TRIGGER within_open_books BEFORE INSERT ON client_invoices FOR EACH ROW EXECUTE FUNCTION within_open_books();

CREATE TABLE job_settlements (
  workshop_id  uuid NOT NULL,
  job_id       uuid NOT NULL,
  effective_on date NOT NULL,
  posted_on    date NOT NULL CONSTRAINT job_settlements_posted_after_its_day CHECK (posted_on >= effective_on),
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT job_settlements_pkey PRIMARY KEY (workshop_id, job_id),
  CONSTRAINT job_settlements_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT job_settlements_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE job_settlements IS 'Clients'' jobs that were given up and settled: what is invoiced stays ours, nothing more is claimed.';
CALL protect('job_settlements');
CALL append_only('job_settlements');
CREATE TRIGGER within_open_books BEFORE INSERT ON job_settlements FOR EACH ROW EXECUTE FUNCTION within_open_books();

-- A client's deposit for a job is a deposit as a buyer's is; an invoice applies it, and the credit
-- note of that restores it.
ALTER TABLE deposit_moves
  ADD COLUMN job_id uuid,
  ADD COLUMN invoice_id uuid,
  DROP CONSTRAINT deposit_moves_kind_known,
  DROP CONSTRAINT deposit_moves_applied_to_a_sale,
  ADD CONSTRAINT deposit_moves_kind_known CHECK (kind IN ('taken', 'applied', 'restored', 'refunded', 'forfeited', 'reversed')),
  ADD CONSTRAINT deposit_moves_applied_to_something CHECK ((kind = 'applied') = (sale_id IS NOT NULL OR invoice_id IS NOT NULL AND kind <> 'restored')),
  ADD CONSTRAINT deposit_moves_restored_by_a_note CHECK (kind <> 'restored' OR invoice_id IS NOT NULL),
  ADD CONSTRAINT deposit_moves_for_a_sale_or_a_job CHECK ((sale_id IS NULL OR job_id IS NULL) AND (invoice_id IS NULL OR job_id IS NOT NULL)),
  ADD CONSTRAINT deposit_moves_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  ADD CONSTRAINT deposit_moves_invoice_fkey FOREIGN KEY (workshop_id, invoice_id) REFERENCES client_invoices (workshop_id, id);
COMMENT ON TABLE deposit_moves IS 'Deposits that buyers left before a sale, and clients for a job, and what became of them. What was taken less the rest is owed to whoever left it. Moves are added under the lock of the instrument, or of the job.';
COMMENT ON COLUMN deposit_moves.job_id IS 'The job that a client left it for; NULL: it is for a sale.';
COMMENT ON COLUMN deposit_moves.invoice_id IS 'The invoice that it was applied to, or the credit note that restored it.';
DROP INDEX deposit_moves_instrument_idx;
CREATE INDEX deposit_moves_instrument_idx ON deposit_moves (workshop_id, instrument_id, recorded_at, id) WHERE kind = 'taken' AND job_id IS NULL;
CREATE INDEX deposit_moves_job_idx ON deposit_moves (workshop_id, job_id, recorded_at, id) WHERE kind = 'taken' AND job_id IS NOT NULL;
CREATE INDEX deposit_moves_invoice_idx ON deposit_moves (workshop_id, invoice_id) WHERE invoice_id IS NOT NULL;

CREATE INDEX jobs_recent_idx ON jobs (workshop_id, created_at, id);
CREATE INDEX quotation_options_scope_idx ON quotation_options (workshop_id, scope_id);
