ALTER TABLE workshops DROP CONSTRAINT workshops_unknown_odds_default;
ALTER TABLE workshops ALTER COLUMN unknown_odds TYPE numeric(7,6)
  USING 1 - (unknown_odds -> 'default' ->> 'sound')::numeric;
ALTER TABLE workshops ADD CONSTRAINT workshops_unknown_odds_share CHECK (unknown_odds >= 0 AND unknown_odds <= 1);
