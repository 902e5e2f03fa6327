DROP TABLE quotation_answers, quotation_options, quotations, promise_outcomes, promises, proposal_decisions, proposals, spending_limits,
  suspensions, task_progress;
ALTER TABLE tasks DROP COLUMN place, DROP COLUMN line, DROP COLUMN done_hours, DROP COLUMN dropped;
ALTER TABLE jobs
  DROP CONSTRAINT jobs_place_key,
  DROP COLUMN state, DROP COLUMN outcome, DROP COLUMN closed_on, DROP COLUMN depth, DROP COLUMN settled, DROP COLUMN edits,
  DROP COLUMN baseline;
CREATE INDEX jobs_queue_idx ON jobs (workshop_id, place, id);
