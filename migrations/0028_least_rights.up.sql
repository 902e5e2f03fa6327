-- The service may do to people and tokens what it must and nothing else: it reads the names of its
-- own workshop's members, adds a person only together with a membership in its own workshop, never
-- reads the hash of a token, and of what it may change there is one column, once: the revocation.

ALTER TABLE users ENABLE ROW LEVEL SECURITY;
ALTER TABLE users FORCE ROW LEVEL SECURITY;
CREATE POLICY owner_sees_all ON users TO bentside_owner USING (true) WITH CHECK (true);
CREATE POLICY own_members ON users FOR SELECT TO bentside_service USING (EXISTS (
  SELECT 1 FROM memberships m WHERE m.workshop_id = current_workshop() AND m.user_id = users.id
));

-- Whoever may add memberships may make anybody a member and then read the name. So only this
-- function adds them, and only for a person who is new.
CREATE FUNCTION add_member(id uuid, name text, role text, at timestamptz) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, public
BEGIN ATOMIC
  INSERT INTO users (id, name, created_at) VALUES (add_member.id, add_member.name, at);
  INSERT INTO memberships (workshop_id, user_id, role, created_at)
  VALUES (current_workshop(), add_member.id, add_member.role, at);
END;
REVOKE ALL ON FUNCTION add_member(uuid, text, text, timestamptz) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION add_member(uuid, text, text, timestamptz) TO bentside_service;

REVOKE INSERT ON users FROM bentside_service;
REVOKE INSERT, UPDATE ON memberships FROM bentside_service;
REVOKE SELECT, UPDATE ON tokens FROM bentside_service;
GRANT SELECT (workshop_id, id, user_id, note, expires_at, revoked_at, created_at), UPDATE (revoked_at)
  ON tokens TO bentside_service;
CREATE POLICY revoked_for_good ON tokens AS RESTRICTIVE FOR UPDATE TO bentside_service
  USING (revoked_at IS NULL) WITH CHECK (revoked_at IS NOT NULL);
