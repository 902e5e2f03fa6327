DROP TABLE sending_ends;
DROP TABLE sending_days;
DROP TABLE sendings;
