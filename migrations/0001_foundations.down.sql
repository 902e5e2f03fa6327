DROP TABLE catalogue_revisions, documents, idempotency_keys, events, heads, tokens, memberships, users, workshops CASCADE;
DROP FUNCTION bearer(bytea, timestamptz);
DROP PROCEDURE append_only(regclass);
DROP FUNCTION keep_forever();
DROP PROCEDURE protect(regclass, text);
DROP FUNCTION current_workshop();
