-- The foundations: tenancy, identity, the event feed, idempotency, documents.
--
-- Every table of a workshop starts its primary key with workshop_id and is
-- under forced row-level security: the service role sees the workshop named by
-- app.workshop and nothing without it; the owner sees all, or back-fills would
-- silently change no rows.

-- The table that the migrations themselves are counted in: the service asks
-- whether it has the schema that it was built with.
GRANT SELECT ON schema_migrations TO bentside_service;

CREATE FUNCTION current_workshop() RETURNS uuid
LANGUAGE sql STABLE PARALLEL SAFE
RETURN nullif(current_setting('app.workshop', true), '')::uuid;

COMMENT ON FUNCTION current_workshop() IS
  'The workshop that the transaction works for; NULL where none was named. nullif, since a reused connection holds an empty string.';

-- protect puts a table under the two policies. It is called once per table.
CREATE PROCEDURE protect(target regclass, key text DEFAULT 'workshop_id')
LANGUAGE plpgsql AS $$
BEGIN
  EXECUTE format('ALTER TABLE %s ENABLE ROW LEVEL SECURITY', target);
  EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', target);
  EXECUTE format('CREATE POLICY owner_sees_all ON %s TO bentside_owner USING (true) WITH CHECK (true)', target);
  EXECUTE format('CREATE POLICY own_workshop ON %s TO bentside_service USING (%I = current_workshop()) WITH CHECK (%I = current_workshop())',
                 target, key, key);
END $$;

-- keep_forever is the second wall of append-only tables; the first is that the
-- service role has no right to change them.
CREATE FUNCTION keep_forever() RETURNS trigger
LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'rows of % are never changed or removed', tg_table_name
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'keep_forever';
END $$;

CREATE PROCEDURE append_only(target regclass)
LANGUAGE plpgsql AS $$
BEGIN
  EXECUTE format('CREATE TRIGGER keep_forever BEFORE UPDATE OR DELETE ON %s FOR EACH ROW EXECUTE FUNCTION keep_forever()', target);
  EXECUTE format('CREATE TRIGGER keep_forever_whole BEFORE TRUNCATE ON %s FOR EACH STATEMENT EXECUTE FUNCTION keep_forever()', target);
  EXECUTE format('GRANT SELECT, INSERT ON %s TO bentside_service', target);
END $$;

-- Workshops and people who may work in them ---------------------------------

CREATE TABLE workshops (
  id              uuid PRIMARY KEY,
  name            text NOT NULL CONSTRAINT workshops_name_given CHECK (name <> ''),
  zone            text NOT NULL,
  currency        char(3) NOT NULL,
  overhead_rate   numeric(12,4) NOT NULL CONSTRAINT workshops_overhead_rate_positive CHECK (overhead_rate >= 0),
  tax_regime      text NOT NULL CONSTRAINT workshops_tax_regime_known CHECK (tax_regime IN ('none', 'standard', 'margin')),
  tax_rate        numeric(7,6) NOT NULL CONSTRAINT workshops_tax_rate_share CHECK (tax_rate >= 0 AND tax_rate < 1),
  target_share    numeric(7,6) NOT NULL CONSTRAINT workshops_target_share_below_one CHECK (target_share >= 0 AND target_share < 1),
  selling_share   numeric(7,6) NOT NULL CONSTRAINT workshops_selling_share_below_one CHECK (selling_share >= 0 AND selling_share < 1),
  selling_fixed   numeric(14,4) NOT NULL CONSTRAINT workshops_selling_fixed_positive CHECK (selling_fixed >= 0),
  finance_rate    numeric(7,6) NOT NULL CONSTRAINT workshops_finance_rate_share CHECK (finance_rate >= 0 AND finance_rate < 1),
  storage_per_day numeric(14,4) NOT NULL CONSTRAINT workshops_storage_positive CHECK (storage_per_day >= 0),
  days_on_floor   integer NOT NULL CONSTRAINT workshops_days_on_floor_sane CHECK (days_on_floor BETWEEN 0 AND 3650),
  bidding_step    numeric(14,4) NOT NULL CONSTRAINT workshops_bidding_step_positive CHECK (bidding_step > 0),
  unknown_odds    numeric(7,6) NOT NULL CONSTRAINT workshops_unknown_odds_share CHECK (unknown_odds >= 0 AND unknown_odds <= 1),
  labour_rates    jsonb NOT NULL,
  opening_hours   jsonb NOT NULL,
  version         bigint NOT NULL DEFAULT 1,
  created_at      timestamptz NOT NULL
);
COMMENT ON TABLE workshops IS 'The tenants with the settings that estimates, plans and bids are drawn up with.';
COMMENT ON COLUMN workshops.labour_rates IS 'Cost per productive hour by skill: an object of decimal strings in the workshop''s currency.';
CALL protect('workshops', 'id');
GRANT SELECT, INSERT, UPDATE ON workshops TO bentside_service;

CREATE TABLE users (
  id         uuid PRIMARY KEY,
  name       text NOT NULL CONSTRAINT users_name_given CHECK (name <> ''),
  created_at timestamptz NOT NULL
);
COMMENT ON TABLE users IS 'People, global: one person may belong to several workshops. The only place of a name, so that it can be erased.';
GRANT SELECT, INSERT ON users TO bentside_service;

