-- Overhead that is under- or over-applied, once it was disposed of: what idle capacity left, which
-- is an expense, and the rest, which is one too or is prorated by lines of cost. One disposition
-- after another is made under the lock of the books, alone, so that none overlaps one that stands.

CREATE TABLE overhead_dispositions (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  from_day     date NOT NULL,
  through      date NOT NULL,
  remainder    text NOT NULL CONSTRAINT overhead_dispositions_remainder_known CHECK (remainder IN ('cost_of_sales', 'prorated')),
  reverses     uuid,
  applied      bigint NOT NULL,
  actual       bigint NOT NULL,
  minutes      bigint NOT NULL,
  normal_hours numeric(20,6) NOT NULL,
  idle_hours   numeric(20,6) NOT NULL,
  idle         bigint NOT NULL,
  spending     bigint NOT NULL,
  in_progress  bigint NOT NULL,
  finished     bigint NOT NULL,
  of_sales     bigint NOT NULL,
  expense      bigint NOT NULL,
  posted_on    date NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT overhead_dispositions_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT overhead_dispositions_in_order CHECK (from_day <= through),
  CONSTRAINT overhead_dispositions_posted_at_its_end CHECK (posted_on = through),
  CONSTRAINT overhead_dispositions_clears_the_account CHECK (idle + spending = actual - applied),
  CONSTRAINT overhead_dispositions_places_add_up CHECK (in_progress + finished + of_sales + expense = spending),
  CONSTRAINT overhead_dispositions_reversal_says_why CHECK (reverses IS NULL OR note <> ''),
  CONSTRAINT overhead_dispositions_reverses_fkey FOREIGN KEY (workshop_id, reverses) REFERENCES overhead_dispositions (workshop_id, id),
  CONSTRAINT overhead_dispositions_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE overhead_dispositions IS 'That the overhead account of a period was cleared, or that this was taken back, with what it was by then. Amounts are minor units of the workshop''s currency. Its cost lines name it as their source.';
COMMENT ON COLUMN overhead_dispositions.reverses IS 'The disposition that it takes back, whose amounts it has with the opposite sign; NULL: none.';
COMMENT ON COLUMN overhead_dispositions.minutes IS 'That were worked on jobs.';
COMMENT ON COLUMN overhead_dispositions.idle IS 'What idle capacity left unabsorbed: an expense, never a cost of stock (IAS 2, paragraph 13).';
COMMENT ON COLUMN overhead_dispositions.spending IS 'The rest of what is under-applied; below zero, over-applied. The four places after it add up to it.';
CREATE INDEX overhead_dispositions_recent_idx ON overhead_dispositions (workshop_id, recorded_at, id);
CREATE UNIQUE INDEX overhead_dispositions_reversed_key ON overhead_dispositions (workshop_id, reverses) WHERE reverses IS NOT NULL;
CALL protect('overhead_dispositions');
CALL append_only('overhead_dispositions');
CREATE TRIGGER within_open_books BEFORE INSERT ON overhead_dispositions FOR EACH ROW EXECUTE FUNCTION within_open_books();

ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_source_known;
ALTER TABLE cost_lines ADD CONSTRAINT cost_lines_source_known
  CHECK (source_kind IN ('time_entry', 'stock_move', 'document', 'offer', 'opening', 'rate_correction', 'supplier_bill', 'supplier_payment', 'overhead_disposition'));
