-- The books are closed through a day, and nothing counts on that day or before from then on.

CREATE TABLE books (
  workshop_id    uuid NOT NULL,
  closed_through date,
  CONSTRAINT books_pkey PRIMARY KEY (workshop_id),
  CONSTRAINT books_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE books IS 'Through which day the books are closed; NULL: through none. Whatever counts in the books locks the row for share, before any part, order, instrument or job, and closing locks it alone. It is made by the first who needs it.';
CALL protect('books');
GRANT SELECT, INSERT, UPDATE ON books TO bentside_service;

CREATE TABLE book_closings (
  workshop_id    uuid NOT NULL,
  id             uuid NOT NULL,
  kind           text NOT NULL CONSTRAINT book_closings_kind_known CHECK (kind IN ('closed', 'reopened')),
  from_day       date,
  through        date NOT NULL,
  closed_through date NOT NULL,
  note           text NOT NULL,
  recorded_by    uuid NOT NULL,
  recorded_at    timestamptz NOT NULL,
  CONSTRAINT book_closings_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT book_closings_in_order CHECK (from_day <= through),
  CONSTRAINT book_closings_reopened_from_a_day CHECK (kind = 'closed' OR from_day IS NOT NULL),
  CONSTRAINT book_closings_end CHECK (closed_through = CASE kind WHEN 'closed' THEN through ELSE from_day - 1 END),
  CONSTRAINT book_closings_reopening_says_why CHECK (kind = 'closed' OR note <> ''),
  CONSTRAINT book_closings_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE book_closings IS 'Each time that the books were closed through a day or opened again from one on, one after another under the lock of the row in books.';
COMMENT ON COLUMN book_closings.from_day IS 'The first day that it is about; NULL of the first closing, which is about everything before.';
COMMENT ON COLUMN book_closings.closed_through IS 'The last closed day afterwards.';
CREATE INDEX book_closings_recent_idx ON book_closings (workshop_id, recorded_at, id);
CALL protect('book_closings');
CALL append_only('book_closings');

-- The second wall; the first is that every posting day is worked out under the lock. It takes the
-- same lock, so that whoever forgot the first one takes turns with a closing all the same.
CREATE FUNCTION within_open_books() RETURNS trigger
LANGUAGE plpgsql AS $$
DECLARE closed date;
BEGIN
  SELECT closed_through INTO closed FROM books WHERE workshop_id = NEW.workshop_id FOR SHARE;
  IF NEW.posted_on <= closed THEN
    RAISE EXCEPTION 'the books are closed through %', closed
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'within_open_books';
  END IF;
  RETURN NEW;
END $$;

CREATE FUNCTION ends_in_open_books() RETURNS trigger
LANGUAGE plpgsql AS $$
DECLARE closed date;
BEGIN
  SELECT closed_through INTO closed FROM books WHERE workshop_id = NEW.workshop_id FOR SHARE;
  IF NEW.closing_posted_on <= closed THEN
    RAISE EXCEPTION 'the books are closed through %', closed
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'within_open_books';
  END IF;
  RETURN NEW;
END $$;

-- The day of posting of the records that had none: NULL on records from before is their own day,
-- of an approval the day on which it was given.
ALTER TABLE time_approvals ADD COLUMN posted_on date;
ALTER TABLE deliveries ADD COLUMN posted_on date CONSTRAINT deliveries_posted_after_it_came CHECK (posted_on >= delivered_on);
ALTER TABLE supplier_returns ADD COLUMN posted_on date CONSTRAINT supplier_returns_posted_after_it_went CHECK (posted_on >= returned_on);
ALTER TABLE supplier_bills ADD COLUMN posted_on date CONSTRAINT supplier_bills_posted_after_its_day CHECK (posted_on >= billed_on);
ALTER TABLE supplier_payments ADD COLUMN posted_on date CONSTRAINT supplier_payments_posted_after_it_was_paid CHECK (posted_on >= paid_on);
ALTER TABLE deposit_moves ADD COLUMN posted_on date CONSTRAINT deposit_moves_posted_after_its_day CHECK (posted_on >= effective_on);
COMMENT ON COLUMN time_approvals.posted_on IS 'The day on which what the hours cost counts in the books; NULL: the day of the approval.';
COMMENT ON COLUMN deliveries.posted_on IS 'The day on which it counts in the books; NULL: delivered_on.';
COMMENT ON COLUMN supplier_returns.posted_on IS 'The day on which it counts in the books; NULL: returned_on.';
COMMENT ON COLUMN supplier_bills.posted_on IS 'The day on which it counts in the books; NULL: billed_on.';
COMMENT ON COLUMN supplier_payments.posted_on IS 'The day on which it counts in the books; NULL: paid_on.';
COMMENT ON COLUMN deposit_moves.posted_on IS 'The day on which it counts in the books; NULL: effective_on.';

CREATE TRIGGER within_open_books BEFORE INSERT ON cost_lines FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON cost_documents FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON stock_moves FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON time_approvals FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON deliveries FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON supplier_returns FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON supplier_bills FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON supplier_payments FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON deposit_moves FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON sales FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON hand_overs FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON consignment_ends FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON valuations FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON losses FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON sale_returns FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE UPDATE OF closing_posted_on ON jobs FOR EACH ROW EXECUTE FUNCTION ends_in_open_books();

-- When the end of a job was recorded, beside the day on which it counts.
COMMENT ON COLUMN jobs.closing_posted_on IS 'The day on which the closing counts in the books; NULL: not closed, or closed before this was kept, on closed_on.';
ALTER TABLE jobs ADD COLUMN closing_recorded_at timestamptz;
COMMENT ON COLUMN jobs.closing_recorded_at IS 'When the closing was recorded; NULL: not closed, or not known.';
UPDATE jobs j
SET closing_recorded_at = e.recorded_at
FROM events e
WHERE e.workshop_id = j.workshop_id AND e.subject = j.id AND e.kind = 'job.closed' AND j.closed_on IS NOT NULL;
