-- Orders placed with suppliers, what was delivered of them, what went back and what was cancelled.

CREATE TABLE orders (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  supplier_id uuid NOT NULL,
  currency    text NOT NULL,
  rate        numeric(20,10) NOT NULL CONSTRAINT orders_rate_positive CHECK (rate > 0),
  ordered_on  date NOT NULL,
  expected_on date NOT NULL,
  reference   text NOT NULL,
  note        text NOT NULL,
  open        boolean NOT NULL,
  version     bigint NOT NULL DEFAULT 1,
  created_at  timestamptz NOT NULL,
  CONSTRAINT orders_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT orders_expected_later CHECK (expected_on >= ordered_on),
  CONSTRAINT orders_supplier_fkey FOREIGN KEY (workshop_id, supplier_id) REFERENCES parties (workshop_id, id)
);
COMMENT ON TABLE orders IS 'What was ordered from a supplier. Its row is locked before the parts that a delivery moves.';
COMMENT ON COLUMN orders.rate IS 'What one unit of the currency is worth in the workshop''s.';
COMMENT ON COLUMN orders.open IS 'Whether something is still to come: follows from the lines, kept with them to list by.';
CREATE INDEX orders_open_idx ON orders (workshop_id, created_at, id) WHERE open;
CREATE INDEX orders_closed_idx ON orders (workshop_id, created_at, id) WHERE NOT open;
CALL protect('orders');
GRANT SELECT, INSERT, UPDATE ON orders TO bentside_service;

CREATE TABLE order_lines (
  workshop_id uuid NOT NULL,
  order_id    uuid NOT NULL,
  number      integer NOT NULL CONSTRAINT order_lines_number_positive CHECK (number > 0),
  place       integer NOT NULL,
  part_id     uuid NOT NULL,
  quantity    numeric(20,6) NOT NULL,
  unit        text NOT NULL,
  units       numeric(20,6) NOT NULL CONSTRAINT order_lines_units_positive CHECK (units > 0),
  price_each  numeric(20,6),
  price       bigint NOT NULL CONSTRAINT order_lines_price_positive CHECK (price >= 0),
  job_id      uuid,
  operation   text NOT NULL,
  delivered   numeric(20,6) NOT NULL DEFAULT 0,
  replaced    numeric(20,6) NOT NULL DEFAULT 0,
  cancelled   numeric(20,6) NOT NULL DEFAULT 0,
  CONSTRAINT order_lines_pkey PRIMARY KEY (workshop_id, order_id, number),
  CONSTRAINT order_lines_nothing_less CHECK (delivered >= 0 AND replaced >= 0 AND cancelled >= 0),
  CONSTRAINT order_lines_operation_of_job CHECK (operation = '' OR job_id IS NOT NULL),
  CONSTRAINT order_lines_order_fkey FOREIGN KEY (workshop_id, order_id) REFERENCES orders (workshop_id, id),
  CONSTRAINT order_lines_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id),
  CONSTRAINT order_lines_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id)
);
COMMENT ON TABLE order_lines IS 'The lines of orders. What was delivered, shall be replaced and was cancelled are sums of the rows that say so, kept with them.';
COMMENT ON COLUMN order_lines.place IS 'Its place in the order; the number stays when others come or go.';
CREATE INDEX order_lines_awaited_idx ON order_lines (workshop_id, part_id) WHERE units + replaced - cancelled > delivered;
CALL protect('order_lines');
GRANT SELECT, INSERT, UPDATE, DELETE ON order_lines TO bentside_service;

