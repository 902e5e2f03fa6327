-- Deposits, sales of instruments, their hand-over and their return: added and never changed.

CREATE TABLE sales (
  workshop_id    uuid NOT NULL,
  id             uuid NOT NULL,
  instrument_id  uuid NOT NULL,
  number         integer NOT NULL CONSTRAINT sales_number_positive CHECK (number > 0),
  buyer_id       uuid NOT NULL,
  price          bigint NOT NULL CONSTRAINT sales_price_positive CHECK (price > 0),
  regime         text NOT NULL CONSTRAINT sales_regime_known CHECK (regime IN ('none', 'standard', 'margin')),
  rate           numeric(20,6) NOT NULL CONSTRAINT sales_rate_share CHECK (rate >= 0 AND rate < 1),
  base           bigint NOT NULL CONSTRAINT sales_base_of_price CHECK (base BETWEEN 0 AND price),
  tax            bigint NOT NULL CONSTRAINT sales_tax_of_base CHECK (tax BETWEEN 0 AND base),
  purchase_price bigint,
  deposits       bigint NOT NULL CONSTRAINT sales_deposits_of_price CHECK (deposits BETWEEN 0 AND price),
  carrying       bigint NOT NULL,
  stock_number   text NOT NULL,
  reference      text NOT NULL,
  effective_on   date NOT NULL,
  posted_on      date NOT NULL,
  note           text NOT NULL,
  recorded_by    uuid NOT NULL,
  recorded_at    timestamptz NOT NULL,
  CONSTRAINT sales_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT sales_number_key UNIQUE (workshop_id, instrument_id, number),
  CONSTRAINT sales_margin_over_a_purchase CHECK ((regime = 'margin') = (purchase_price IS NOT NULL)),
  CONSTRAINT sales_posted_after_it_happened CHECK (posted_on >= effective_on),
  CONSTRAINT sales_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT sales_buyer_fkey FOREIGN KEY (workshop_id, buyer_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT sales_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE sales IS 'Sales of instruments, with the tax and the cost of sales as they were settled then. Amounts in minor units of the workshop''s currency.';
COMMENT ON COLUMN sales.number IS 'Counts the sales of an instrument from 1: so of two at once one is refused.';
COMMENT ON COLUMN sales.base IS 'What the tax is contained in: the price, the margin or nothing.';
COMMENT ON COLUMN sales.purchase_price IS 'What the margin was taxed from; NULL under any other regime.';
COMMENT ON COLUMN sales.stock_number IS 'That the instrument was sold under, as our paper says it; empty: none.';
COMMENT ON COLUMN sales.carrying IS 'What the instrument stood at in stock on the day of the sale, as the books had it when that was recorded.';
CREATE INDEX sales_instrument_idx ON sales (workshop_id, instrument_id, recorded_at, id);
CALL protect('sales');
CALL append_only('sales');

CREATE TABLE deposit_moves (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  deposit_id    uuid NOT NULL,
  kind          text NOT NULL CONSTRAINT deposit_moves_kind_known CHECK (kind IN ('taken', 'applied', 'refunded', 'forfeited')),
  instrument_id uuid NOT NULL,
  buyer_id      uuid NOT NULL,
  amount        bigint NOT NULL CONSTRAINT deposit_moves_amount_positive CHECK (amount > 0),
  tax           bigint NOT NULL CONSTRAINT deposit_moves_tax_of_amount CHECK (tax BETWEEN 0 AND amount),
  sale_id       uuid,
  effective_on  date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT deposit_moves_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT deposit_moves_taken_first CHECK ((kind = 'taken') = (deposit_id = id)),
  CONSTRAINT deposit_moves_applied_to_a_sale CHECK ((kind = 'applied') = (sale_id IS NOT NULL)),
  CONSTRAINT deposit_moves_taxed_if_forfeited CHECK (tax = 0 OR kind = 'forfeited'),
  CONSTRAINT deposit_moves_deposit_fkey FOREIGN KEY (workshop_id, deposit_id) REFERENCES deposit_moves (workshop_id, id),
  CONSTRAINT deposit_moves_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT deposit_moves_buyer_fkey FOREIGN KEY (workshop_id, buyer_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT deposit_moves_sale_fkey FOREIGN KEY (workshop_id, sale_id) REFERENCES sales (workshop_id, id),
  CONSTRAINT deposit_moves_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE deposit_moves IS 'Deposits that buyers left before a sale, and what became of them. What was taken less the rest is owed to the buyer. Moves are added under the lock of the instrument.';
COMMENT ON COLUMN deposit_moves.deposit_id IS 'The move by which the deposit was taken, itself for that.';
COMMENT ON COLUMN deposit_moves.tax IS 'Contained in what was forfeited, where the law counts that as paid for something.';
CREATE INDEX deposit_moves_instrument_idx ON deposit_moves (workshop_id, instrument_id, recorded_at, id) WHERE kind = 'taken';
CREATE INDEX deposit_moves_deposit_idx ON deposit_moves (workshop_id, deposit_id);
CALL protect('deposit_moves');
CALL append_only('deposit_moves');

CREATE TABLE hand_overs (
  workshop_id  uuid NOT NULL,
  sale_id      uuid NOT NULL,
  party_id     uuid NOT NULL,
  effective_on date NOT NULL,
  posted_on    date NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT hand_overs_pkey PRIMARY KEY (workshop_id, sale_id),
  CONSTRAINT hand_overs_sale_fkey FOREIGN KEY (workshop_id, sale_id) REFERENCES sales (workshop_id, id),
  CONSTRAINT hand_overs_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT hand_overs_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE hand_overs IS 'When an instrument that was sold left us, and who took it.';
CALL protect('hand_overs');
CALL append_only('hand_overs');

CREATE TABLE sale_returns (
  workshop_id   uuid NOT NULL,
  sale_id       uuid NOT NULL,
  refund        bigint NOT NULL CONSTRAINT sale_returns_refund_positive CHECK (refund >= 0),
  kept          bigint NOT NULL CONSTRAINT sale_returns_kept_positive CHECK (kept >= 0),
  kept_tax      bigint NOT NULL CONSTRAINT sale_returns_tax_of_kept CHECK (kept_tax BETWEEN 0 AND kept),
  cost_of_sales bigint NOT NULL,
  cost_back     bigint NOT NULL CONSTRAINT sale_returns_cost_back_of_cost CHECK (cost_back <= cost_of_sales),
  effective_on  date NOT NULL,
  posted_on     date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT sale_returns_pkey PRIMARY KEY (workshop_id, sale_id),
  CONSTRAINT sale_returns_sale_fkey FOREIGN KEY (workshop_id, sale_id) REFERENCES sales (workshop_id, id),
  CONSTRAINT sale_returns_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE sale_returns IS 'Instruments that came back after their sale. Amounts in minor units of the workshop''s currency.';
COMMENT ON COLUMN sale_returns.cost_of_sales IS 'What the sale had cost when the return was recorded.';
COMMENT ON COLUMN sale_returns.cost_back IS 'What of it went back into stock; the rest stays an expense.';
CALL protect('sale_returns');
CALL append_only('sale_returns');

ALTER TABLE instruments DROP CONSTRAINT instruments_state_known;
ALTER TABLE instruments ADD CONSTRAINT instruments_state_known CHECK (state IN ('considered', 'let_go', 'waiting', 'in_work', 'ready', 'sold', 'gone'));
