-- index entry_by_corrected
CREATE INDEX entry_by_corrected ON entry (corrects) WHERE corrects IS NOT NULL;

-- index entry_by_plant
CREATE INDEX entry_by_plant ON entry (plant, at);

-- index entry_by_time
CREATE INDEX entry_by_time ON entry (at);

-- index session_by_expiry
CREATE INDEX session_by_expiry ON session (expiry);

-- table entry
CREATE TABLE entry (
  seq      INTEGER PRIMARY KEY,
  id       TEXT    NOT NULL UNIQUE CHECK (length(id) = 36),
  at       INTEGER NOT NULL,
  zone     INTEGER NOT NULL CHECK (zone BETWEEN -1439 AND 1439),
  recorded INTEGER NOT NULL,
  kind     TEXT    NOT NULL,
  plant    TEXT    NOT NULL DEFAULT '',
  corrects TEXT,
  who      TEXT    NOT NULL DEFAULT '',
  detail   TEXT    NOT NULL CHECK (json_valid(detail)),
  digest   BLOB    NOT NULL CHECK (length(digest) = 32)
) STRICT;

-- table meta
CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- table photo
CREATE TABLE photo (
  hash     TEXT    PRIMARY KEY CHECK (length(hash) = 64),
  media    TEXT    NOT NULL,
  bytes    INTEGER NOT NULL CHECK (bytes > 0),
  width    INTEGER NOT NULL CHECK (width >= 0),
  height   INTEGER NOT NULL CHECK (height >= 0),
  taken    INTEGER,
  zone     INTEGER NOT NULL DEFAULT 0 CHECK (zone BETWEEN -1439 AND 1439),
  original INTEGER NOT NULL CHECK (original IN (0, 1)),
  recorded INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- table secret
CREATE TABLE secret (
  name  TEXT    PRIMARY KEY,
  sort  TEXT    NOT NULL CHECK (sort IN ('passphrase', 'machine')),
  hash  TEXT    NOT NULL UNIQUE,
  scope TEXT    NOT NULL DEFAULT '',
  made  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- table session
CREATE TABLE session (
  token  BLOB    PRIMARY KEY CHECK (length(token) = 32),
  data   BLOB    NOT NULL,
  expiry INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- trigger entry_never_changes
CREATE TRIGGER entry_never_changes BEFORE UPDATE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries are never changed; add a correction');
END;

-- trigger entry_never_goes
CREATE TRIGGER entry_never_goes BEFORE DELETE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries are never removed; add a withdrawal');
END;

