-- What was counted or measured on an instrument, and the scale of its strings.
-- New tables only: nothing is locked.

CREATE TABLE measurements (
  workshop_id   uuid NOT NULL,
  instrument_id uuid NOT NULL,
  driver        text NOT NULL,
  value         numeric(20,6) NOT NULL CONSTRAINT measurements_value_sane CHECK (value >= 0),
  taken_by      text NOT NULL CONSTRAINT measurements_taker_named CHECK (taken_by <> ''),
  why           text NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT measurements_pkey PRIMARY KEY (workshop_id, instrument_id, driver),
  CONSTRAINT measurements_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id)
);
COMMENT ON TABLE measurements IS 'Quantities that were counted or measured on an instrument, in place of what a formula comes to. The instrument''s version counts them.';
CALL protect('measurements');
GRANT SELECT, INSERT, DELETE ON measurements TO bentside_service;

CREATE TABLE scale_notes (
  workshop_id   uuid NOT NULL,
  instrument_id uuid NOT NULL,
  note          integer NOT NULL CONSTRAINT scale_notes_note_sane CHECK (note BETWEEN 1 AND 108),
  strings       integer NOT NULL CONSTRAINT scale_notes_strings_sane CHECK (strings BETWEEN 1 AND 4),
  wound         boolean NOT NULL,
  length_mm     numeric(20,6) NOT NULL CONSTRAINT scale_notes_length_positive CHECK (length_mm > 0),
  core_mm       numeric(20,6) NOT NULL CONSTRAINT scale_notes_core_positive CHECK (core_mm > 0),
  gauge         numeric(4,1),
  overall_mm    numeric(20,6) NOT NULL,
  section       text NOT NULL,
  recorded_at   timestamptz NOT NULL,
  CONSTRAINT scale_notes_pkey PRIMARY KEY (workshop_id, instrument_id, note),
  CONSTRAINT scale_notes_wound_over_core CHECK (CASE WHEN wound THEN overall_mm > core_mm ELSE overall_mm = 0 END),
  CONSTRAINT scale_notes_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id)
);
COMMENT ON TABLE scale_notes IS 'The strings of an instrument as measured, a row to a note; the instrument''s version counts them.';
COMMENT ON COLUMN scale_notes.gauge IS 'The number that the wire was told by, a label: the diameter counts.';
CALL protect('scale_notes');
GRANT SELECT, INSERT, DELETE ON scale_notes TO bentside_service;
