DROP TABLE plans;
