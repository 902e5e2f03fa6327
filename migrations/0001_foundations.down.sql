DROP FUNCTION bearer(bytea, timestamptz);
DROP TABLE catalogue_revisions, documents, idempotency_keys, events, heads, tokens, memberships, users, workshops;
DROP PROCEDURE append_only(regclass);
DROP FUNCTION keep_forever();
DROP PROCEDURE protect(regclass, text);
DROP FUNCTION current_workshop();
REVOKE SELECT ON schema_migrations FROM bentside_service;
