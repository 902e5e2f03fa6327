DROP TABLE showroom_prices;
