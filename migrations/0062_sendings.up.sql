-- Things of instruments that went to outside firms, when each is due back, and when it came back.

CREATE TABLE sendings (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  job_id      uuid NOT NULL,
  operations  text[] NOT NULL CONSTRAINT sendings_operations_given CHECK (cardinality(operations) > 0),
  firm_id     uuid NOT NULL,
  what        text NOT NULL CONSTRAINT sendings_what_given CHECK (what <> ''),
  sent_on     date NOT NULL,
  due_on      date NOT NULL,
  country     text NOT NULL,
  note        text NOT NULL,
  out         boolean NOT NULL DEFAULT true,
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT sendings_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT sendings_due_later CHECK (due_on >= sent_on),
  CONSTRAINT sendings_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT sendings_firm_fkey FOREIGN KEY (workshop_id, firm_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT sendings_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE sendings IS 'Something of an instrument that went to an outside firm for work on it. Only due_on and out change, under the lock of the job.';
COMMENT ON COLUMN sendings.operations IS 'The tasks of the job that the firm does.';
COMMENT ON COLUMN sendings.due_on IS 'The newest day on which it is due back; sending_days holds those before.';
COMMENT ON COLUMN sendings.country IS 'Code of the country where the firm has it; empty: not said.';
COMMENT ON COLUMN sendings.out IS 'Whether it has no end yet: follows from sending_ends, kept with it to list by.';
CREATE INDEX sendings_out_idx ON sendings (workshop_id, due_on, id) WHERE out;
CREATE INDEX sendings_job_idx ON sendings (workshop_id, job_id, recorded_at, id);
CALL protect('sendings');
GRANT SELECT, INSERT, UPDATE (due_on, out) ON sendings TO bentside_service;

CREATE TABLE sending_days (
  workshop_id uuid NOT NULL,
  sending_id  uuid NOT NULL,
  number      integer NOT NULL CONSTRAINT sending_days_number_positive CHECK (number > 0),
  was         date NOT NULL,
  due_on      date NOT NULL,
  reason      text NOT NULL CONSTRAINT sending_days_reason_given CHECK (reason <> ''),
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT sending_days_pkey PRIMARY KEY (workshop_id, sending_id, number),
  CONSTRAINT sending_days_sending_fkey FOREIGN KEY (workshop_id, sending_id) REFERENCES sendings (workshop_id, id),
  CONSTRAINT sending_days_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE sending_days IS 'The new days on which something that is out was due back, one after another. was of the first is the day that it began with.';
CALL protect('sending_days');
CALL append_only('sending_days');

CREATE TABLE sending_ends (
  workshop_id uuid NOT NULL,
  sending_id  uuid NOT NULL,
  outcome     text NOT NULL CONSTRAINT sending_ends_outcome_known CHECK (outcome IN ('done', 'undone', 'lost')),
  ended_on    date NOT NULL,
  note        text NOT NULL CONSTRAINT sending_ends_note_given CHECK (note <> '' OR outcome = 'done'),
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT sending_ends_pkey PRIMARY KEY (workshop_id, sending_id),
  CONSTRAINT sending_ends_sending_fkey FOREIGN KEY (workshop_id, sending_id) REFERENCES sendings (workshop_id, id),
  CONSTRAINT sending_ends_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE sending_ends IS 'That something that was out came back, or won''t come back. Each sending ends once.';
CALL protect('sending_ends');
CALL append_only('sending_ends');
