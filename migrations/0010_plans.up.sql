-- Plans of the whole shop: what they were made from and what they say, each
-- with what was spent on it. None is ever changed; the newest one holds.

CREATE TABLE plans (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  engine      text NOT NULL,
  schedules   integer NOT NULL CONSTRAINT plans_schedules_positive CHECK (schedules > 0),
  seed        bigint NOT NULL,
  inputs      bytea NOT NULL,
  result      bytea NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT plans_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT plans_inputs_fkey FOREIGN KEY (workshop_id, inputs) REFERENCES documents (workshop_id, hash),
  CONSTRAINT plans_result_fkey FOREIGN KEY (workshop_id, result) REFERENCES documents (workshop_id, hash)
);
COMMENT ON TABLE plans IS 'Plans of all jobs together: the canonical inputs, the result, and the engine that made one from the other.';
COMMENT ON COLUMN plans.schedules IS 'What was to be spent: start assignments tried over the number of tasks. The result says what was used.';
CREATE INDEX plans_latest_idx ON plans (workshop_id, created_at, id);
CALL protect('plans');
CALL append_only('plans');
