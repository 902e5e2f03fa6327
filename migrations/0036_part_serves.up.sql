-- Which materials of the catalogue a part serves, so that what jobs call for is held against stock.

ALTER TABLE parts ADD COLUMN serves jsonb NOT NULL DEFAULT '[]';
COMMENT ON COLUMN parts.serves IS 'The materials of the catalogue that it serves: operation, material, and how many units of stock one unit of the material takes.';
