-- Work that was under way when a workshop joined, and what its old records say
-- of the money.

CREATE TABLE joins (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  joined_on   date NOT NULL,
  recorded_by uuid NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT joins_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT joins_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE joins IS 'Each time that work under way was taken over, all of it at once.';
CALL protect('joins');
CALL append_only('joins');

CREATE TABLE openings (
  workshop_id    uuid NOT NULL,
  job_id         uuid NOT NULL,
  join_id        uuid NOT NULL,
  original_price bigint CONSTRAINT openings_original_price_positive CHECK (original_price >= 0),
  cost_so_far    bigint CONSTRAINT openings_cost_so_far_positive CHECK (cost_so_far >= 0),
  deposit        bigint CONSTRAINT openings_deposit_positive CHECK (deposit >= 0),
  CONSTRAINT openings_pkey PRIMARY KEY (workshop_id, job_id),
  CONSTRAINT openings_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT openings_join_fkey FOREIGN KEY (workshop_id, join_id) REFERENCES joins (workshop_id, id)
);
COMMENT ON TABLE openings IS 'What old records say of a job that was taken over: what the instrument was bought for, what the work has cost, what a client has paid down. NULL: nothing is said. Amounts in minor units of the workshop''s currency; nothing is posted by them.';
CALL protect('openings');
CALL append_only('openings');
