-- +goose Up

-- What was done or seen, in the order in which it was recorded. Times are
-- microseconds since 1970 in UTC; zone is the offset of the clock they were
-- read from, in minutes east. corrects names an entry that may arrive later
-- from another device, so it is no foreign key.
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

CREATE INDEX entry_by_plant ON entry (plant, at);
CREATE INDEX entry_by_time ON entry (at);
CREATE INDEX entry_by_corrected ON entry (corrects) WHERE corrects IS NOT NULL;

-- +goose StatementBegin
CREATE TRIGGER entry_never_changes BEFORE UPDATE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries are never changed; add a correction');
END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER entry_never_goes BEFORE DELETE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries are never removed; add a withdrawal');
END;
-- +goose StatementEnd

CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

PRAGMA user_version = 1;

-- +goose Down
DROP TABLE meta;
DROP TABLE entry;
PRAGMA user_version = 0;
