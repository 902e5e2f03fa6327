-- Hours as records: who worked how long on which day, on a task or as a standing
-- duty. Entries are added and never changed; one that takes back another names it.
-- A week's pending entries are approved together, by an act that is a record too.
--
-- The day of posting will belong to the approval, since only approved hours are
-- posted; it comes with the periods of the books.

CREATE TABLE time_entries (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  person_id   uuid NOT NULL,
  job_id      uuid,
  operation   text,
  duty        text NOT NULL CONSTRAINT time_entries_duty_known CHECK (duty IN ('', 'upkeep', 'training', 'waiting', 'administration', 'surveying', 'selling', 'service', 'other')),
  worked_on   date NOT NULL,
  minutes     integer NOT NULL CONSTRAINT time_entries_minutes_in_a_day CHECK (minutes <> 0 AND minutes BETWEEN -1440 AND 1440),
  from_minute integer,
  to_minute   integer,
  rework      text NOT NULL CONSTRAINT time_entries_rework_known CHECK (rework IN ('', 'normal', 'abnormal')),
  note        text NOT NULL,
  reason      text NOT NULL,
  ahead       text[] NOT NULL,
  correction  text NOT NULL,
  reverses    uuid,
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT time_entries_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT time_entries_whole_task CHECK ((job_id IS NULL) = (operation IS NULL)),
  CONSTRAINT time_entries_task_or_duty CHECK ((job_id IS NULL) = (duty <> '')),
  CONSTRAINT time_entries_rework_of_a_task CHECK (rework = '' OR job_id IS NOT NULL),
  CONSTRAINT time_entries_clock_whole CHECK ((from_minute IS NULL) = (to_minute IS NULL)),
  CONSTRAINT time_entries_clock_in_a_day CHECK (from_minute >= 0 AND to_minute <= 1440 AND to_minute - from_minute >= minutes),
  CONSTRAINT time_entries_reversal_takes_back CHECK ((reverses IS NULL) = (minutes > 0)),
  CONSTRAINT time_entries_reversal_says_why CHECK (reverses IS NULL OR correction <> ''),
  CONSTRAINT time_entries_reversal_without_clock CHECK (reverses IS NULL OR from_minute IS NULL),
  CONSTRAINT time_entries_person_fkey FOREIGN KEY (workshop_id, person_id) REFERENCES people (workshop_id, id),
  CONSTRAINT time_entries_task_fkey FOREIGN KEY (workshop_id, job_id, operation) REFERENCES tasks (workshop_id, job_id, operation),
  CONSTRAINT time_entries_reverses_fkey FOREIGN KEY (workshop_id, reverses) REFERENCES time_entries (workshop_id, id)
);
COMMENT ON TABLE time_entries IS 'Time that a person worked on a day, in minutes; below zero, what is taken back of another entry.';
COMMENT ON COLUMN time_entries.duty IS 'The standing duty; empty where it was a task of a job.';
COMMENT ON COLUMN time_entries.from_minute IS 'When the work began, in minutes of the day; NULL: not said. Entries of one person with such times don''t overlap.';
COMMENT ON COLUMN time_entries.correction IS 'Why it corrects the record: it takes back, or it came to a week that was approved. Else empty.';
CREATE INDEX time_entries_person_idx ON time_entries (workshop_id, person_id, worked_on);
CREATE INDEX time_entries_job_idx ON time_entries (workshop_id, job_id, recorded_at, id);
CREATE INDEX time_entries_reason_idx ON time_entries (workshop_id, job_id, operation, recorded_at, id) WHERE reason <> '';
CREATE INDEX time_entries_reverses_idx ON time_entries (workshop_id, reverses) WHERE reverses IS NOT NULL;
CALL protect('time_entries');
CALL append_only('time_entries');

CREATE TABLE time_approvals (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  person_id   uuid NOT NULL,
  week        date NOT NULL CONSTRAINT time_approvals_week_is_monday CHECK (extract(isodow FROM week) = 1),
  minutes     integer NOT NULL,
  entries     integer NOT NULL CONSTRAINT time_approvals_of_something CHECK (entries > 0),
  note        text NOT NULL,
  approved_by uuid NOT NULL,
  approved_at timestamptz NOT NULL,
  CONSTRAINT time_approvals_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT time_approvals_person_fkey FOREIGN KEY (workshop_id, person_id) REFERENCES people (workshop_id, id)
);
COMMENT ON TABLE time_approvals IS 'Each time that somebody approved what was pending of a person''s week.';
COMMENT ON COLUMN time_approvals.week IS 'The Monday of the week.';
COMMENT ON COLUMN time_approvals.minutes IS 'What the approved entries come to; below zero where more was taken back than entered.';
CREATE INDEX time_approvals_week_idx ON time_approvals (workshop_id, person_id, week);
CALL protect('time_approvals');
CALL append_only('time_approvals');

CREATE TABLE time_approved (
  workshop_id uuid NOT NULL,
  entry_id    uuid NOT NULL,
  approval_id uuid NOT NULL,
  CONSTRAINT time_approved_pkey PRIMARY KEY (workshop_id, entry_id),
  CONSTRAINT time_approved_entry_fkey FOREIGN KEY (workshop_id, entry_id) REFERENCES time_entries (workshop_id, id),
  CONSTRAINT time_approved_approval_fkey FOREIGN KEY (workshop_id, approval_id) REFERENCES time_approvals (workshop_id, id)
);
COMMENT ON TABLE time_approved IS 'Which entries an approval holds for; an entry without a row here is pending.';
CREATE INDEX time_approved_approval_idx ON time_approved (workshop_id, approval_id);
CALL protect('time_approved');
CALL append_only('time_approved');

-- The hours of a task are what was stated before anybody booked them, and the kept
-- total of its entries, which every entry adds to under the lock of the job.
ALTER TABLE tasks ADD COLUMN booked_minutes bigint NOT NULL DEFAULT 0 CONSTRAINT tasks_booked_positive CHECK (booked_minutes >= 0);
COMMENT ON COLUMN tasks.booked_minutes IS 'The sum of its time entries.';
COMMENT ON COLUMN tasks.done_hours IS 'Person-hours stated in a sum: when the job was taken over, or before hours were entered by person and day.';
