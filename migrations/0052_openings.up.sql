-- Openings: that a workshop began with its books here on a day, with what it had by then.

CREATE TABLE opening_balances (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  number      integer NOT NULL CONSTRAINT opening_balances_number_positive CHECK (number > 0),
  opened_on   date NOT NULL,
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT opening_balances_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT opening_balances_number_key UNIQUE (workshop_id, number),
  CONSTRAINT opening_balances_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id),
  CONSTRAINT opening_balances_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE opening_balances IS 'Each time that a workshop opened its books here. All of them but the last were taken back.';
COMMENT ON COLUMN opening_balances.number IS 'Counts the openings from 1: so of two at once one is refused.';
COMMENT ON COLUMN opening_balances.opened_on IS 'The first day of the books; the balances count on the day before.';
CALL protect('opening_balances');
CALL append_only('opening_balances');

CREATE TABLE opening_files (
  workshop_id uuid NOT NULL,
  opening_id  uuid NOT NULL,
  place       integer NOT NULL CONSTRAINT opening_files_place_positive CHECK (place > 0),
  name        text NOT NULL,
  hash        bytea NOT NULL CONSTRAINT opening_files_hash_sha256 CHECK (octet_length(hash) = 32),
  rows        integer NOT NULL CONSTRAINT opening_files_rows_positive CHECK (rows >= 0),
  totals      jsonb NOT NULL,
  CONSTRAINT opening_files_pkey PRIMARY KEY (workshop_id, opening_id, place),
  CONSTRAINT opening_files_name_key UNIQUE (workshop_id, opening_id, name),
  CONSTRAINT opening_files_opening_fkey FOREIGN KEY (workshop_id, opening_id) REFERENCES opening_balances (workshop_id, id)
);
COMMENT ON TABLE opening_files IS 'The files that an opening came in by.';
COMMENT ON COLUMN opening_files.totals IS 'What each column of amounts adds up to, in minor units: an array of {"column", "minor"}.';
CALL protect('opening_files');
CALL append_only('opening_files');

CREATE TABLE opening_rows (
  workshop_id uuid NOT NULL,
  opening_id  uuid NOT NULL,
  number      integer NOT NULL CONSTRAINT opening_rows_number_positive CHECK (number > 0),
  file        text NOT NULL,
  line        integer NOT NULL CONSTRAINT opening_rows_line_positive CHECK (line > 0),
  kind        text NOT NULL CONSTRAINT opening_rows_kind_known CHECK (kind IN ('instrument', 'stock_move', 'order', 'deposit', 'job')),
  record_id   uuid NOT NULL,
  happened_on date NOT NULL,
  value       bigint NOT NULL,
  used_id     uuid,
  billed      bigint NOT NULL CONSTRAINT opening_rows_billed_positive CHECK (billed >= 0),
  CONSTRAINT opening_rows_pkey PRIMARY KEY (workshop_id, opening_id, number),
  CONSTRAINT opening_rows_line_key UNIQUE (workshop_id, opening_id, file, line),
  CONSTRAINT opening_rows_opening_fkey FOREIGN KEY (workshop_id, opening_id) REFERENCES opening_balances (workshop_id, id)
);
COMMENT ON TABLE opening_rows IS 'What each row of the files of an opening became.';
COMMENT ON COLUMN opening_rows.record_id IS 'The record of its kind.';
COMMENT ON COLUMN opening_rows.happened_on IS 'The day that the row gives, as of the purchase or the receipt.';
COMMENT ON COLUMN opening_rows.value IS 'What it adds to the balance of its file, in minor units of the workshop''s currency.';
COMMENT ON COLUMN opening_rows.used_id IS 'The issue of what of a delivery was used before the opening; NULL: none.';
COMMENT ON COLUMN opening_rows.billed IS 'What had been billed to the client of a job.';
CREATE INDEX opening_rows_record_idx ON opening_rows (workshop_id, record_id);
CREATE INDEX opening_rows_used_idx ON opening_rows (workshop_id, used_id) WHERE used_id IS NOT NULL;
CALL protect('opening_rows');
CALL append_only('opening_rows');

CREATE TABLE opening_reversals (
  workshop_id uuid NOT NULL,
  opening_id  uuid NOT NULL,
  why         text NOT NULL CONSTRAINT opening_reversals_why_given CHECK (why <> ''),
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT opening_reversals_pkey PRIMARY KEY (workshop_id, opening_id),
  CONSTRAINT opening_reversals_opening_fkey FOREIGN KEY (workshop_id, opening_id) REFERENCES opening_balances (workshop_id, id),
  CONSTRAINT opening_reversals_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE opening_reversals IS 'Openings that were taken back as a whole.';
CALL protect('opening_reversals');
CALL append_only('opening_reversals');

ALTER TABLE cost_documents ADD COLUMN opening_id uuid;
ALTER TABLE cost_documents ADD CONSTRAINT cost_documents_opening_fkey FOREIGN KEY (workshop_id, opening_id) REFERENCES opening_balances (workshop_id, id);
COMMENT ON COLUMN cost_documents.opening_id IS 'The opening that it came in with; NULL: none.';
CREATE INDEX cost_documents_opening_idx ON cost_documents (workshop_id, opening_id, recorded_at, id) WHERE opening_id IS NOT NULL;
ALTER TABLE cost_documents DROP CONSTRAINT cost_documents_kind_known;
ALTER TABLE cost_documents ADD CONSTRAINT cost_documents_kind_known
  CHECK (kind IN ('purchase', 'outside_agreed', 'outside_accrued', 'outside_billed', 'other', 'balance', 'reversal'));

ALTER TABLE deposit_moves DROP CONSTRAINT deposit_moves_kind_known;
ALTER TABLE deposit_moves ADD CONSTRAINT deposit_moves_kind_known CHECK (kind IN ('taken', 'applied', 'refunded', 'forfeited', 'reversed'));
