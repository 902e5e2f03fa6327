-- Jobs in full: what was planned when the work was accepted and is never
-- changed, how far each task has come and who said so, what was suspended, and
-- how the job ended.

-- Two scopes that were accepted at once could get the same place; whoever came
-- first keeps it, and from now on no two jobs share one.
UPDATE jobs j
SET place = n.place
FROM (SELECT workshop_id, id, row_number() OVER (PARTITION BY workshop_id ORDER BY place, created_at, id) AS place FROM jobs) n
WHERE n.workshop_id = j.workshop_id AND n.id = j.id AND n.place <> j.place;

ALTER TABLE jobs
  ADD COLUMN state text NOT NULL DEFAULT 'open' CONSTRAINT jobs_state_known CHECK (state IN ('open', 'held', 'closed')),
  ADD COLUMN outcome text NOT NULL DEFAULT '' CONSTRAINT jobs_outcome_known CHECK (outcome IN ('', 'finished', 'abandoned', 'parted_out')),
  ADD COLUMN closed_on date,
  ADD COLUMN depth text NOT NULL DEFAULT '' CONSTRAINT jobs_depth_known CHECK (depth IN ('', 'as_found', 'recondition', 'restore')),
  ADD COLUMN settled jsonb,
  ADD COLUMN edits jsonb NOT NULL DEFAULT '[]',
  ADD COLUMN baseline bytea,
  ADD CONSTRAINT jobs_closed_whole CHECK ((state = 'closed') = (closed_on IS NOT NULL) AND (state = 'closed') = (outcome <> '')),
  ADD CONSTRAINT jobs_place_key UNIQUE (workshop_id, place),
  ADD CONSTRAINT jobs_baseline_fkey FOREIGN KEY (workshop_id, baseline) REFERENCES documents (workshop_id, hash);
COMMENT ON COLUMN jobs.settled IS 'How the choices of the job''s lines are settled. NULL: accepted before a job kept its lines, which are then drawn up from its scope.';
COMMENT ON COLUMN jobs.edits IS 'The edits of the proposals that were accepted, on top of those of the scope.';
COMMENT ON COLUMN jobs.baseline IS 'The document of what was planned at the acceptance: hours, cost, dates.';
DROP INDEX jobs_queue_idx;

ALTER TABLE tasks
  ADD COLUMN place integer NOT NULL DEFAULT 0,
  ADD COLUMN line jsonb,
  ADD COLUMN done_hours numeric(12,4) NOT NULL DEFAULT 0 CONSTRAINT tasks_done_positive CHECK (done_hours >= 0),
  ADD COLUMN dropped boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN tasks.place IS 'The place in the order of the catalogue.';
COMMENT ON COLUMN tasks.line IS 'The line that the task is for, as it was accepted. NULL: accepted before a job kept its lines.';
COMMENT ON COLUMN tasks.dropped IS 'An accepted proposal took the task out of the job.';

CREATE TABLE task_progress (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  job_id      uuid NOT NULL,
  operation   text NOT NULL,
  done_hours  numeric(12,4) NOT NULL CONSTRAINT task_progress_done_positive CHECK (done_hours >= 0),
  left_hours  numeric(12,4) NOT NULL CONSTRAINT task_progress_left_positive CHECK (left_hours >= 0),
  finished    boolean NOT NULL,
  worked_on   date NOT NULL,
  person_id   uuid,
  note        text NOT NULL,
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT task_progress_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT task_progress_finished_has_nothing_left CHECK (NOT finished OR left_hours = 0),
  CONSTRAINT task_progress_task_fkey FOREIGN KEY (workshop_id, job_id, operation) REFERENCES tasks (workshop_id, job_id, operation),
  CONSTRAINT task_progress_person_fkey FOREIGN KEY (workshop_id, person_id) REFERENCES people (workshop_id, id)
);
COMMENT ON TABLE task_progress IS 'Each word on a task: the person-hours done so far and left, for which day, by whom. The last one holds.';
CREATE INDEX task_progress_task_idx ON task_progress (workshop_id, job_id, operation, recorded_at, id);
CALL protect('task_progress');
CALL append_only('task_progress');

