DROP TABLE counter_return_lines, counter_returns, counter_sale_lines, counter_sales;
