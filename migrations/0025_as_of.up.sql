-- Plans and bids are worked out from a snapshot, outside of any transaction. Those made before were
-- worked out inside one and have no position: what has moved since isn't known of them.

ALTER TABLE plans ADD COLUMN as_of bigint;
COMMENT ON COLUMN plans.as_of IS 'The position of the newest event that its inputs hold; NULL for one made before this was recorded.';
ALTER TABLE bids ADD COLUMN as_of bigint;
COMMENT ON COLUMN bids.as_of IS 'The position of the newest event that its inputs hold; NULL for one made before this was recorded.';
