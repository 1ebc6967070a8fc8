-- The record: entries and photos, each written once. Nothing here is ever changed or removed.

CREATE TABLE meta (
    key   TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE entry (
    n           INTEGER PRIMARY KEY AUTOINCREMENT,             -- order of arrival here
    hash        BLOB    NOT NULL UNIQUE CHECK (length(hash) = 32), -- SHA-256 of bytes
    id          TEXT    NOT NULL,
    device      TEXT    NOT NULL,
    seq         INTEGER NOT NULL CHECK (seq > 0),
    prev        TEXT    NOT NULL,                              -- hex, '' at the start of a chain
    kind        TEXT    NOT NULL,
    part        TEXT    NOT NULL,                              -- the part that it concerns, '' for none
    at_ms       INTEGER NOT NULL,                              -- the device's clock
    received_ms INTEGER NOT NULL,                              -- the clock here
    bytes       TEXT    NOT NULL                               -- the canonical bytes
) STRICT;

CREATE INDEX entry_id ON entry (id, hash);
CREATE INDEX entry_chain ON entry (device, seq);
CREATE INDEX entry_part ON entry (part, id, hash) WHERE part <> '';

CREATE TRIGGER entry_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entry_never_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;
-- INSERT OR REPLACE would remove the old row without asking the trigger above.
CREATE TRIGGER entry_never_replaced BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE hash = NEW.hash OR n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'an entry is never replaced'); END;

CREATE TABLE photo (
    hash        TEXT    NOT NULL PRIMARY KEY CHECK (length(hash) = 64), -- SHA-256 of the file, hex
    length      INTEGER NOT NULL CHECK (length > 0),
    media       TEXT    NOT NULL,
    received_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TRIGGER photo_never_changed BEFORE UPDATE ON photo
BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
CREATE TRIGGER photo_never_removed BEFORE DELETE ON photo
BEGIN SELECT RAISE(ABORT, 'a photo is never removed'); END;
CREATE TRIGGER photo_never_replaced BEFORE INSERT ON photo
WHEN EXISTS (SELECT 1 FROM photo WHERE hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'a photo is never replaced'); END;
