-- Devices that may come in. Not part of the record: a name, a role and the hash of a token.

CREATE TABLE device (
    id         TEXT    NOT NULL PRIMARY KEY,                     -- UUID; its chain in the record bears the same
    name       TEXT    NOT NULL,
    role       TEXT    NOT NULL CHECK (role IN ('builder', 'inspector')),
    owner      INTEGER NOT NULL CHECK (owner IN (0, 1)),         -- the laptop's own browser
    token      BLOB    NOT NULL UNIQUE CHECK (length(token) = 32), -- SHA-256 of the token
    joined_ms  INTEGER NOT NULL,
    seen_ms    INTEGER NOT NULL,
    revoked_ms INTEGER                                           -- NULL: may come in
) STRICT, WITHOUT ROWID;
