DROP POLICY revoked_for_good ON tokens;
REVOKE SELECT (workshop_id, id, user_id, note, expires_at, revoked_at, created_at), UPDATE (revoked_at)
  ON tokens FROM bentside_service;
GRANT SELECT, UPDATE ON tokens TO bentside_service;
GRANT INSERT, UPDATE ON memberships TO bentside_service;
GRANT INSERT ON users TO bentside_service;
DROP FUNCTION add_member(uuid, text, text, timestamptz);
DROP POLICY own_members ON users;
DROP POLICY owner_sees_all ON users;
ALTER TABLE users NO FORCE ROW LEVEL SECURITY;
ALTER TABLE users DISABLE ROW LEVEL SECURITY;
