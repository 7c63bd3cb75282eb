-- +goose Up

-- Who is signed in. The token itself is not kept, only its hash.
CREATE TABLE session (
  token  BLOB    PRIMARY KEY CHECK (length(token) = 32),
  data   BLOB    NOT NULL,
  expiry INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX session_by_expiry ON session (expiry);

-- The hash of the passphrase, and one row per machine that may call in.
CREATE TABLE secret (
  name  TEXT    PRIMARY KEY,
  sort  TEXT    NOT NULL CHECK (sort IN ('passphrase', 'machine')),
  hash  TEXT    NOT NULL UNIQUE,
  scope TEXT    NOT NULL DEFAULT '',
  made  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

PRAGMA user_version = 3;

-- +goose Down
DROP TABLE secret;
DROP TABLE session;
PRAGMA user_version = 2;
