-- index entry_by_corrected
CREATE INDEX entry_by_corrected ON entry (corrects) WHERE corrects IS NOT NULL;

-- index entry_by_plant
CREATE INDEX entry_by_plant ON entry (plant, at);

-- index entry_by_time
CREATE INDEX entry_by_time ON entry (at);

-- index session_by_expiry
CREATE INDEX session_by_expiry ON session (expiry);

-- table channel
CREATE TABLE channel (
  id       INTEGER PRIMARY KEY,
  space    INTEGER NOT NULL REFERENCES measured_space (id),
  source   TEXT    NOT NULL,
  quantity TEXT    NOT NULL CHECK (quantity IN ('temperature', 'humidity', 'light')),
  UNIQUE (space, source, quantity)
) STRICT;

-- table climate_day
CREATE TABLE climate_day (
  space   INTEGER NOT NULL REFERENCES measured_space (id),
  day     INTEGER NOT NULL,
  summary TEXT    NOT NULL CHECK (json_valid(summary)),
  seal    INTEGER NOT NULL,
  PRIMARY KEY (space, day)
) STRICT, WITHOUT ROWID;

-- table climate_hour
CREATE TABLE climate_hour (
  space    INTEGER NOT NULL REFERENCES measured_space (id),
  start    INTEGER NOT NULL,
  lit      INTEGER NOT NULL CHECK (lit IN (0, 1)),
  temp_min INTEGER, temp_mean INTEGER, temp_max INTEGER, temp_count INTEGER NOT NULL,
  rh_min   INTEGER, rh_mean   INTEGER, rh_max   INTEGER, rh_count   INTEGER NOT NULL,
  vpd_min  INTEGER, vpd_mean  INTEGER, vpd_max  INTEGER, vpd_count  INTEGER NOT NULL,
  ppfd_min INTEGER, ppfd_mean INTEGER, ppfd_max INTEGER, ppfd_count INTEGER NOT NULL,
  seal     INTEGER NOT NULL,
  PRIMARY KEY (space, start)
) STRICT, WITHOUT ROWID;

-- table climate_stale
CREATE TABLE climate_stale (
  space INTEGER NOT NULL REFERENCES measured_space (id),
  hour  INTEGER NOT NULL,
  PRIMARY KEY (space, hour)
) STRICT, WITHOUT ROWID;

-- table delivery
CREATE TABLE delivery (
  client  TEXT    NOT NULL,
  packet  INTEGER NOT NULL,
  digest  BLOB    NOT NULL CHECK (length(digest) = 32),
  PRIMARY KEY (client, packet)
) STRICT, WITHOUT ROWID;

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

-- table link
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

-- table measured_space
CREATE TABLE measured_space (
  id    INTEGER PRIMARY KEY,
  name  TEXT    NOT NULL UNIQUE COLLATE NOCASE,
  clock TEXT    NOT NULL DEFAULT ''
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
  recorded INTEGER NOT NULL,
  digest   BLOB    NOT NULL CHECK (length(digest) = 32)
) STRICT, WITHOUT ROWID;

-- table reading_block
CREATE TABLE reading_block (
  channel INTEGER NOT NULL REFERENCES channel (id),
  start   INTEGER NOT NULL CHECK (start % 14400 = 0),
  packed  BLOB    NOT NULL,
  digest  BLOB    NOT NULL CHECK (length(digest) = 32),
  PRIMARY KEY (channel, start)
) STRICT, WITHOUT ROWID;

-- table reading_file
CREATE TABLE reading_file (
  digest   BLOB    PRIMARY KEY CHECK (length(digest) = 32),
  name     TEXT    NOT NULL,
  lines    INTEGER NOT NULL,
  added    INTEGER NOT NULL,
  doubled  INTEGER NOT NULL,
  differ   INTEGER NOT NULL,
  recorded INTEGER NOT NULL,
  seal     INTEGER NOT NULL
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

