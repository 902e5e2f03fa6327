DROP TABLE supplier_returns, received, arrivals, deliveries, order_cancellations, order_lines, orders;
