DROP TABLE confirmations;
