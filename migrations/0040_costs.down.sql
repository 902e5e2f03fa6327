ALTER TABLE jobs DROP COLUMN closing_posted_on;
DROP TABLE cost_totals, cost_lines, cost_documents, cost_rates;
