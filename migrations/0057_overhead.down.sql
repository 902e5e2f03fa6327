ALTER TABLE cost_lines DROP CONSTRAINT cost_lines_purpose_known, DROP CONSTRAINT cost_lines_kind_known;
ALTER TABLE cost_lines
  ADD CONSTRAINT cost_lines_kind_known
  CHECK (kind IN ('purchase_price', 'buyers_premium', 'transport_in', 'duty', 'labour', 'notional_labour', 'overhead', 'parts', 'outside_work', 'other', 'opening')),
  ADD CONSTRAINT cost_lines_purpose_known
  CHECK (purpose IN ('acquisition', 'work', 'seasoning', 'rework', 'abnormal_rework', 'survey', 'delivery', 'after_sale', 'commission', 'warranty', 'finance', 'storage'));
DROP INDEX cost_lines_overhead_idx;
ALTER TABLE stock_moves DROP COLUMN counts_as;
DROP TABLE overhead_costs;
ALTER TABLE cost_rates DROP COLUMN estimate, DROP COLUMN fixed_overhead;
