-- How much the figures of a bid vary, how they vary together, and what a workshop asks of a price because of it.
-- Workshops that set nothing get the defaults of domain.DefaultUncertainty.

ALTER TABLE workshops
  ADD COLUMN job_sd                     numeric(7,6) NOT NULL DEFAULT 0.15 CONSTRAINT workshops_job_sd_limits CHECK (job_sd BETWEEN 0 AND 1),
  ADD COLUMN group_sd                   numeric(7,6) NOT NULL DEFAULT 0.15 CONSTRAINT workshops_group_sd_limits CHECK (group_sd BETWEEN 0 AND 1),
  ADD COLUMN points_with_wear           numeric(7,6) NOT NULL DEFAULT 0.3  CONSTRAINT workshops_points_with_wear_limits CHECK (points_with_wear BETWEEN 0 AND 0.95),
  ADD COLUMN sale_with_wear_as_found    numeric(7,6) NOT NULL DEFAULT 0.4  CONSTRAINT workshops_sale_with_wear_as_found_limits CHECK (sale_with_wear_as_found BETWEEN 0 AND 0.95),
  ADD COLUMN sale_with_wear_recondition numeric(7,6) NOT NULL DEFAULT 0.3  CONSTRAINT workshops_sale_with_wear_recondition_limits CHECK (sale_with_wear_recondition BETWEEN 0 AND 0.95),
  ADD COLUMN sale_with_wear_restore     numeric(7,6) NOT NULL DEFAULT 0.15 CONSTRAINT workshops_sale_with_wear_restore_limits CHECK (sale_with_wear_restore BETWEEN 0 AND 0.95),
  ADD COLUMN sale_spread                numeric(7,6) NOT NULL DEFAULT 0.1  CONSTRAINT workshops_sale_spread_limits CHECK (sale_spread BETWEEN 0 AND 0.9),
  ADD COLUMN confidence                 numeric(7,6) NOT NULL DEFAULT 0    CONSTRAINT workshops_confidence_below_one CHECK (confidence >= 0 AND confidence < 1),
  ADD COLUMN room_to_move               numeric(7,6) NOT NULL DEFAULT 0.1  CONSTRAINT workshops_room_to_move_limits CHECK (room_to_move BETWEEN 0 AND 0.9);
COMMENT ON COLUMN workshops.job_sd IS 'Standard deviation of the factor, with mean one, on all labour of a job.';
COMMENT ON COLUMN workshops.group_sd IS 'Standard deviation of the factors, with mean one, on the labour of each group of work: belly, action, case.';
COMMENT ON COLUMN workshops.points_with_wear IS 'Spearman rank correlation of points that nobody has looked at with how worn the instrument is.';
COMMENT ON COLUMN workshops.sale_with_wear_as_found IS 'Strength of the Spearman rank correlation of the sale price with how worn the instrument is, sold as found; the price falls as wear rises.';
COMMENT ON COLUMN workshops.sale_with_wear_recondition IS 'The same, sold reconditioned.';
COMMENT ON COLUMN workshops.sale_with_wear_restore IS 'The same, sold restored.';
COMMENT ON COLUMN workshops.sale_spread IS 'Share of a sale price given without a range by which the range reaches to either side of it.';
COMMENT ON COLUMN workshops.confidence IS 'Least probability with which a price must leave the wanted profit; 0: none is asked.';
COMMENT ON COLUMN workshops.room_to_move IS 'Share by which an opening offer stays below the price that is aimed for.';
