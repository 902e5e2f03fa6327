-- The odds of points that nobody looked at: a branch for each severity, and odds of their own for some points. What was
-- one chance is shared evenly between attention and must act.

ALTER TABLE workshops DROP CONSTRAINT workshops_unknown_odds_share;
ALTER TABLE workshops ALTER COLUMN unknown_odds TYPE jsonb USING jsonb_build_object('default', jsonb_build_object(
  'sound', (1 - 2 * round(unknown_odds / 2, 4))::text,
  'attention', round(unknown_odds / 2, 4)::text,
  'must_act', round(unknown_odds / 2, 4)::text));
ALTER TABLE workshops ADD CONSTRAINT workshops_unknown_odds_default CHECK (unknown_odds -> 'default' IS NOT NULL);
COMMENT ON COLUMN workshops.unknown_odds IS 'How points that nobody looked at may be found: chances of sound, attention and must_act, by default and by point.';
