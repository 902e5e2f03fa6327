-- Posted hours that were costed anew, once their rates turned out to be wrong. What was posted
-- stays: each job gets one line of the difference, and each entry its rate from then on.

CREATE TABLE rate_corrections (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  from_day    date NOT NULL,
  through     date NOT NULL,
  why         text NOT NULL CONSTRAINT rate_corrections_why_said CHECK (why <> ''),
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT rate_corrections_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT rate_corrections_in_order CHECK (from_day <= through),
  CONSTRAINT rate_corrections_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE rate_corrections IS 'Each time that the posted hours of some days were costed anew by the rates as they were by then. Its cost lines name it as their source.';
CREATE INDEX rate_corrections_recent_idx ON rate_corrections (workshop_id, recorded_at, id);
CALL protect('rate_corrections');
CALL append_only('rate_corrections');

CREATE TABLE corrected_rates (
  workshop_id   uuid NOT NULL,
  correction_id uuid NOT NULL,
  entry_id      uuid NOT NULL,
  kind          text NOT NULL CONSTRAINT corrected_rates_kind_of_hours CHECK (kind IN ('labour', 'notional_labour', 'overhead')),
  minutes       integer NOT NULL CONSTRAINT corrected_rates_of_something CHECK (minutes > 0),
  was           numeric(20,6) NOT NULL,
  rate          numeric(20,6) NOT NULL,
  amount        bigint NOT NULL,
  CONSTRAINT corrected_rates_pkey PRIMARY KEY (workshop_id, correction_id, entry_id, kind),
  CONSTRAINT corrected_rates_correction_fkey FOREIGN KEY (workshop_id, correction_id) REFERENCES rate_corrections (workshop_id, id),
  CONSTRAINT corrected_rates_entry_fkey FOREIGN KEY (workshop_id, entry_id) REFERENCES time_entries (workshop_id, id)
);
COMMENT ON TABLE corrected_rates IS 'What a correction changed of each entry of hours. The newest row of an entry and kind is its rate.';
COMMENT ON COLUMN corrected_rates.minutes IS 'That were left of the entry then.';
COMMENT ON COLUMN corrected_rates.amount IS 'By how much more they cost, in minor units of the workshop''s currency.';
CREATE INDEX corrected_rates_entry_idx ON corrected_rates (workshop_id, entry_id);
CALL protect('corrected_rates');
CALL append_only('corrected_rates');

ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_source_known;
ALTER TABLE cost_lines ADD CONSTRAINT cost_lines_source_known
  CHECK (source_kind IN ('time_entry', 'stock_move', 'document', 'offer', 'opening', 'rate_correction'));
CREATE INDEX cost_lines_hours_idx ON cost_lines (workshop_id, effective_on) WHERE source_kind = 'time_entry';
