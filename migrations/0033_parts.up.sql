-- Parts in stock: what is kept, every move of it for good, and the totals that follow from the moves.

CREATE TABLE part_classes (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  name        text NOT NULL CONSTRAINT part_classes_name_given CHECK (name <> ''),
  method      text NOT NULL CONSTRAINT part_classes_method_known CHECK (method IN ('fifo', 'moving_average')),
  name_key    text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(name)) STORED,
  version     bigint NOT NULL DEFAULT 1,
  created_at  timestamptz NOT NULL,
  CONSTRAINT part_classes_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT part_classes_name_key UNIQUE (workshop_id, name_key),
  CONSTRAINT part_classes_workshop_fkey FOREIGN KEY (workshop_id) REFERENCES workshops (id)
);
COMMENT ON TABLE part_classes IS 'Parts of similar nature and use, which are valued in one way (IAS 2.25).';
CALL protect('part_classes');
GRANT SELECT, INSERT, UPDATE ON part_classes TO bentside_service;

CREATE TABLE parts (
  workshop_id   uuid NOT NULL,
  id            uuid NOT NULL,
  code          text NOT NULL CONSTRAINT parts_code_given CHECK (code <> ''),
  name          text NOT NULL CONSTRAINT parts_name_given CHECK (name <> ''),
  class_id      uuid NOT NULL,
  unit          text NOT NULL CONSTRAINT parts_unit_given CHECK (unit <> ''),
  purchase_unit text NOT NULL,
  content       numeric(20,6) NOT NULL,
  minimum       numeric(20,6) NOT NULL CONSTRAINT parts_minimum_positive CHECK (minimum >= 0),
  supplier_id   uuid,
  note          text NOT NULL,
  code_key      text COLLATE "C" NOT NULL GENERATED ALWAYS AS (lower(code)) STORED,
  version       bigint NOT NULL DEFAULT 1,
  created_at    timestamptz NOT NULL,
  CONSTRAINT parts_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT parts_code_key UNIQUE (workshop_id, code_key),
  CONSTRAINT parts_purchase_unit_has_content CHECK (CASE WHEN purchase_unit = '' THEN content = 0 ELSE content > 0 END),
  CONSTRAINT parts_class_fkey FOREIGN KEY (workshop_id, class_id) REFERENCES part_classes (workshop_id, id),
  CONSTRAINT parts_supplier_fkey FOREIGN KEY (workshop_id, supplier_id) REFERENCES parties (workshop_id, id)
);
COMMENT ON TABLE parts IS 'What is kept in stock and used interchangeably, with the unit that it is counted in.';
COMMENT ON COLUMN parts.content IS 'How many units one purchase unit holds; 0 where it is bought by the unit.';
CREATE INDEX parts_class_idx ON parts (workshop_id, class_id);
CALL protect('parts');
GRANT SELECT, INSERT, UPDATE ON parts TO bentside_service;

