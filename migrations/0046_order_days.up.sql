-- Each new day that an order was expected on, and why, since dates of jobs rest on it.

CREATE TABLE order_days (
  workshop_id uuid NOT NULL,
  order_id    uuid NOT NULL,
  number      integer NOT NULL CONSTRAINT order_days_number_positive CHECK (number > 0),
  was         date NOT NULL,
  expected_on date NOT NULL,
  reason      text NOT NULL,
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT order_days_pkey PRIMARY KEY (workshop_id, order_id, number),
  CONSTRAINT order_days_order_fkey FOREIGN KEY (workshop_id, order_id) REFERENCES orders (workshop_id, id),
  CONSTRAINT order_days_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE order_days IS 'The days on which an order was expected, one after another. The row of the order holds the newest; was of the first is the day that it began with.';
COMMENT ON COLUMN order_days.reason IS 'Why there is a new day; empty where it was changed with the order.';
CALL protect('order_days');
CALL append_only('order_days');
