-- The bid as a negotiation: two more settings, and the talk about its price.

ALTER TABLE workshops
  ADD COLUMN work_financed numeric(7,6) NOT NULL DEFAULT 0.5 CONSTRAINT workshops_work_financed_share CHECK (work_financed >= 0 AND work_financed <= 1),
  ADD COLUMN loss_limit    numeric(7,6) NOT NULL DEFAULT 0.2 CONSTRAINT workshops_loss_limit_below_one CHECK (loss_limit >= 0 AND loss_limit < 1);
COMMENT ON COLUMN workshops.work_financed IS 'The share of the work that counts as money tied up until the sale.';
COMMENT ON COLUMN workshops.loss_limit IS 'The chance of a loss that is accepted at the walk-away price.';

CREATE TABLE offers (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  bid_id        uuid NOT NULL,
  instrument_id uuid NOT NULL,
  kind          text NOT NULL CONSTRAINT offers_kind_known CHECK (kind IN ('offered', 'refused', 'countered', 'bought', 'taken_in', 'lost')),
  depth         text NOT NULL CONSTRAINT offers_depth_known CHECK (depth IN ('', 'as_found', 'recondition', 'restore')),
  amount        bigint CONSTRAINT offers_amount_positive CHECK (amount >= 0),
  currency      char(3) NOT NULL,
  effective_on  date NOT NULL,
  stock_number  text,
  reason        text NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  created_at    timestamptz NOT NULL,
  CONSTRAINT offers_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT offers_bid_fkey FOREIGN KEY (workshop_id, bid_id) REFERENCES bids (workshop_id, id),
  CONSTRAINT offers_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT offers_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id),
  CONSTRAINT offers_bought_whole CHECK (kind <> 'bought' OR num_nulls(amount, stock_number) = 0)
);
COMMENT ON TABLE offers IS 'The talk about a bid, step by step, kept for ever; the amount of the step that ends it is the purchase price.';
COMMENT ON COLUMN offers.amount IS 'Minor units of the currency.';
CREATE UNIQUE INDEX offers_end_key ON offers (workshop_id, bid_id) WHERE kind IN ('bought', 'taken_in', 'lost');
CREATE UNIQUE INDEX offers_acquired_key ON offers (workshop_id, instrument_id) WHERE kind IN ('bought', 'taken_in');
CREATE INDEX offers_bid_idx ON offers (workshop_id, bid_id, created_at, id);
CALL protect('offers');
CALL append_only('offers');