CREATE TABLE stock_moves (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  part_id     uuid NOT NULL,
  number      bigint NOT NULL CONSTRAINT stock_moves_number_positive CHECK (number > 0),
  kind        text NOT NULL CONSTRAINT stock_moves_kind_known
    CHECK (kind IN ('receipt', 'issue', 'return', 'sent_back', 'count', 'scrap', 'adjustment', 'reversal', 'recosting')),
  quantity    numeric(20,6) NOT NULL,
  value       bigint NOT NULL,
  entered     numeric(20,6),
  unit        text NOT NULL,
  held        numeric(20,6) NOT NULL,
  held_value  bigint NOT NULL,
  moved_on    date NOT NULL,
  posted_on   date NOT NULL,
  job_id      uuid,
  operation   text NOT NULL CONSTRAINT stock_moves_operation_of_job CHECK (operation = '' OR job_id IS NOT NULL),
  of_id       uuid,
  supplier_id uuid,
  reference   text NOT NULL,
  note        text NOT NULL,
  entries     integer NOT NULL CONSTRAINT stock_moves_entries_positive CHECK (entries >= 0),
  recorded_by uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  CONSTRAINT stock_moves_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT stock_moves_number_key UNIQUE (workshop_id, part_id, number),
  CONSTRAINT stock_moves_nothing_less_held CHECK (held >= 0 AND held_value >= 0),
  CONSTRAINT stock_moves_no_value_without_quantity CHECK (held > 0 OR held_value = 0),
  CONSTRAINT stock_moves_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id),
  CONSTRAINT stock_moves_job_fkey FOREIGN KEY (workshop_id, job_id) REFERENCES jobs (workshop_id, id),
  CONSTRAINT stock_moves_of_fkey FOREIGN KEY (workshop_id, of_id) REFERENCES stock_moves (workshop_id, id),
  CONSTRAINT stock_moves_supplier_fkey FOREIGN KEY (workshop_id, supplier_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT stock_moves_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE stock_moves IS 'Every move of every part, for good; what was entered wrongly is reversed by another move.';
COMMENT ON COLUMN stock_moves.number IS 'Counts the moves of a part from 1 in the order of recording, in which they are costed.';
COMMENT ON COLUMN stock_moves.value IS 'What the move adds to the value of stock, in minor units.';
COMMENT ON COLUMN stock_moves.held IS 'What is in stock after the move.';
COMMENT ON COLUMN stock_moves.moved_on IS 'The day on which it took place; recorded_at is when that was entered.';
COMMENT ON COLUMN stock_moves.posted_on IS 'The day on which it counts in the books.';
COMMENT ON COLUMN stock_moves.of_id IS 'The move that it refers to: the issue returned, the receipt sent back or adjusted, the move reversed.';
COMMENT ON COLUMN stock_moves.entries IS 'How many entries the move has, numbered from 1: so none can be slipped in later.';
CREATE INDEX stock_moves_day_idx ON stock_moves (workshop_id, part_id, moved_on);
CREATE INDEX stock_moves_job_idx ON stock_moves (workshop_id, job_id) WHERE job_id IS NOT NULL;
CREATE UNIQUE INDEX stock_moves_reversed_key ON stock_moves (workshop_id, of_id) WHERE kind = 'reversal';
CREATE INDEX stock_moves_receipts_idx ON stock_moves (workshop_id, part_id, number) WHERE kind = 'receipt';
CALL protect('stock_moves');
CALL append_only('stock_moves');

CREATE TABLE stock_entries (
  workshop_id uuid NOT NULL,
  move_id     uuid NOT NULL,
  line        integer NOT NULL CONSTRAINT stock_entries_line_positive CHECK (line > 0),
  layer_id    uuid NOT NULL,
  out_on      uuid,
  quantity    numeric(20,6) NOT NULL,
  value       bigint NOT NULL,
  CONSTRAINT stock_entries_pkey PRIMARY KEY (workshop_id, move_id, line),
  CONSTRAINT stock_entries_move_fkey FOREIGN KEY (workshop_id, move_id) REFERENCES stock_moves (workshop_id, id),
  CONSTRAINT stock_entries_layer_fkey FOREIGN KEY (workshop_id, layer_id) REFERENCES stock_moves (workshop_id, id),
  CONSTRAINT stock_entries_out_fkey FOREIGN KEY (workshop_id, out_on) REFERENCES stock_moves (workshop_id, id)
);
COMMENT ON TABLE stock_entries IS 'How much of which receipt each move brought to a place or took from it. The sum of the entries of a place is what is there.';
COMMENT ON COLUMN stock_entries.layer_id IS 'The receipt, or the count that found it.';
COMMENT ON COLUMN stock_entries.out_on IS 'The place: the move that took it out of stock; NULL: in stock.';
CREATE INDEX stock_entries_layer_idx ON stock_entries (workshop_id, layer_id);
CREATE INDEX stock_entries_out_idx ON stock_entries (workshop_id, out_on) WHERE out_on IS NOT NULL;
CALL protect('stock_entries');
CALL append_only('stock_entries');

CREATE FUNCTION within_its_move() RETURNS trigger
LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.line > (SELECT entries FROM stock_moves WHERE workshop_id = NEW.workshop_id AND id = NEW.move_id) THEN
    RAISE EXCEPTION 'a move of stock gets no more entries than it was recorded with'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'within_its_move';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER within_its_move BEFORE INSERT ON stock_entries FOR EACH ROW EXECUTE FUNCTION within_its_move();

CREATE TABLE holdings (
  workshop_id uuid NOT NULL,
  part_id     uuid NOT NULL,
  moves       bigint NOT NULL CONSTRAINT holdings_moves_positive CHECK (moves >= 0),
  quantity    numeric(20,6) NOT NULL,
  value       bigint NOT NULL,
  CONSTRAINT holdings_pkey PRIMARY KEY (workshop_id, part_id),
  CONSTRAINT holdings_nothing_less CHECK (quantity >= 0 AND value >= 0),
  CONSTRAINT holdings_no_value_without_quantity CHECK (quantity > 0 OR value = 0),
  CONSTRAINT holdings_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id)
);
COMMENT ON TABLE holdings IS 'What is in stock of each part: the sum of its moves, kept with them. Its row is locked before a part is moved.';
CALL protect('holdings');
GRANT SELECT, INSERT, UPDATE ON holdings TO bentside_service;

CREATE TABLE stock_layers (
  workshop_id uuid NOT NULL,
  id          uuid NOT NULL,
  part_id     uuid NOT NULL,
  received_on date NOT NULL,
  number      bigint NOT NULL,
  quantity    numeric(20,6) NOT NULL,
  value       bigint NOT NULL,
  CONSTRAINT stock_layers_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT stock_layers_nothing_less CHECK (quantity >= 0 AND value >= 0),
  CONSTRAINT stock_layers_no_value_without_quantity CHECK (quantity > 0 OR value = 0),
  CONSTRAINT stock_layers_move_fkey FOREIGN KEY (workshop_id, id) REFERENCES stock_moves (workshop_id, id),
  CONSTRAINT stock_layers_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id)
);
COMMENT ON TABLE stock_layers IS 'What is left in stock of each receipt: the sum of its entries, kept with them. Where the average is the method the value is in holdings and 0 here.';
CREATE INDEX stock_layers_held_idx ON stock_layers (workshop_id, part_id, received_on, number) WHERE quantity > 0;
CALL protect('stock_layers');
GRANT SELECT, INSERT, UPDATE ON stock_layers TO bentside_service;
