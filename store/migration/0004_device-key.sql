-- The key that a device signs its entries with, as it told it when it joined; NULL: it has told none.

ALTER TABLE device ADD COLUMN key TEXT;
ALTER TABLE device ADD COLUMN keyed_ms INTEGER;