CREATE TABLE order_cancellations (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  order_id    uuid NOT NULL,
  line        integer NOT NULL,
  units       numeric(20,6) NOT NULL CONSTRAINT order_cancellations_units_positive CHECK (units > 0),
  reason      text NOT NULL CONSTRAINT order_cancellations_reason_given CHECK (reason <> ''),
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT order_cancellations_pkey PRIMARY KEY (workshop_id, id, line),
  CONSTRAINT order_cancellations_line_fkey FOREIGN KEY (workshop_id, order_id, line) REFERENCES order_lines (workshop_id, order_id, number),
  CONSTRAINT order_cancellations_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE order_cancellations IS 'What of a line of an order shall not come any more, and why.';
CALL protect('order_cancellations');
CALL append_only('order_cancellations');

CREATE TABLE deliveries (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  order_id      uuid NOT NULL,
  supplier_id   uuid NOT NULL,
  reference     text NOT NULL CONSTRAINT deliveries_reference_given CHECK (reference <> ''),
  delivered_on  date NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  reference_key text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(reference)) STORED,
  CONSTRAINT deliveries_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT deliveries_reference_key UNIQUE (workshop_id, supplier_id, reference_key),
  CONSTRAINT deliveries_order_fkey FOREIGN KEY (workshop_id, order_id) REFERENCES orders (workshop_id, id),
  CONSTRAINT deliveries_supplier_fkey FOREIGN KEY (workshop_id, supplier_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT deliveries_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE deliveries IS 'What came with one delivery note. A supplier has no two notes with one reference.';
CREATE INDEX deliveries_order_idx ON deliveries (workshop_id, order_id, recorded_at, id);
CALL protect('deliveries');
CALL append_only('deliveries');

CREATE TABLE arrivals (
  workshop_id uuid NOT NULL,
  delivery_id uuid NOT NULL,
  place       integer NOT NULL CONSTRAINT arrivals_place_positive CHECK (place > 0),
  order_id    uuid NOT NULL,
  line        integer NOT NULL,
  part_id     uuid NOT NULL,
  receipt_id  uuid NOT NULL,
  issue_id    uuid,
  quantity    numeric(20,6) NOT NULL,
  unit        text NOT NULL,
  units       numeric(20,6) NOT NULL CONSTRAINT arrivals_units_positive CHECK (units > 0),
  price       bigint NOT NULL,
  value       bigint NOT NULL,
  reason      text NOT NULL,
  CONSTRAINT arrivals_pkey PRIMARY KEY (workshop_id, delivery_id, place),
  CONSTRAINT arrivals_receipt_key UNIQUE (workshop_id, receipt_id),
  CONSTRAINT arrivals_delivery_fkey FOREIGN KEY (workshop_id, delivery_id) REFERENCES deliveries (workshop_id, id),
  CONSTRAINT arrivals_line_fkey FOREIGN KEY (workshop_id, order_id, line) REFERENCES order_lines (workshop_id, order_id, number),
  CONSTRAINT arrivals_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id),
  CONSTRAINT arrivals_receipt_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES stock_moves (workshop_id, id),
  CONSTRAINT arrivals_issue_fkey FOREIGN KEY (workshop_id, issue_id) REFERENCES stock_moves (workshop_id, id)
);
COMMENT ON TABLE arrivals IS 'What came of a line of an order, with the receipt of stock that it became.';
COMMENT ON COLUMN arrivals.price IS 'By the order, in minor units of the order''s currency; value is that in the workshop''s.';
CREATE INDEX arrivals_part_idx ON arrivals (workshop_id, part_id, delivery_id);
CALL protect('arrivals');
CALL append_only('arrivals');

CREATE TABLE received (
  workshop_id  uuid NOT NULL,
  receipt_id   uuid NOT NULL,
  delivered_on date NOT NULL,
  units        numeric(20,6) NOT NULL,
  billed       numeric(20,6) NOT NULL DEFAULT 0,
  returned     numeric(20,6) NOT NULL DEFAULT 0,
  credited     numeric(20,6) NOT NULL DEFAULT 0,
  reversed     boolean NOT NULL DEFAULT false,
  CONSTRAINT received_pkey PRIMARY KEY (workshop_id, receipt_id),
  CONSTRAINT received_billed_delivered CHECK (billed BETWEEN 0 AND units),
  CONSTRAINT received_returned_delivered CHECK (returned BETWEEN 0 AND units),
  CONSTRAINT received_credited_returned CHECK (credited BETWEEN 0 AND least(returned, billed)),
  CONSTRAINT received_reversed_untouched CHECK (NOT reversed OR billed = 0 AND returned = 0),
  CONSTRAINT received_arrival_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES arrivals (workshop_id, receipt_id)
);
COMMENT ON TABLE received IS 'What became of each arrival, in units of stock: sums of the rows that say so, kept with them under the lock of the part.';
COMMENT ON COLUMN received.reversed IS 'The receipt was entered wrongly and reversed.';
CREATE INDEX received_unbilled_idx ON received (workshop_id, delivered_on, receipt_id) WHERE NOT reversed AND units - returned <> billed - credited;
CALL protect('received');
GRANT SELECT, INSERT, UPDATE ON received TO bentside_service;

CREATE TABLE supplier_returns (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  order_id    uuid NOT NULL,
  line        integer NOT NULL,
  receipt_id  uuid NOT NULL,
  move_id     uuid NOT NULL,
  quantity    numeric(20,6) NOT NULL,
  unit        text NOT NULL,
  units       numeric(20,6) NOT NULL CONSTRAINT supplier_returns_units_positive CHECK (units > 0),
  replacement boolean NOT NULL,
  reason      text NOT NULL CONSTRAINT supplier_returns_reason_given CHECK (reason <> ''),
  returned_on date NOT NULL,
  reference   text NOT NULL,
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT supplier_returns_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT supplier_returns_line_fkey FOREIGN KEY (workshop_id, order_id, line) REFERENCES order_lines (workshop_id, order_id, number),
  CONSTRAINT supplier_returns_receipt_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES received (workshop_id, receipt_id),
  CONSTRAINT supplier_returns_move_fkey FOREIGN KEY (workshop_id, move_id) REFERENCES stock_moves (workshop_id, id),
  CONSTRAINT supplier_returns_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE supplier_returns IS 'What went back to a supplier of an arrival, and whether others shall come for it.';
CREATE INDEX supplier_returns_move_idx ON supplier_returns (workshop_id, move_id);
CALL protect('supplier_returns');
CALL append_only('supplier_returns');