CREATE TABLE suspensions (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  job_id        uuid NOT NULL,
  operation     text,
  why           text NOT NULL CONSTRAINT suspensions_why_given CHECK (why <> ''),
  until         date NOT NULL,
  keeps_station boolean NOT NULL,
  created_at    timestamptz NOT NULL,
  ended_at      timestamptz,
  ended_why     text NOT NULL DEFAULT '',
  CONSTRAINT suspensions_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT suspensions_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT suspensions_task_fkey FOREIGN KEY (workshop_id, job_id, operation) REFERENCES tasks (workshop_id, job_id, operation)
);
COMMENT ON TABLE suspensions IS 'Work that rests: a task, or the whole job where no operation is named; until which day, and whether the task keeps its station meanwhile.';
CREATE UNIQUE INDEX suspensions_open_key ON suspensions (workshop_id, job_id, coalesce(operation, '')) WHERE ended_at IS NULL;
CREATE INDEX suspensions_job_idx ON suspensions (workshop_id, job_id, created_at, id);
CALL protect('suspensions');
GRANT SELECT, INSERT, UPDATE ON suspensions TO bentside_service;

CREATE TABLE spending_limits (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  job_id      uuid NOT NULL,
  amount      bigint NOT NULL CONSTRAINT spending_limits_amount_positive CHECK (amount >= 0),
  party_id    uuid NOT NULL,
  agreed_on   date NOT NULL,
  how         text NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT spending_limits_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT spending_limits_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT spending_limits_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id)
);
COMMENT ON TABLE spending_limits IS 'What clients agreed beforehand to spend on variations without being asked; the last one of a job holds. Amounts in minor units of the workshop''s currency.';
CREATE INDEX spending_limits_job_idx ON spending_limits (workshop_id, job_id, created_at, id);
CALL protect('spending_limits');
CALL append_only('spending_limits');

CREATE TABLE proposals (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  job_id        uuid NOT NULL,
  says          text NOT NULL CONSTRAINT proposals_says_given CHECK (says <> ''),
  change        bytea NOT NULL,
  price         bigint,
  answer_by     date,
  suspension_id uuid,
  proposed_by   uuid NOT NULL,
  created_at    timestamptz NOT NULL,
  CONSTRAINT proposals_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT proposals_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT proposals_change_fkey FOREIGN KEY (workshop_id, change) REFERENCES documents (workshop_id, hash),
  CONSTRAINT proposals_suspension_fkey FOREIGN KEY (workshop_id, suspension_id) REFERENCES suspensions (workshop_id, id)
);
COMMENT ON TABLE proposals IS 'Changes of a job that somebody asks for, with the document of what they would do; for a client''s with the price of the variation and the hold that awaits the answer.';
CREATE INDEX proposals_job_idx ON proposals (workshop_id, job_id, created_at, id);
CALL protect('proposals');
CALL append_only('proposals');

CREATE TABLE proposal_decisions (
  workshop_id uuid NOT NULL,
  proposal_id uuid NOT NULL,
  accepted    boolean NOT NULL,
  reason      text NOT NULL CONSTRAINT proposal_decisions_reason_given CHECK (reason <> ''),
  party_id    uuid,
  given_on    date,
  how         text,
  decided_by  uuid NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT proposal_decisions_pkey PRIMARY KEY (workshop_id, proposal_id),
  CONSTRAINT proposal_decisions_consent_whole CHECK (num_nulls(party_id, given_on, how) IN (0, 3)),
  CONSTRAINT proposal_decisions_proposal_fkey FOREIGN KEY (workshop_id, proposal_id) REFERENCES proposals (workshop_id, id),
  CONSTRAINT proposal_decisions_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id)
);
COMMENT ON TABLE proposal_decisions IS 'The answer to each proposal, with the client''s consent where it was needed.';
CALL protect('proposal_decisions');
CALL append_only('proposal_decisions');

CREATE TABLE promises (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  job_id      uuid NOT NULL,
  what        text NOT NULL CONSTRAINT promises_what_given CHECK (what <> ''),
  due         date NOT NULL,
  party_id    uuid,
  confidence  numeric(7,6) CONSTRAINT promises_confidence_share CHECK (confidence BETWEEN 0 AND 1),
  promised_on date NOT NULL,
  promised_by uuid NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT promises_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT promises_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT promises_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id)
);
COMMENT ON TABLE promises IS 'Dates that were given to somebody; never overwritten by a forecast or a later promise.';
CREATE INDEX promises_job_idx ON promises (workshop_id, job_id, created_at, id);
CALL protect('promises');
CALL append_only('promises');

