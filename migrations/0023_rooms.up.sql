-- The room in which a station stands: dust and open finish meet by room, and an instrument is in one room at a time.

ALTER TABLE stations
  ADD COLUMN room text NOT NULL DEFAULT '';
COMMENT ON COLUMN stations.room IS 'Empty: the station is a room of its own.';
