-- Standard kits of parts, which are issued to jobs in one request.

CREATE TABLE kits (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  name        text NOT NULL CONSTRAINT kits_name_given CHECK (name <> ''),
  lines       jsonb NOT NULL CONSTRAINT kits_lines_listed CHECK (jsonb_typeof(lines) = 'array'),
  note        text NOT NULL,
  name_key    text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(name)) STORED,
  version     bigint NOT NULL DEFAULT 1,
  created_at  timestamptz NOT NULL,
  CONSTRAINT kits_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT kits_name_key UNIQUE (workshop_id, name_key),
  CONSTRAINT kits_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE kits IS 'Sets of parts that are issued together. What was issued is in stock_moves and stays as it was when a kit is changed.';
COMMENT ON COLUMN kits.lines IS 'Which parts, and how much of each, in the order in which they are listed.';
CALL protect('kits');
GRANT SELECT, INSERT, UPDATE ON kits TO bentside_service;
