-- Instruments that were taken in part payment for one that we sold.

CREATE TABLE part_exchanges (
  workshop_id   uuid NOT NULL,
  sale_id       uuid NOT NULL,
  instrument_id uuid NOT NULL,
  value         bigint NOT NULL CONSTRAINT part_exchanges_value_positive CHECK (value > 0),
  tax           bigint NOT NULL CONSTRAINT part_exchanges_tax_of_value CHECK (tax >= 0 AND tax < value),
  stock_number  text NOT NULL,
  reference     text NOT NULL,
  document_id   uuid NOT NULL,
  CONSTRAINT part_exchanges_pkey PRIMARY KEY (workshop_id, sale_id),
  CONSTRAINT part_exchanges_document_key UNIQUE (workshop_id, document_id),
  CONSTRAINT part_exchanges_sale_fkey FOREIGN KEY (workshop_id, sale_id) REFERENCES sales (workshop_id, id),
  CONSTRAINT part_exchanges_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT part_exchanges_document_fkey FOREIGN KEY (workshop_id, document_id) REFERENCES cost_documents (workshop_id, id)
);
COMMENT ON TABLE part_exchanges IS 'What was taken in part payment for a sale, at its agreed value. Amounts in minor units of the workshop''s currency.';
COMMENT ON COLUMN part_exchanges.value IS 'Part of the price of the sale; less tax, which the buyer''s paper shows, it is what the instrument was bought for.';
COMMENT ON COLUMN part_exchanges.document_id IS 'The record of its purchase.';
CALL protect('part_exchanges');
CALL append_only('part_exchanges');
