-- What the seller's invoice shows decides for good how the instrument may be taxed when it is sold.
-- Purchases recorded before have none: nobody was asked.

ALTER TABLE offers ADD COLUMN open_regimes text[];
ALTER TABLE offers ADD CONSTRAINT offers_open_regimes_known
    CHECK (open_regimes <@ ARRAY['none', 'standard', 'margin']) NOT VALID;
ALTER TABLE offers VALIDATE CONSTRAINT offers_open_regimes_known;
COMMENT ON COLUMN offers.open_regimes IS 'The tax regimes that the purchase leaves open to the sale; NULL where it is no purchase or was recorded before this was asked.';
