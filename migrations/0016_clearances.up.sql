-- In which country a workshop works and an instrument stands, which decides the law that bars what;
-- and the clearances of what stops an instrument.

ALTER TABLE workshops
  ADD COLUMN country text NOT NULL DEFAULT '' CONSTRAINT workshops_country_code CHECK (country ~ '^([A-Z]{2})?$');
COMMENT ON COLUMN workshops.country IS 'ISO 3166-1 code; empty: not said.';

ALTER TABLE instruments
  ADD COLUMN country text NOT NULL DEFAULT '' CONSTRAINT instruments_country_code CHECK (country ~ '^([A-Z]{2})?$');
COMMENT ON COLUMN instruments.country IS 'ISO 3166-1 code of the country where it stands; empty: the workshop''s.';

CREATE TABLE clearances (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  stop          text NOT NULL,
  finding       jsonb NOT NULL,
  places        text[] NOT NULL,
  owner         text NOT NULL CONSTRAINT clearances_owner_known CHECK (owner IN ('offered', 'stock', 'client')),
  party_id      uuid,
  country       text NOT NULL CONSTRAINT clearances_country_code CHECK (country ~ '^([A-Z]{2})?$'),
  until         text NOT NULL,
  cleared_by    text NOT NULL CONSTRAINT clearances_by_given CHECK (cleared_by <> ''),
  says          text NOT NULL CONSTRAINT clearances_says_given CHECK (says <> ''),
  cleared_on    date NOT NULL,
  reference     text NOT NULL,
  dated         date,
  withdraws     uuid,
  recorded_by   uuid NOT NULL,
  created_at    timestamptz NOT NULL,
  CONSTRAINT clearances_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT clearances_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT clearances_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT clearances_withdraws_fkey FOREIGN KEY (workshop_id, withdraws) REFERENCES clearances (workshop_id, id),
  CONSTRAINT clearances_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE clearances IS 'What a stop of an instrument asks for is met, or an earlier clearance is withdrawn. Whether one still holds follows from what it covers: finding, places, owner and party, country.';
COMMENT ON COLUMN clearances.until IS 'The condition that was met, in the words of that day.';
COMMENT ON COLUMN clearances.reference IS 'Of the papers, with the day on which they were issued; empty for somebody''s word.';
CREATE INDEX clearances_instrument_idx ON clearances (workshop_id, instrument_id, created_at, id);
CALL protect('clearances');
CALL append_only('clearances');