CREATE TABLE promise_outcomes (
  workshop_id uuid NOT NULL,
  promise_id  uuid NOT NULL,
  withdrawn   boolean NOT NULL,
  happened_on date NOT NULL,
  why         text NOT NULL,
  recorded_by uuid NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT promise_outcomes_pkey PRIMARY KEY (workshop_id, promise_id),
  CONSTRAINT promise_outcomes_promise_fkey FOREIGN KEY (workshop_id, promise_id) REFERENCES promises (workshop_id, id)
);
COMMENT ON TABLE promise_outcomes IS 'What became of each promise: met on a day, or withdrawn.';
CALL protect('promise_outcomes');
CALL append_only('promise_outcomes');

CREATE TABLE quotations (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  party_id      uuid NOT NULL,
  quoted_on     date NOT NULL,
  valid_until   date NOT NULL,
  deposit       bigint NOT NULL CONSTRAINT quotations_deposit_positive CHECK (deposit >= 0),
  note          text NOT NULL,
  quoted_by     uuid NOT NULL,
  created_at    timestamptz NOT NULL,
  CONSTRAINT quotations_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT quotations_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT quotations_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id)
);
COMMENT ON TABLE quotations IS 'What clients were offered, until when, and the deposit asked. Amounts in minor units of the workshop''s currency.';
CREATE INDEX quotations_instrument_idx ON quotations (workshop_id, instrument_id, created_at, id);
CALL protect('quotations');
CALL append_only('quotations');

CREATE TABLE quotation_options (
  workshop_id  uuid NOT NULL,
  quotation_id uuid NOT NULL,
  number       integer NOT NULL CONSTRAINT quotation_options_number_positive CHECK (number > 0),
  scope_id     uuid NOT NULL,
  scope_version bigint NOT NULL,
  title        text NOT NULL,
  net          bigint NOT NULL CONSTRAINT quotation_options_net_positive CHECK (net > 0),
  tax_rate     numeric(7,6) NOT NULL CONSTRAINT quotation_options_tax_rate_share CHECK (tax_rate >= 0 AND tax_rate < 1),
  tax          bigint NOT NULL CONSTRAINT quotation_options_tax_positive CHECK (tax >= 0),
  CONSTRAINT quotation_options_pkey PRIMARY KEY (workshop_id, quotation_id, number),
  CONSTRAINT quotation_options_quotation_fkey FOREIGN KEY (workshop_id, quotation_id) REFERENCES quotations (workshop_id, id),
  CONSTRAINT quotation_options_scope_fkey FOREIGN KEY (workshop_id, scope_id) REFERENCES scopes (workshop_id, id)
);
COMMENT ON TABLE quotation_options IS 'The ways that a quotation offers, each a scope at a price; the scope''s version tells whether it has been changed since.';
CALL protect('quotation_options');
CALL append_only('quotation_options');

CREATE TABLE quotation_answers (
  workshop_id  uuid NOT NULL,
  quotation_id uuid NOT NULL,
  accepted     boolean NOT NULL,
  option       integer,
  answered_on  date NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  created_at   timestamptz NOT NULL,
  CONSTRAINT quotation_answers_pkey PRIMARY KEY (workshop_id, quotation_id),
  CONSTRAINT quotation_answers_option_when_accepted CHECK (accepted = (option IS NOT NULL)),
  CONSTRAINT quotation_answers_quotation_fkey FOREIGN KEY (workshop_id, quotation_id) REFERENCES quotations (workshop_id, id),
  CONSTRAINT quotation_answers_option_fkey FOREIGN KEY (workshop_id, quotation_id, option)
    REFERENCES quotation_options (workshop_id, quotation_id, number)
);
COMMENT ON TABLE quotation_answers IS 'The client''s answer to each quotation.';
CALL protect('quotation_answers');
CALL append_only('quotation_answers');
