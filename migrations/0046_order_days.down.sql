DROP TABLE order_days;
