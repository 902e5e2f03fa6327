DROP TABLE supplier_adjustments, supplier_payments, supplier_bill_shares, supplier_bill_shared, supplier_bill_lines, payables, supplier_bills;
