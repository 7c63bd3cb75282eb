-- +goose Up

-- What was handed out to others: a round or a plant to look at or to tick, a
-- calendar to subscribe to. The address is signed with the key of its own row, so
-- that it cannot be made up, and ends with the row.
CREATE TABLE link (
  id      TEXT    PRIMARY KEY CHECK (length(id) = 36),
  name    TEXT    NOT NULL,
  sort    TEXT    NOT NULL CHECK (sort IN ('round', 'plant', 'calendar')),
  subject TEXT    NOT NULL DEFAULT '',
  scope   TEXT    NOT NULL CHECK (scope IN ('read', 'tick')),
  key     BLOB    NOT NULL CHECK (length(key) = 32),
  made    INTEGER NOT NULL,
  expires INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

PRAGMA user_version = 5;

-- +goose Down
DROP TABLE link;
PRAGMA user_version = 4;
