-- Leave of people and days on which stations are out of use.

CREATE TABLE absences (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  person_id     uuid,
  station_id    uuid,
  places        integer,
  first_day     date NOT NULL,
  last_day      date NOT NULL,
  why           text NOT NULL DEFAULT '',
  created_at    timestamptz NOT NULL,
  withdrawn_at  timestamptz,
  withdrawn_why text NOT NULL DEFAULT '',
  CONSTRAINT absences_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT absences_person_fkey FOREIGN KEY (workshop_id, person_id) REFERENCES people (workshop_id, id),
  CONSTRAINT absences_station_fkey FOREIGN KEY (workshop_id, station_id) REFERENCES stations (workshop_id, id),
  CONSTRAINT absences_of_one CHECK (num_nonnulls(person_id, station_id) = 1),
  CONSTRAINT absences_days_forward CHECK (first_day <= last_day),
  CONSTRAINT absences_places_of_station CHECK (places IS NULL OR station_id IS NOT NULL AND places > 0)
);
COMMENT ON TABLE absences IS 'Days, the first and the last included, on which a person is away or places of a station are out of use. What is withdrawn stays and counts no more.';
COMMENT ON COLUMN absences.places IS 'How many of the station''s; NULL: all.';
CREATE INDEX absences_standing_idx ON absences (workshop_id, last_day, first_day, id) WHERE withdrawn_at IS NULL;
CALL protect('absences');
GRANT SELECT, INSERT, UPDATE ON absences TO bentside_service;
