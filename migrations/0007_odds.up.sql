-- The odds of points that nobody looked at: a branch for each severity, and odds of their own for some points.
-- unknown_odds stays the chance of anything but sound: it holds where a row has no odds, and for releases before this.

ALTER TABLE workshops
  ADD COLUMN odds jsonb CONSTRAINT workshops_odds_default CHECK (odds IS NULL OR odds ? 'default');
COMMENT ON COLUMN workshops.odds IS 'How points that nobody looked at may be found: chances of sound, attention and must_act, by default and by point.';
