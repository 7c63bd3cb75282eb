-- +goose Up

-- The pictures themselves are files beside the database, named by their hash.
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

PRAGMA user_version = 2;

-- +goose Down
DROP TABLE photo;
PRAGMA user_version = 1;
