UPDATE instruments SET state = 'ready' WHERE state = 'sold';
ALTER TABLE instruments DROP CONSTRAINT instruments_state_known;
ALTER TABLE instruments ADD CONSTRAINT instruments_state_known CHECK (state IN ('considered', 'let_go', 'waiting', 'in_work', 'ready', 'gone'));
DROP TABLE sale_returns, hand_overs, deposit_moves, sales;
