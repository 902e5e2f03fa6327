-- Instruments of ours that were taken apart, and the parts that came of them.

ALTER TABLE losses DROP CONSTRAINT losses_kind_known;
ALTER TABLE losses ADD CONSTRAINT losses_kind_known
  CHECK (kind IN ('missing', 'stolen', 'destroyed', 'scrapped', 'parted_out'));

CREATE TABLE recovered_parts (
  workshop_id   uuid NOT NULL,
  instrument_id uuid NOT NULL,
  line          integer NOT NULL CONSTRAINT recovered_parts_line_positive CHECK (line > 0),
  part_id       uuid NOT NULL,
  quantity      numeric(20,6) NOT NULL CONSTRAINT recovered_parts_quantity_positive CHECK (quantity > 0),
  unit          text NOT NULL,
  worth         bigint NOT NULL,
  cost          bigint NOT NULL CONSTRAINT recovered_parts_never_above_worth CHECK (cost BETWEEN 0 AND worth),
  receipt_id    uuid NOT NULL,
  CONSTRAINT recovered_parts_pkey PRIMARY KEY (workshop_id, instrument_id, line),
  CONSTRAINT recovered_parts_receipt_key UNIQUE (workshop_id, receipt_id),
  CONSTRAINT recovered_parts_loss_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES losses (workshop_id, instrument_id),
  CONSTRAINT recovered_parts_part_fkey FOREIGN KEY (workshop_id, part_id) REFERENCES parts (workshop_id, id),
  CONSTRAINT recovered_parts_receipt_fkey FOREIGN KEY (workshop_id, receipt_id) REFERENCES stock_moves (workshop_id, id)
);
COMMENT ON TABLE recovered_parts IS 'What instruments gave that were parted out: each line came into stock by a receipt. Amounts in minor units of the workshop''s currency.';
COMMENT ON COLUMN recovered_parts.worth IS 'What all of the line is worth by itself, by which the carrying amount was shared.';
COMMENT ON COLUMN recovered_parts.cost IS 'Its share of what the instrument stood at.';
CALL protect('recovered_parts');
CALL append_only('recovered_parts');
