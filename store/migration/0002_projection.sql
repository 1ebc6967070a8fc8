-- What the entries add up to, for quick reading. All of this can be thrown away and made
-- again from the entries at any time. "view" columns hold what package history computes.

-- Which entries are about a thing, in the fixed order.
CREATE TABLE about (
    of      TEXT    NOT NULL,   -- location, part, project, device
    subject TEXT    NOT NULL,
    id      TEXT    NOT NULL,
    hash    BLOB    NOT NULL,
    n       INTEGER NOT NULL REFERENCES entry (n),
    PRIMARY KEY (of, subject, id, hash)
) STRICT, WITHOUT ROWID;

CREATE TABLE project (
    id   TEXT NOT NULL PRIMARY KEY,
    view TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE part (
    id      TEXT    NOT NULL PRIMARY KEY,
    project TEXT    NOT NULL,
    view    TEXT    NOT NULL,
    counts  TEXT    NOT NULL,
    covered INTEGER NOT NULL    -- how many entries a sign-off would cover now
) STRICT, WITHOUT ROWID;
CREATE INDEX part_project ON part (project, id);

CREATE TABLE location (
    id   TEXT NOT NULL PRIMARY KEY,
    part TEXT NOT NULL,
    view TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX location_part ON location (part, id);

CREATE TABLE work (
    urgency  INTEGER NOT NULL,
    entry    TEXT    NOT NULL,  -- what brought it about
    location TEXT    NOT NULL,
    kind     TEXT    NOT NULL,
    part     TEXT    NOT NULL,
    tag      TEXT    NOT NULL,
    text     TEXT    NOT NULL,
    PRIMARY KEY (urgency, entry, location)
) STRICT, WITHOUT ROWID;
CREATE INDEX work_location ON work (location);
CREATE INDEX work_part ON work (part, urgency, entry, location);

-- What waits for an inspector's decision.
CREATE TABLE awaits (
    location TEXT NOT NULL PRIMARY KEY,
    finding  TEXT NOT NULL,
    part     TEXT NOT NULL,
    tag      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX awaits_order ON awaits (finding, location);

CREATE TABLE chain (
    device TEXT    NOT NULL PRIMARY KEY,
    name   TEXT    NOT NULL,
    seq    INTEGER NOT NULL,    -- up to here without a gap or a break
    hash   TEXT    NOT NULL,    -- of the entry there
    count  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE fault (
    device TEXT    NOT NULL,
    seq    INTEGER NOT NULL,
    kind   TEXT    NOT NULL,
    text   TEXT    NOT NULL,
    PRIMARY KEY (device, seq, kind, text)
) STRICT, WITHOUT ROWID;

-- What entries refer to and what has not come yet.
CREATE TABLE wanted_entry (
    id TEXT    NOT NULL,
    n  INTEGER NOT NULL REFERENCES entry (n),
    PRIMARY KEY (id, n)
) STRICT, WITHOUT ROWID;
CREATE TABLE wanted_photo (
    hash TEXT    NOT NULL,
    n    INTEGER NOT NULL REFERENCES entry (n),
    PRIMARY KEY (hash, n)
) STRICT, WITHOUT ROWID;
