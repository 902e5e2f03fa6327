-- What a bill shares is shared over instruments as well as over what was delivered: a haulier's
-- bill for pianos and a crate of parts. What an instrument bears becomes lines of its cost.

ALTER TABLE supplier_bill_shares
  ALTER COLUMN receipt_id DROP NOT NULL,
  ADD COLUMN instrument_id uuid,
  ADD CONSTRAINT supplier_bill_shares_of_one CHECK ((receipt_id IS NULL) <> (instrument_id IS NULL)),
  ADD CONSTRAINT supplier_bill_shares_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id);
COMMENT ON TABLE supplier_bill_shares IS 'What each arrival or instrument bears of a shared amount; the shares add up to it.';
COMMENT ON TABLE supplier_bill_shared IS 'Freight, duty and discounts of a bill that are shared over arrivals and instruments.';

ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_source_known;
ALTER TABLE cost_lines ADD CONSTRAINT cost_lines_source_known
  CHECK (source_kind IN ('time_entry', 'stock_move', 'document', 'offer', 'opening', 'rate_correction', 'supplier_bill', 'supplier_payment'));
