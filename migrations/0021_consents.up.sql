-- What a client said yes to where a job isn't the option of an accepted quotation.

CREATE TABLE job_consents (
  workshop_id   uuid NOT NULL,
  job_id        uuid NOT NULL,
  party_id      uuid NOT NULL,
  given_on      date NOT NULL,
  how           text NOT NULL CONSTRAINT job_consents_how_given CHECK (how <> ''),
  agreed_to     text NOT NULL CONSTRAINT job_consents_agreed_to_given CHECK (agreed_to <> ''),
  scope_version bigint NOT NULL,
  instead_of    uuid,
  recorded_by   uuid NOT NULL,
  created_at    timestamptz NOT NULL,
  CONSTRAINT job_consents_pkey PRIMARY KEY (workshop_id, job_id),
  CONSTRAINT job_consents_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT job_consents_party_fkey FOREIGN KEY (workshop_id, party_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT job_consents_quotation_fkey FOREIGN KEY (workshop_id, instead_of) REFERENCES quotations (workshop_id, id)
);
COMMENT ON TABLE job_consents IS 'The client''s word for a job that no accepted quotation covers: who gave it, when, how and to what.';
COMMENT ON COLUMN job_consents.scope_version IS 'The version of the job''s scope that the client said yes to.';
COMMENT ON COLUMN job_consents.instead_of IS 'The accepted quotation that the job departs from. NULL: there was none.';
CALL protect('job_consents');
CALL append_only('job_consents');
