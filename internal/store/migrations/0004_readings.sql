-- +goose Up

-- What sensors measured. A reading is kept as it came: what is left out of the
-- summaries is decided anew whenever they are made. Times are seconds since
-- 1970 in UTC; values are hundredths of °C and of % relative humidity, tenths
-- of µmol m⁻² s⁻¹. The names of spaces are those of the journal, and a space
-- may be measured before it is described.
CREATE TABLE measured_space (
  id    INTEGER PRIMARY KEY,
  name  TEXT    NOT NULL UNIQUE COLLATE NOCASE,
  clock TEXT    NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE channel (
  id       INTEGER PRIMARY KEY,
  space    INTEGER NOT NULL REFERENCES measured_space (id),
  source   TEXT    NOT NULL,
  quantity TEXT    NOT NULL CHECK (quantity IN ('temperature', 'humidity', 'light')),
  UNIQUE (space, source, quantity)
) STRICT;

CREATE TABLE reading (
  channel INTEGER NOT NULL REFERENCES channel (id),
  at      INTEGER NOT NULL,
  value   INTEGER NOT NULL,
  PRIMARY KEY (channel, at)
) STRICT, WITHOUT ROWID;

-- Summaries can be made again from the readings at any time. Means are kept
-- finer than readings: thousandths of °C and %, Pa, hundredths of µmol. NULL:
-- not measured. The days of hour and day follow the clock named with the space.
CREATE TABLE climate_hour (
  space    INTEGER NOT NULL REFERENCES measured_space (id),
  start    INTEGER NOT NULL,
  lit      INTEGER NOT NULL CHECK (lit IN (0, 1)),
  temp_min INTEGER, temp_mean INTEGER, temp_max INTEGER, temp_count INTEGER NOT NULL,
  rh_min   INTEGER, rh_mean   INTEGER, rh_max   INTEGER, rh_count   INTEGER NOT NULL,
  vpd_min  INTEGER, vpd_mean  INTEGER, vpd_max  INTEGER, vpd_count  INTEGER NOT NULL,
  ppfd_min INTEGER, ppfd_mean INTEGER, ppfd_max INTEGER, ppfd_count INTEGER NOT NULL,
  PRIMARY KEY (space, start)
) STRICT, WITHOUT ROWID;

-- day counts days since 1970 by the calendar of the place.
CREATE TABLE climate_day (
  space     INTEGER NOT NULL REFERENCES measured_space (id),
  day       INTEGER NOT NULL,
  summary   TEXT    NOT NULL CHECK (json_valid(summary)),
  PRIMARY KEY (space, day)
) STRICT, WITHOUT ROWID;

-- Hours since 1970 whose readings changed after their summary was made.
CREATE TABLE climate_stale (
  space INTEGER NOT NULL REFERENCES measured_space (id),
  hour  INTEGER NOT NULL,
  PRIMARY KEY (space, hour)
) STRICT, WITHOUT ROWID;

-- How far the import of a file has come, by the hash of the file and of how it
-- is read.
CREATE TABLE reading_file (
  digest   BLOB    PRIMARY KEY CHECK (length(digest) = 32),
  name     TEXT    NOT NULL,
  lines    INTEGER NOT NULL,
  added    INTEGER NOT NULL,
  doubled  INTEGER NOT NULL,
  differ   INTEGER NOT NULL,
  recorded INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- Messages that were kept but perhaps not yet acknowledged to their broker.
CREATE TABLE delivery (
  client  TEXT    NOT NULL,
  packet  INTEGER NOT NULL,
  digest  BLOB    NOT NULL CHECK (length(digest) = 32),
  PRIMARY KEY (client, packet)
) STRICT, WITHOUT ROWID;

PRAGMA user_version = 4;

-- +goose Down
DROP TABLE delivery;
DROP TABLE reading_file;
DROP TABLE climate_stale;
DROP TABLE climate_day;
DROP TABLE climate_hour;
DROP TABLE reading;
DROP TABLE channel;
DROP TABLE measured_space;
PRAGMA user_version = 3;
