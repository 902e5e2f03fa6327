-- The buyer's hour: instruments, surveys, scopes and bids; the crew and the
-- stations that dates depend on; jobs in progress.

CREATE TABLE people (
  workshop_id      uuid NOT NULL,
  id               uuid NOT NULL,
  name             text NOT NULL CONSTRAINT people_name_given CHECK (name <> ''),
  skills           text[] NOT NULL CONSTRAINT people_skilled CHECK (cardinality(skills) > 0),
  productive_share numeric(7,6) NOT NULL CONSTRAINT people_productive_share_sane CHECK (productive_share > 0 AND productive_share <= 1),
  version          bigint NOT NULL DEFAULT 1,
  created_at       timestamptz NOT NULL,
  CONSTRAINT people_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT people_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE people IS 'The crew.';
CALL protect('people');
GRANT SELECT, INSERT, UPDATE ON people TO bentside_service;

CREATE TABLE stations (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  name        text NOT NULL CONSTRAINT stations_name_given CHECK (name <> ''),
  count       integer NOT NULL CONSTRAINT stations_count_sane CHECK (count BETWEEN 1 AND 1000),
  version     bigint NOT NULL DEFAULT 1,
  created_at  timestamptz NOT NULL,
  CONSTRAINT stations_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT stations_name_key UNIQUE (workshop_id, name),
  CONSTRAINT stations_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE stations IS 'Places of limited number: benches, booth, hoist, drying room.';
CALL protect('stations');
GRANT SELECT, INSERT, UPDATE ON stations TO bentside_service;

CREATE TABLE instruments (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  kind         text NOT NULL CONSTRAINT instruments_kind_known CHECK (kind IN ('grand', 'upright')),
  owner        text NOT NULL CONSTRAINT instruments_owner_known CHECK (owner IN ('offered', 'stock', 'client')),
  maker        text NOT NULL,
  model        text NOT NULL,
  serial       text NOT NULL,
  stock_number text,
  year         integer CONSTRAINT instruments_year_sane CHECK (year BETWEEN 1700 AND 2200),
  size_mm      integer NOT NULL CONSTRAINT instruments_size_sane CHECK (size_mm BETWEEN 800 AND 4000),
  notes        integer NOT NULL CONSTRAINT instruments_notes_sane CHECK (notes BETWEEN 49 AND 108),
  last_single  integer,
  last_pair    integer,
  covered      integer,
  covering     text NOT NULL,
  finish       text NOT NULL,
  colour       text NOT NULL,
  decorated    boolean NOT NULL,
  action       text NOT NULL,
  version      bigint NOT NULL DEFAULT 1,
  created_at   timestamptz NOT NULL,
  CONSTRAINT instruments_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT instruments_stock_number_key UNIQUE (workshop_id, stock_number),
  CONSTRAINT instruments_stringing_whole CHECK (num_nulls(last_single, last_pair, covered) IN (0, 3)),
  CONSTRAINT instruments_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE instruments IS 'Pianos: offered to us, ours, or a client''s in our care.';
CREATE INDEX instruments_recent_idx ON instruments (workshop_id, created_at, id);
CALL protect('instruments');
GRANT SELECT, INSERT, UPDATE ON instruments TO bentside_service;

CREATE TABLE surveys (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  taken_on      date NOT NULL,
  taken_by      text NOT NULL,
  version       bigint NOT NULL DEFAULT 1,
  created_at    timestamptz NOT NULL,
  CONSTRAINT surveys_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT surveys_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id)
);
COMMENT ON TABLE surveys IS 'Dated condition records; the version counts every finding added or struck.';
CREATE INDEX surveys_instrument_idx ON surveys (workshop_id, instrument_id, created_at, id);
CALL protect('surveys');
GRANT SELECT, INSERT, UPDATE ON surveys TO bentside_service;

CREATE TABLE findings (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  survey_id   uuid NOT NULL,
  point       text NOT NULL,
  place       text NOT NULL,
  value       numeric(20,6),
  unit        text NOT NULL,
  canonical   numeric(20,6),
  flag        boolean,
  answer      text NOT NULL,
  note        text NOT NULL,
  raise       text NOT NULL CONSTRAINT findings_raise_known CHECK (raise IN ('', 'attention', 'must_act')),
  created_at  timestamptz NOT NULL,
  CONSTRAINT findings_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT findings_survey_fkey FOREIGN KEY (workshop_id, survey_id) REFERENCES surveys (workshop_id, id),
  CONSTRAINT findings_value_with_canonical CHECK (num_nulls(value, canonical) IN (0, 2))
);
COMMENT ON TABLE findings IS 'Observations of survey points: the value as entered with its unit, and in the point''s own unit.';
CREATE INDEX findings_survey_idx ON findings (workshop_id, survey_id, point, id);
CALL protect('findings');
GRANT SELECT, INSERT, DELETE ON findings TO bentside_service;

CREATE TABLE scopes (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  survey_id     uuid NOT NULL,
  revision      integer NOT NULL,
  depth         text NOT NULL CONSTRAINT scopes_depth_known CHECK (depth IN ('as_found', 'recondition', 'restore')),
  edits         jsonb NOT NULL,
  version       bigint NOT NULL DEFAULT 1,
  created_at    timestamptz NOT NULL,
  CONSTRAINT scopes_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT scopes_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT scopes_survey_fkey FOREIGN KEY (workshop_id, survey_id) REFERENCES surveys (workshop_id, id),
  CONSTRAINT scopes_revision_fkey FOREIGN KEY (workshop_id, revision) REFERENCES catalogue_revisions (workshop_id, number)
);
COMMENT ON TABLE scopes IS 'What was decided about an instrument''s work: survey, depth, pinned catalogue revision and the buyer''s edits. The lines follow from these.';
CREATE INDEX scopes_instrument_idx ON scopes (workshop_id, instrument_id, created_at, id);
CALL protect('scopes');
GRANT SELECT, INSERT, UPDATE ON scopes TO bentside_service;

CREATE TABLE bids (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  survey_id     uuid NOT NULL,
  engine        text NOT NULL,
  inputs        bytea NOT NULL,
  result        bytea NOT NULL,
  created_at    timestamptz NOT NULL,
  CONSTRAINT bids_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT bids_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT bids_survey_fkey FOREIGN KEY (workshop_id, survey_id) REFERENCES surveys (workshop_id, id),
  CONSTRAINT bids_inputs_fkey FOREIGN KEY (workshop_id, inputs) REFERENCES documents (workshop_id, hash),
  CONSTRAINT bids_result_fkey FOREIGN KEY (workshop_id, result) REFERENCES documents (workshop_id, hash)
);
COMMENT ON TABLE bids IS 'What to pay, worked out for the three depths: the canonical inputs, the result, and the engine that made one from the other.';
CREATE INDEX bids_instrument_idx ON bids (workshop_id, instrument_id, created_at, id);
CALL protect('bids');
CALL append_only('bids');

CREATE TABLE jobs (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  scope_id      uuid NOT NULL,
  accepted_on   date NOT NULL,
  place         integer NOT NULL,
  version       bigint NOT NULL DEFAULT 1,
  created_at    timestamptz NOT NULL,
  CONSTRAINT jobs_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT jobs_scope_key UNIQUE (workshop_id, scope_id),
  CONSTRAINT jobs_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT jobs_scope_fkey FOREIGN KEY (workshop_id, scope_id) REFERENCES scopes (workshop_id, id)
);
COMMENT ON TABLE jobs IS 'Accepted scopes under way.';
COMMENT ON COLUMN jobs.place IS 'The place in the queue: lower goes first where two jobs want one station.';
CREATE INDEX jobs_queue_idx ON jobs (workshop_id, place, id);
CALL protect('jobs');
GRANT SELECT, INSERT, UPDATE ON jobs TO bentside_service;

CREATE TABLE tasks (
  workshop_id uuid NOT NULL,
  job_id      uuid NOT NULL,
  operation   text NOT NULL,
  planned     numeric(12,4) NOT NULL CONSTRAINT tasks_planned_positive CHECK (planned >= 0),
  left_hours  numeric(12,4) NOT NULL CONSTRAINT tasks_left_positive CHECK (left_hours >= 0),
  finished_at timestamptz,
  version     bigint NOT NULL DEFAULT 1,
  CONSTRAINT tasks_pkey PRIMARY KEY (workshop_id, job_id, operation),
  CONSTRAINT tasks_finished_has_nothing_left CHECK (finished_at IS NULL OR left_hours = 0),
  CONSTRAINT tasks_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id)
);
COMMENT ON TABLE tasks IS 'One operation of a job, with the person-hours planned and left.';
CALL protect('tasks');
GRANT SELECT, INSERT, UPDATE ON tasks TO bentside_service;

CREATE TABLE attachments (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  subject_kind text NOT NULL CONSTRAINT attachments_subject_known CHECK (subject_kind IN ('instrument', 'survey', 'finding', 'job')),
  subject_id   uuid NOT NULL,
  sha256       bytea NOT NULL CONSTRAINT attachments_sha256_whole CHECK (length(sha256) = 32),
  media_type   text NOT NULL,
  bytes        bigint NOT NULL CONSTRAINT attachments_bytes_positive CHECK (bytes >= 0),
  created_at   timestamptz NOT NULL,
  CONSTRAINT attachments_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT attachments_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE attachments IS 'Photographs and papers: what they belong to and the SHA-256 of their content, which is kept outside the tables.';
CREATE INDEX attachments_subject_idx ON attachments (workshop_id, subject_kind, subject_id);
CALL protect('attachments');
GRANT SELECT, INSERT, DELETE ON attachments TO bentside_service;
