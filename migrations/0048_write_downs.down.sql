DROP TABLE losses, valuations;
