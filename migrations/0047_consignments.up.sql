-- Instruments that we sell for their owners, on what terms, and what became of the price.

CREATE TABLE consignments (
  workshop_id      uuid NOT NULL,
  id               uuid NOT NULL,
  instrument_id    uuid NOT NULL,
  number           integer NOT NULL CONSTRAINT consignments_number_positive CHECK (number > 0),
  owner_id         uuid NOT NULL,
  share            numeric(20,6) NOT NULL CONSTRAINT consignments_share_of_price CHECK (share >= 0 AND share < 1),
  least_commission bigint NOT NULL CONSTRAINT consignments_least_positive CHECK (least_commission >= 0),
  borne            bigint NOT NULL CONSTRAINT consignments_borne_positive CHECK (borne >= 0),
  least_price      bigint CONSTRAINT consignments_least_price_positive CHECK (least_price > 0),
  effective_on     date NOT NULL,
  reference        text NOT NULL,
  note             text NOT NULL,
  recorded_by      uuid NOT NULL,
  recorded_at      timestamptz NOT NULL,
  CONSTRAINT consignments_pkey PRIMARY KEY (workshop_id, id),
  CONSTRAINT consignments_number_key UNIQUE (workshop_id, instrument_id, number),
  CONSTRAINT consignments_instrument_fkey FOREIGN KEY (workshop_id, instrument_id) REFERENCES instruments (workshop_id, id),
  CONSTRAINT consignments_owner_fkey FOREIGN KEY (workshop_id, owner_id) REFERENCES parties (workshop_id, id),
  CONSTRAINT consignments_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE consignments IS 'The terms on which we sell instruments for their owners. Amounts in minor units of the workshop''s currency, tax included.';
COMMENT ON COLUMN consignments.number IS 'Counts the consignments of an instrument from 1: so of two at once one is refused.';
COMMENT ON COLUMN consignments.share IS 'Our commission as a share of the price; it is never less than least_commission.';
COMMENT ON COLUMN consignments.borne IS 'What the owner bears of our work on it.';
COMMENT ON COLUMN consignments.least_price IS 'The least for which it may be sold; NULL: none was agreed.';
CREATE INDEX consignments_instrument_idx ON consignments (workshop_id, instrument_id, recorded_at, id);
CALL protect('consignments');
CALL append_only('consignments');

CREATE TABLE consignment_ends (
  workshop_id    uuid NOT NULL,
  consignment_id uuid NOT NULL,
  stays          boolean NOT NULL,
  effective_on   date NOT NULL,
  posted_on      date NOT NULL,
  note           text NOT NULL,
  recorded_by    uuid NOT NULL,
  recorded_at    timestamptz NOT NULL,
  CONSTRAINT consignment_ends_pkey PRIMARY KEY (workshop_id, consignment_id),
  CONSTRAINT consignment_ends_consignment_fkey FOREIGN KEY (workshop_id, consignment_id) REFERENCES consignments (workshop_id, id),
  CONSTRAINT consignment_ends_recorder_fkey FOREIGN KEY (workshop_id, recorded_by) REFERENCES memberships (workshop_id, user_id)
);
COMMENT ON TABLE consignment_ends IS 'Consignments under which nothing was sold and that no longer stand.';
COMMENT ON COLUMN consignment_ends.stays IS 'Whether the instrument stays with us; else its owner has it back.';
CALL protect('consignment_ends');
CALL append_only('consignment_ends');

ALTER TABLE sales ADD COLUMN consignment_id uuid, ADD COLUMN commission bigint, ADD COLUMN borne bigint, ADD COLUMN borne_tax bigint;
ALTER TABLE sales ADD CONSTRAINT sales_commission_of_a_consignment CHECK (num_nulls(consignment_id, commission, borne, borne_tax) IN (0, 4));
ALTER TABLE sales ADD CONSTRAINT sales_owner_gets_the_rest CHECK (commission >= 0 AND borne >= 0 AND commission + borne <= price AND borne_tax BETWEEN 0 AND least(tax, borne));
ALTER TABLE sales ADD CONSTRAINT sales_consignment_fkey FOREIGN KEY (workshop_id, consignment_id) REFERENCES consignments (workshop_id, id);
COMMENT ON COLUMN sales.consignment_id IS 'Under which it was sold for its owner; NULL: it was ours. The price less commission and borne is owed to the owner.';
COMMENT ON COLUMN sales.borne_tax IS 'That part of tax which is contained in what the owner bears.';
