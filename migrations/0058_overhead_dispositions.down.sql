ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_source_known;
ALTER TABLE cost_lines ADD CONSTRAINT cost_lines_source_known
  CHECK (source_kind IN ('time_entry', 'stock_move', 'document', 'offer', 'opening', 'rate_correction', 'supplier_bill', 'supplier_payment'));
DROP TABLE overhead_dispositions;
