-- Which settings that a workshop starts with somebody said are right as they are.

CREATE TABLE confirmations (
  workshop_id  uuid NOT NULL,
  key          text NOT NULL CONSTRAINT confirmations_key_given CHECK (key <> ''),
  confirmed_by uuid NOT NULL,
  created_at   timestamptz NOT NULL,
  CONSTRAINT confirmations_pkey PRIMARY KEY (workshop_id, key),
  CONSTRAINT confirmations_member_fkey FOREIGN KEY (workshop_id, confirmed_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE confirmations IS 'Settings that bids and dates no longer list as assumed. A setting that was changed needs none.';
COMMENT ON COLUMN confirmations.key IS 'A key of domain.AssumptionKey.';
CALL protect('confirmations');
CALL append_only('confirmations');
