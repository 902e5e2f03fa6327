DROP TABLE stock_layers, holdings, stock_entries, stock_moves, parts, part_classes;
DROP FUNCTION within_its_move;
