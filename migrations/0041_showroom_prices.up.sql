-- What we ask for instruments of ours, from a day on.

CREATE TABLE showroom_prices (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  price         bigint CONSTRAINT showroom_prices_price_positive CHECK (price > 0),
  effective_on  date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT showroom_prices_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT showroom_prices_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT showroom_prices_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE showroom_prices IS 'What we ask for an instrument, tax included, from a day on. Of several the one recorded last holds.';
COMMENT ON COLUMN showroom_prices.price IS 'Minor units of the workshop''s currency. NULL: it is no longer offered for sale.';
CREATE INDEX showroom_prices_instrument_idx ON showroom_prices (workshop_id, instrument_id, recorded_at, id);
CALL protect('showroom_prices');
CALL append_only('showroom_prices');
