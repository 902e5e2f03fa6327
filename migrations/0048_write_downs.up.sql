-- What instruments of ours are worth, where they are written down to it, and those that are gone without a sale.

CREATE TABLE valuations (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  instrument_id uuid NOT NULL,
  number        integer NOT NULL,
  returns       integer NOT NULL,
  price         bigint NOT NULL CONSTRAINT valuations_price_positive CHECK (price >= 0),
  to_complete   bigint NOT NULL CONSTRAINT valuations_to_complete_positive CHECK (to_complete >= 0),
  to_sell       bigint NOT NULL CONSTRAINT valuations_to_sell_positive CHECK (to_sell >= 0),
  cost          bigint NOT NULL,
  carrying      bigint NOT NULL,
  carrying_now  bigint NOT NULL CONSTRAINT valuations_never_above_cost CHECK (carrying_now <= cost),
  effective_on  date NOT NULL,
  posted_on     date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT valuations_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT valuations_number_key UNIQUE (workshop_id, instrument_id, number),
  CONSTRAINT valuations_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT valuations_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE valuations IS 'Looks at what instruments in stock are worth: each stands at the lower of that and its cost. Amounts in minor units of the workshop''s currency.';
COMMENT ON COLUMN valuations.number IS 'Counts the valuations of the instrument from 1; returns is how many of its sales had come back before.';
COMMENT ON COLUMN valuations.price IS 'What it is expected to bring after tax; to_complete and to_sell are what that still costs.';
COMMENT ON COLUMN valuations.carrying IS 'What it stood at before, of what took place by its day and was recorded; carrying_now is what it stands at since.';
CALL protect('valuations');
CALL append_only('valuations');

CREATE TABLE losses (
  workshop_id   uuid NOT NULL,
  instrument_id uuid NOT NULL,
  kind          text NOT NULL CONSTRAINT losses_kind_known CHECK (kind IN ('missing', 'stolen', 'destroyed', 'scrapped')),
  carrying      bigint NOT NULL,
  effective_on  date NOT NULL,
  posted_on     date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT losses_pkey PRIMARY KEY (workshop_id, instrument_id),
  CONSTRAINT losses_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT losses_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE losses IS 'Instruments of ours that are gone without a sale.';
COMMENT ON COLUMN losses.carrying IS 'What it stood at when that was recorded, in minor units of the workshop''s currency: what is posted later is lost too.';
CALL protect('losses');
CALL append_only('losses');
