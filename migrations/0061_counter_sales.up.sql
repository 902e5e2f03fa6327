-- Parts that are sold over the counter, and what of them comes back.

CREATE TABLE counter_sales (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  buyer_id     uuid,
  regime       text NOT NULL CONSTRAINT counter_sales_regime_known CHECK (regime IN ('none', 'standard')),
  rate         numeric(20,6) NOT NULL,
  price        bigint NOT NULL,
  tax          bigint NOT NULL CONSTRAINT counter_sales_tax_in_price CHECK (tax BETWEEN 0 AND price),
  reference    text NOT NULL,
  effective_on date NOT NULL,
  posted_on    date NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT counter_sales_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT counter_sales_posted_after_its_day CHECK (posted_on >= effective_on),
  CONSTRAINT counter_sales_buyer_fkey FOREIGN KEY (workshop_id, buyer_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT counter_sales_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE counter_sales IS 'Sales of parts over the counter. Amounts in minor units of the workshop''s currency; prices include the tax.';
CREATE INDEX counter_sales_recent_idx ON counter_sales (workshop_id, recorded_at, id);
CALL protect('counter_sales');
CALL append_only('counter_sales');

CREATE TABLE counter_sale_lines (
  workshop_id uuid NOT NULL,
  sale_id     uuid NOT NULL,
  line        integer NOT NULL CONSTRAINT counter_sale_lines_line_positive CHECK (line > 0),
  part_id     uuid NOT NULL,
  quantity    numeric(20,6) NOT NULL CONSTRAINT counter_sale_lines_quantity_positive CHECK (quantity > 0),
  unit        text NOT NULL,
  price       bigint NOT NULL,
  tax         bigint NOT NULL CONSTRAINT counter_sale_lines_tax_in_price CHECK (tax BETWEEN 0 AND price),
  issue_id    uuid NOT NULL,
  CONSTRAINT counter_sale_lines_pkey PRIMARY KEY (workshop_id, sale_id, line),
  CONSTRAINT counter_sale_lines_issue_key UNIQUE (workshop_id, issue_id),
  CONSTRAINT counter_sale_lines_sale_fkey FOREIGN KEY (workshop_id, sale_id) REFERENCES counter_sales (workshop_id, id),
  CONSTRAINT counter_sale_lines_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id),
  CONSTRAINT counter_sale_lines_issue_fkey FOREIGN KEY (workshop_id, issue_id) REFERENCES stock_moves (workshop_id, id)
);
COMMENT ON TABLE counter_sale_lines IS 'What of which part was sold; each left stock by an issue, which says what it cost.';
CALL protect('counter_sale_lines');
CALL append_only('counter_sale_lines');

CREATE TABLE counter_returns (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  sale_id      uuid NOT NULL,
  effective_on date NOT NULL,
  posted_on    date NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT counter_returns_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT counter_returns_posted_after_its_day CHECK (posted_on >= effective_on),
  CONSTRAINT counter_returns_sale_fkey FOREIGN KEY (workshop_id, sale_id) REFERENCES counter_sales (workshop_id, id),
  CONSTRAINT counter_returns_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE counter_returns IS 'What came back of counter sales, fit to be sold.';
CREATE INDEX counter_returns_sale_idx ON counter_returns (workshop_id, sale_id, recorded_at, id);
CALL protect('counter_returns');
CALL append_only('counter_returns');

CREATE TABLE counter_return_lines (
  workshop_id uuid NOT NULL,
  return_id   uuid NOT NULL,
  line        integer NOT NULL,
  quantity    numeric(20,6) NOT NULL CONSTRAINT counter_return_lines_quantity_positive CHECK (quantity > 0),
  refund      bigint NOT NULL CONSTRAINT counter_return_lines_refund_positive CHECK (refund >= 0),
  tax         bigint NOT NULL,
  move_id     uuid NOT NULL,
  CONSTRAINT counter_return_lines_pkey PRIMARY KEY (workshop_id, return_id, line),
  CONSTRAINT counter_return_lines_move_key UNIQUE (workshop_id, move_id),
  CONSTRAINT counter_return_lines_return_fkey FOREIGN KEY (workshop_id, return_id) REFERENCES counter_returns (workshop_id, id),
  CONSTRAINT counter_return_lines_move_fkey FOREIGN KEY (workshop_id, move_id) REFERENCES stock_moves (workshop_id, id)
);
COMMENT ON TABLE counter_return_lines IS 'How much of which line of the sale came back, by which move, and what was refunded for it, the tax in that included.';
CALL protect('counter_return_lines');
CALL append_only('counter_return_lines');

CREATE TRIGGER within_open_books BEFORE INSERT ON counter_sales FOR EACH ROW EXECUTE FUNCTION within_open_books();
CREATE TRIGGER within_open_books BEFORE INSERT ON counter_returns FOR EACH ROW EXECUTE FUNCTION within_open_books();