CREATE TABLE memberships (
  workshop_id uuid NOT NULL,
  user_id     uuid NOT NULL,
  role        text NOT NULL CONSTRAINT memberships_role_known CHECK (role IN ('owner', 'buyer', 'manager', 'bench', 'bookkeeper', 'viewer')),
  created_at  timestamptz NOT NULL,
  CONSTRAINT memberships_pkey PRIMARY KEY (workshop_id, user_id),
  CONSTRAINT memberships_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id),
  CONSTRAINT memberships_user_fkey FOREIGN KEY (user_id) REFERENCES users (id)
);
COMMENT ON TABLE memberships IS 'Who has which role in which workshop.';
CALL protect('memberships');
GRANT SELECT, INSERT, UPDATE ON memberships TO bentside_service;

CREATE TABLE tokens (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  user_id     uuid NOT NULL,
  hash        bytea NOT NULL CONSTRAINT tokens_hash_is_sha256 CHECK (length(hash) = 32),
  note        text NOT NULL,
  expires_at  timestamptz,
  revoked_at  timestamptz,
  created_at  timestamptz NOT NULL,
  CONSTRAINT tokens_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT tokens_hash_key UNIQUE (hash),
  CONSTRAINT tokens_membership_fkey FOREIGN KEY (workshop_id, user_id) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE tokens IS 'Bearer tokens, kept as SHA-256 of the secret; the secret itself is shown once.';
CALL protect('tokens');
GRANT SELECT, INSERT, UPDATE ON tokens TO bentside_service;

-- A token is looked up before the workshop is known, so this one function looks
-- past row-level security, by hash and nothing else.
CREATE FUNCTION bearer(secret_hash bytea, at timestamptz)
RETURNS TABLE (workshop_id uuid, user_id uuid, token_id uuid, role text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, public
BEGIN ATOMIC
  SELECT t.workshop_id, t.user_id, t.id, m.role
  FROM tokens t
  JOIN memberships m ON m.workshop_id = t.workshop_id AND m.user_id = t.user_id
  WHERE t.hash = secret_hash
    AND t.revoked_at IS NULL
    AND (t.expires_at IS NULL OR t.expires_at > at);
END;
REVOKE ALL ON FUNCTION bearer(bytea, timestamptz) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION bearer(bytea, timestamptz) TO bentside_service;

-- The head of each workshop's feed ------------------------------------------

CREATE TABLE heads (
  workshop_id   uuid PRIMARY KEY,
  feed_position bigint NOT NULL DEFAULT 0,
  entry_number  bigint NOT NULL DEFAULT 0,
  chain_hash    bytea NOT NULL DEFAULT '\x',
  CONSTRAINT heads_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE heads IS 'One row per workshop, locked last in every write, just before the commit: so positions have no gaps and stand in the order of commits.';
CALL protect('heads');
GRANT SELECT, INSERT, UPDATE ON heads TO bentside_service;

CREATE TABLE events (
  workshop_id uuid NOT NULL,
  position    bigint NOT NULL,
  kind        text NOT NULL,
  subject     uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  actor       uuid NOT NULL,
  request_id  text NOT NULL,
  reason      text NOT NULL,
  data        jsonb NOT NULL,
  CONSTRAINT events_pkey PRIMARY KEY (workshop_id, position),
  CONSTRAINT events_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE events IS 'What happened, in commit order: the feed that other systems read and the audit of every write (who, which request, why).';
CREATE INDEX events_subject_idx ON events (workshop_id, subject, position);
CALL protect('events');
CALL append_only('events');

-- Requests that may be sent again --------------------------------------------

CREATE TABLE idempotency_keys (
  workshop_id uuid NOT NULL,
  user_id     uuid NOT NULL,
  route       text NOT NULL,
  key         text NOT NULL,
  fingerprint bytea NOT NULL CONSTRAINT idempotency_keys_fingerprint_is_sha256 CHECK (length(fingerprint) = 32),
  status      integer NOT NULL,
  headers     jsonb NOT NULL,
  body        bytea NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT idempotency_keys_pkey PRIMARY KEY (workshop_id, user_id, route, key),
  CONSTRAINT idempotency_keys_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE idempotency_keys IS 'The answer given to each Idempotency-Key, stored with its effect, so that a repeated request gets the same answer and does nothing twice.';
CREATE INDEX idempotency_keys_created_idx ON idempotency_keys (workshop_id, created_at);
CALL protect('idempotency_keys');
GRANT SELECT, INSERT, DELETE ON idempotency_keys TO bentside_service;

-- Documents: catalogue revisions, snapshots of inputs and results -------------

CREATE TABLE documents (
  workshop_id uuid NOT NULL,
  hash        bytea NOT NULL,
  body        bytea NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT documents_pkey PRIMARY KEY (workshop_id, hash),
  CONSTRAINT documents_addressed_by_content CHECK (hash = sha256(body)),
  CONSTRAINT documents_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE documents IS 'Immutable canonical documents under the SHA-256 of their bytes: what a bid was computed from stays what it was.';
CALL protect('documents');
CALL append_only('documents');

CREATE TABLE catalogue_revisions (
  workshop_id uuid NOT NULL,
  number      integer NOT NULL CONSTRAINT catalogue_revisions_number_positive CHECK (number > 0),
  document    bytea NOT NULL,
  note        text NOT NULL,
  created_at  timestamptz NOT NULL,
  CONSTRAINT catalogue_revisions_pkey PRIMARY KEY (workshop_id, number),
  CONSTRAINT catalogue_revisions_document_fkey FOREIGN KEY (workshop_id, document) REFERENCES documents (workshop_id, hash)
);
COMMENT ON TABLE catalogue_revisions IS 'The workshop''s catalogue through time; a revision never changes and a scope pins one.';
CALL protect('catalogue_revisions');
CALL append_only('catalogue_revisions');
