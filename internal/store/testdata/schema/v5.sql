-- A collection as schema 5 kept it.

PRAGMA application_id = 1447382093;
PRAGMA user_version = 5;

CREATE TABLE goose_db_version (
		id INTEGER PRIMARY KEY AUTOINCREMENT,
		version_id INTEGER NOT NULL,
		is_applied INTEGER NOT NULL,
		tstamp TIMESTAMP DEFAULT (datetime('now'))
	);

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

CREATE TRIGGER entry_never_changes BEFORE UPDATE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries are never changed; add a correction');
END;

CREATE TRIGGER entry_never_goes BEFORE DELETE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries are never removed; add a withdrawal');
END;

CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

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

CREATE TABLE session (
  token  BLOB    PRIMARY KEY CHECK (length(token) = 32),
  data   BLOB    NOT NULL,
  expiry INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX session_by_expiry ON session (expiry);

CREATE TABLE secret (
  name  TEXT    PRIMARY KEY,
  sort  TEXT    NOT NULL CHECK (sort IN ('passphrase', 'machine')),
  hash  TEXT    NOT NULL UNIQUE,
  scope TEXT    NOT NULL DEFAULT '',
  made  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

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

INSERT INTO goose_db_version (version_id, is_applied, tstamp) VALUES (0, 1, '2026-06-01 06:00:00'),
  (1, 1, '2026-06-01 06:00:00'),
  (2, 1, '2026-06-01 06:00:00'),
  (3, 1, '2026-06-01 06:00:00'),
  (4, 1, '2026-06-01 06:00:00'),
  (5, 1, '2026-06-01 06:00:00');

INSERT INTO entry (seq, id, at, zone, recorded, kind, plant, corrects, who, detail, digest) VALUES (1, '0190a001-0000-7000-8000-000000000001', 1777843800000000, 600, 1780293600000000, 'space', '', NULL, '', '{"space":{"name":"bench","kind":"lamp shelf"}}', X'6B24B64DD869615E3A68A2B4F8F806F24AEBB18FAE1C8E03B537FAFD58BF996D');
INSERT INTO entry (seq, id, at, zone, recorded, kind, plant, corrects, who, detail, digest) VALUES (2, '0190a001-0000-7000-8000-000000000002', 1777843860000000, 600, 1780293600000000, 'plant', '0190a000-0000-7000-8000-000000000001', NULL, 'A. Grower', '{"plant":{"label":"C-1","name":"Cattleya ''Ferry Lights''","space":"bench"}}', X'E1B9679C4DF70B7803024AA998BC000AF729F3FF83E60A8E031B2445872D264C');
INSERT INTO entry (seq, id, at, zone, recorded, kind, plant, corrects, who, detail, digest) VALUES (3, '0190a001-0000-7000-8000-000000000003', 1777968000000000, 600, 1780293600000000, 'roots', '0190a000-0000-7000-8000-000000000001', NULL, '', '{"roots":[{"root":"a","length_mm":12.5,"tip":"growing"}]}', X'489A5DA1A9AA79D581F068DF0A889F065FB90394CC6DA8FEDEC263FB85B8B888');

INSERT INTO photo (hash, media, bytes, width, height, taken, zone, original, recorded) VALUES ('92b2fa58028958317e408bd84ecfa70f5ee35b121991dbc232c49d166353708b', 'image/png', 9, 640, 480, 1777844000000000, 600, 1, 1780293600000000);
