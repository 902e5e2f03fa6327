-- The bid as a negotiation: two more settings.

ALTER TABLE workshops
  ADD COLUMN work_financed numeric(7,6) NOT NULL DEFAULT 0.5 CONSTRAINT workshops_work_financed_share CHECK (work_financed >= 0 AND work_financed <= 1),
  ADD COLUMN loss_limit    numeric(7,6) NOT NULL DEFAULT 0.2 CONSTRAINT workshops_loss_limit_below_one CHECK (loss_limit >= 0 AND loss_limit < 1);
COMMENT ON COLUMN workshops.work_financed IS 'The share of the work that counts as money tied up until the sale.';
COMMENT ON COLUMN workshops.loss_limit IS 'The chance of a loss that is accepted at the walk-away price.';
