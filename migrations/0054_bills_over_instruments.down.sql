ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_source_known;
ALTER TABLE cost_lines ADD CONSTRAINT cost_lines_source_known
  CHECK (source_kind IN ('time_entry', 'stock_move', 'document', 'offer', 'opening', 'rate_correction'));
ALTER TABLE supplier_bill_shares DROP COLUMN instrument_id, ALTER COLUMN receipt_id SET NOT NULL;
COMMENT ON TABLE supplier_bill_shares IS 'What each arrival bears of a shared amount; the shares add up to it.';
COMMENT ON TABLE supplier_bill_shared IS 'Freight, duty and discounts of a bill that are shared over arrivals.';
