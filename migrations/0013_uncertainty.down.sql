ALTER TABLE workshops
  DROP COLUMN job_sd, DROP COLUMN group_sd, DROP COLUMN points_with_wear, DROP COLUMN sale_with_wear_as_found,
  DROP COLUMN sale_with_wear_recondition, DROP COLUMN sale_with_wear_restore, DROP COLUMN sale_spread, DROP COLUMN confidence,
  DROP COLUMN room_to_move;
