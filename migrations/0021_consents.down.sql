DROP TABLE job_consents;
