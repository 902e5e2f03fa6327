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
