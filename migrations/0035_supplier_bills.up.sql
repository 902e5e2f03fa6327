-- Suppliers' bills, credit notes and payments, with what each changes of what arrivals have cost.

CREATE TABLE supplier_bills (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  credits_id    uuid,
  supplier_id   uuid NOT NULL,
  reference     text NOT NULL CONSTRAINT supplier_bills_reference_given CHECK (reference <> ''),
  billed_on     date NOT NULL,
  due_on        date,
  currency      text NOT NULL,
  rate          numeric(20,10) NOT NULL CONSTRAINT supplier_bills_rate_positive CHECK (rate > 0),
  net           bigint NOT NULL,
  tax           bigint NOT NULL CONSTRAINT supplier_bills_tax_positive CHECK (tax >= 0),
  total         bigint NOT NULL CONSTRAINT supplier_bills_total_positive CHECK (total >= 0),
  home_net      bigint NOT NULL,
  note          text NOT NULL,
  recorded_by   uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  reference_key text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(reference)) STORED,
  CONSTRAINT supplier_bills_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT supplier_bills_reference_key UNIQUE (workshop_id, supplier_id, reference_key),
  CONSTRAINT supplier_bills_total_adds_up CHECK (total = net + tax),
  CONSTRAINT supplier_bills_credits_fkey FOREIGN KEY (workshop_id, credits_id) REFERENCES supplier_bills (workshop_id, id),
  CONSTRAINT supplier_bills_supplier_fkey FOREIGN KEY (workshop_id, supplier_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT supplier_bills_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE supplier_bills IS 'What a supplier has billed, and credit notes to that. A supplier has no two with one reference.';
COMMENT ON COLUMN supplier_bills.credits_id IS 'The bill that a credit note is to; NULL: it is a bill. The amounts of a credit note are positive and count the other way.';
COMMENT ON COLUMN supplier_bills.home_net IS 'The net in minor units of the workshop''s currency: the sum of the lines.';
CREATE INDEX supplier_bills_credits_idx ON supplier_bills (workshop_id, credits_id, recorded_at, id) WHERE credits_id IS NOT NULL;
CALL protect('supplier_bills');
CALL append_only('supplier_bills');

CREATE TABLE payables (
  workshop_id uuid NOT NULL,
  bill_id     uuid NOT NULL,
  balance     bigint NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT payables_pkey PRIMARY KEY (workshop_id, bill_id),
  CONSTRAINT payables_bill_fkey FOREIGN KEY (workshop_id, bill_id) REFERENCES supplier_bills (workshop_id, id)
);
COMMENT ON TABLE payables IS 'What is owed on each bill: its total less credit notes and payments, kept with them. Its row is locked before any part.';
COMMENT ON COLUMN payables.balance IS 'In minor units of the bill''s currency; below zero the supplier owes us.';
CREATE INDEX payables_open_idx ON payables (workshop_id, created_at, bill_id) WHERE balance <> 0;
CREATE INDEX payables_settled_idx ON payables (workshop_id, created_at, bill_id) WHERE balance = 0;
CALL protect('payables');
GRANT SELECT, INSERT, UPDATE ON payables TO bentside_service;

CREATE TABLE supplier_bill_lines (
  workshop_id uuid NOT NULL,
  bill_id     uuid NOT NULL,
  place       integer NOT NULL CONSTRAINT supplier_bill_lines_place_positive CHECK (place > 0),
  kind        text NOT NULL CONSTRAINT supplier_bill_lines_kind_known CHECK (kind IN ('goods', 'returned', 'allowance')),
  receipt_id  uuid NOT NULL,
  quantity    numeric(20,6),
  unit        text NOT NULL,
  units       numeric(20,6) NOT NULL,
  amount      bigint NOT NULL,
  tax_rate    numeric(20,6) NOT NULL,
  weight      numeric(20,6),
  home        bigint NOT NULL,
  accrued     bigint NOT NULL,
  CONSTRAINT supplier_bill_lines_pkey PRIMARY KEY (workshop_id, bill_id, place),
  CONSTRAINT supplier_bill_lines_bill_fkey FOREIGN KEY (workshop_id, bill_id) REFERENCES supplier_bills (workshop_id, id),
  CONSTRAINT supplier_bill_lines_receipt_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES received (workshop_id, receipt_id)
);
COMMENT ON TABLE supplier_bill_lines IS 'The lines of bills and credit notes, each about one arrival.';
COMMENT ON COLUMN supplier_bill_lines.home IS 'The amount in the workshop''s currency; accrued is what of the arrival''s value at the order''s price it replaces.';
CREATE INDEX supplier_bill_lines_receipt_idx ON supplier_bill_lines (workshop_id, receipt_id);
CALL protect('supplier_bill_lines');
CALL append_only('supplier_bill_lines');

CREATE TABLE supplier_bill_shared (
  workshop_id uuid NOT NULL,
  bill_id     uuid NOT NULL,
  place       integer NOT NULL CONSTRAINT supplier_bill_shared_place_positive CHECK (place > 0),
  kind        text NOT NULL CONSTRAINT supplier_bill_shared_kind_known CHECK (kind IN ('freight', 'duty', 'discount', 'unclaimed_tax', 'other')),
  shared_by   text NOT NULL CONSTRAINT supplier_bill_shared_by_known CHECK (shared_by IN ('value', 'weight', 'quantity', 'equally')),
  amount      bigint NOT NULL,
  tax_rate    numeric(20,6) NOT NULL,
  note        text NOT NULL,
  home        bigint NOT NULL,
  CONSTRAINT supplier_bill_shared_pkey PRIMARY KEY (workshop_id, bill_id, place),
  CONSTRAINT supplier_bill_shared_bill_fkey FOREIGN KEY (workshop_id, bill_id) REFERENCES supplier_bills (workshop_id, id)
);
COMMENT ON TABLE supplier_bill_shared IS 'Freight, duty and discounts of a bill that are shared over arrivals.';
CALL protect('supplier_bill_shared');
CALL append_only('supplier_bill_shared');

CREATE TABLE supplier_bill_shares (
  workshop_id uuid NOT NULL,
  bill_id     uuid NOT NULL,
  shared      integer NOT NULL,
  place       integer NOT NULL CONSTRAINT supplier_bill_shares_place_positive CHECK (place > 0),
  receipt_id  uuid NOT NULL,
  weight      numeric(20,6),
  home        bigint NOT NULL,
  CONSTRAINT supplier_bill_shares_pkey PRIMARY KEY (workshop_id, bill_id, shared, place),
  CONSTRAINT supplier_bill_shares_shared_fkey FOREIGN KEY (workshop_id, bill_id, shared) REFERENCES supplier_bill_shared (workshop_id, bill_id, place),
  CONSTRAINT supplier_bill_shares_receipt_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES received (workshop_id, receipt_id)
);
COMMENT ON TABLE supplier_bill_shares IS 'What each arrival bears of a shared amount; the shares add up to it.';
CALL protect('supplier_bill_shares');
CALL append_only('supplier_bill_shares');

CREATE TABLE supplier_payments (
  workshop_id  uuid NOT NULL,
  id           uuid NOT NULL,
  bill_id      uuid NOT NULL,
  paid_on      date NOT NULL,
  amount       bigint NOT NULL,
  discount     bigint NOT NULL,
  discount_tax bigint NOT NULL,
  short        bigint NOT NULL,
  rate         numeric(20,10) NOT NULL,
  home_amount  bigint NOT NULL,
  exchange     bigint NOT NULL,
  note         text NOT NULL,
  recorded_by  uuid NOT NULL,
  recorded_at  timestamptz NOT NULL,
  CONSTRAINT supplier_payments_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT supplier_payments_nothing_less CHECK (discount >= 0 AND discount_tax >= 0 AND short >= 0 AND rate >= 0),
  CONSTRAINT supplier_payments_bill_fkey FOREIGN KEY (workshop_id, bill_id) REFERENCES supplier_bills (workshop_id, id),
  CONSTRAINT supplier_payments_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE supplier_payments IS 'What was paid on a bill, taken off for paying in time, and left unpaid and forgiven.';
COMMENT ON COLUMN supplier_payments.exchange IS 'What the payment cost more in the workshop''s currency than by the bill''s rate.';
CREATE INDEX supplier_payments_bill_idx ON supplier_payments (workshop_id, bill_id, recorded_at, id);
CALL protect('supplier_payments');
CALL append_only('supplier_payments');

CREATE TABLE supplier_adjustments (
  workshop_id uuid NOT NULL,
  source_id   uuid NOT NULL,
  receipt_id  uuid NOT NULL,
  bill_id     uuid NOT NULL,
  amount      bigint NOT NULL,
  apart       bigint NOT NULL,
  move_id     uuid,
  CONSTRAINT supplier_adjustments_pkey PRIMARY KEY (workshop_id, source_id, receipt_id),
  CONSTRAINT supplier_adjustments_moved CHECK ((move_id IS NULL) = (amount = 0)),
  CONSTRAINT supplier_adjustments_bill_fkey FOREIGN KEY (workshop_id, bill_id) REFERENCES supplier_bills (workshop_id, id),
  CONSTRAINT supplier_adjustments_receipt_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES received (workshop_id, receipt_id),
  CONSTRAINT supplier_adjustments_move_fkey FOREIGN KEY (workshop_id, move_id) REFERENCES stock_moves (workshop_id, id)
);
COMMENT ON TABLE supplier_adjustments IS 'What a bill, a credit note or a payment changes of what an arrival has cost.';
COMMENT ON COLUMN supplier_adjustments.source_id IS 'The bill, credit note or payment; bill_id is the bill or credit note itself, or the bill that was paid.';
COMMENT ON COLUMN supplier_adjustments.apart IS 'What concerns goods that went back, and is in the cost of nothing.';
CREATE INDEX supplier_adjustments_bill_idx ON supplier_adjustments (workshop_id, bill_id);
CALL protect('supplier_adjustments');
CALL append_only('supplier_adjustments');
