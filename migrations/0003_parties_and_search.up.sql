-- Who stands outside the workshop, where each instrument stands, and the keys
-- that a list is searched and sorted by.

CREATE TABLE parties (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  name        text NOT NULL CONSTRAINT parties_name_given CHECK (name <> ''),
  email       text NOT NULL,
  phone       text NOT NULL,
  address     text NOT NULL,
  note        text NOT NULL,
  name_key    text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(name)) STORED,
  version     bigint NOT NULL DEFAULT 1,
  created_at  timestamptz NOT NULL,
  CONSTRAINT parties_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT parties_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE parties IS 'People and firms outside: clients, sellers, other firms. Everything else names them by id, so that what is personal can be overwritten here.';
CREATE INDEX parties_name_idx ON parties (workshop_id, name_key, id);
CALL protect('parties');
GRANT SELECT, INSERT, UPDATE ON parties TO bentside_service;

ALTER TABLE instruments
  ADD COLUMN party_id uuid,
  ADD COLUMN state text NOT NULL DEFAULT 'considered'
    CONSTRAINT instruments_state_known CHECK (state IN ('considered', 'let_go', 'waiting', 'in_work', 'ready', 'gone')),
  ADD COLUMN maker_key text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(maker)) STORED,
  ADD COLUMN serial_key text COLLATE "C" NOT NULL
    GENERATED ALWAYS AS (lower(regexp_replace(serial, '[^[:alnum:]]', '', 'g'))) STORED,
  ADD COLUMN stock_key text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(coalesce(stock_number, ''))) STORED,
  ADD CONSTRAINT instruments_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id);
COMMENT ON COLUMN instruments.party_id IS 'The client whose instrument it is, or who offers it.';
COMMENT ON COLUMN instruments.state IS 'Where it stands with us; moved by what is done and not by hand.';
COMMENT ON COLUMN instruments.serial_key IS 'The serial number without spaces, dots and dashes: what a search begins with. Searches compare plain columns by order, since under row-level security patterns find no index.';

UPDATE instruments i
SET state = CASE
      WHEN EXISTS (SELECT FROM jobs j WHERE j.workshop_id = i.workshop_id AND j.instrument_id = i.id) THEN 'in_work'
      WHEN owner = 'offered' THEN 'considered'
      ELSE 'waiting'
    END;

CREATE INDEX instruments_owner_idx ON instruments (workshop_id, owner, created_at, id);
CREATE INDEX instruments_state_idx ON instruments (workshop_id, state, created_at, id);
CREATE INDEX instruments_party_idx ON instruments (workshop_id, party_id, created_at, id);
CREATE INDEX instruments_maker_idx ON instruments (workshop_id, maker_key, id);
CREATE INDEX instruments_serial_idx ON instruments (workshop_id, serial_key, id);
CREATE INDEX instruments_stock_idx ON instruments (workshop_id, stock_key, id);
