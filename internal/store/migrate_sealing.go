package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"github.com/pressly/goose/v3"

	"velamen/internal/care"
)

// sealing is the sixth step: readings are packed into blocks, and blocks,
// summaries, what is noted of pictures, and how far files were imported carry
// digests. SQL cannot make them.
var sealing = goose.NewGoMigration(6, &goose.GoFunc{RunTx: sealAll}, &goose.GoFunc{RunTx: unsealAll})

const sealedTables = `
-- The readings of a channel from start on, for four hours, packed as package store
-- says. The digest covers them and the names of space, source and quantity.
CREATE TABLE reading_block (
  channel INTEGER NOT NULL REFERENCES channel (id),
  start   INTEGER NOT NULL CHECK (start % 14400 = 0),
  packed  BLOB    NOT NULL,
  digest  BLOB    NOT NULL CHECK (length(digest) = 32),
  PRIMARY KEY (channel, start)
) STRICT, WITHOUT ROWID;

-- A seal is the beginning of a digest.
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

CREATE TABLE climate_day (
  space   INTEGER NOT NULL REFERENCES measured_space (id),
  day     INTEGER NOT NULL,
  summary TEXT    NOT NULL CHECK (json_valid(summary)),
  seal    INTEGER NOT NULL,
  PRIMARY KEY (space, day)
) STRICT, WITHOUT ROWID;

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
`

// sealedNames are the tables that get a digest, and how it is made of a row without
// its digest.
var sealedNames = map[string]func(space string, cells []any) any{
	"climate_hour": func(space string, cells []any) any { return sealHour(space, cells[1:]) },
	"climate_day":  func(space string, cells []any) any { return shortSeal("day", space, cells[1], cells[2]) },
	"reading_file": func(_ string, cells []any) any {
		return shortSeal("file", cells[0], cells[2], cells[3], cells[4], cells[5])
	},
	"photo": func(_ string, cells []any) any { return seal("photo", cells...) },
}

func sealAll(ctx context.Context, tx *sql.Tx) error {
	for name := range sealedNames {
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("ALTER TABLE %s RENAME TO %[1]s_plain", name)); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, sealedTables); err != nil {
		return err
	}
	names, channels, err := measuredBefore(ctx, tx)
	if err != nil {
		return err
	}
	for name, digest := range sealedNames {
		if err := sealRows(ctx, tx, name, names, digest); err != nil {
			return fmt.Errorf("giving %s its digests: %w", name, err)
		}
		if _, err := tx.ExecContext(ctx, "DROP TABLE "+name+"_plain"); err != nil {
			return err
		}
	}
	for _, c := range channels {
		if err := packChannel(ctx, tx, c); err != nil {
			return fmt.Errorf("packing %s: %w", c.measures, err)
		}
	}
	_, err = tx.ExecContext(ctx, "DROP TABLE reading; PRAGMA user_version = 6")
	return err
}

// measuredBefore returns the names of the measured spaces and all channels.
func measuredBefore(ctx context.Context, tx *sql.Tx) (names map[int64]string, channels []channel, err error) {
	names = map[int64]string{}
	spaces, err := tx.QueryContext(ctx, "SELECT id, name FROM measured_space")
	if err != nil {
		return nil, nil, err
	}
	defer spaces.Close()
	for spaces.Next() {
		var id int64
		var name string
		if err := spaces.Scan(&id, &name); err != nil {
			return nil, nil, err
		}
		names[id] = name
	}
	rows, err := tx.QueryContext(ctx, "SELECT id, space, source, quantity FROM channel ORDER BY id")
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var c channel
		if err := rows.Scan(&c.id, &c.space, &c.source, &c.quantity); err != nil {
			return nil, nil, err
		}
		c.measures.space = names[c.space]
		channels = append(channels, c)
	}
	return names, channels, errors.Join(spaces.Err(), rows.Err())
}

// sealRows copies the rows of a table into the one that has a digest behind them.
func sealRows(ctx context.Context, tx *sql.Tx, table string, names map[int64]string, digest func(string, []any) any) error {
	rows, err := tx.QueryContext(ctx, "SELECT * FROM "+table+"_plain")
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	marks := "?"
	for range columns {
		marks += ", ?"
	}
	insert, err := tx.PrepareContext(ctx, "INSERT INTO "+table+" VALUES ("+marks+")")
	if err != nil {
		return err
	}
	defer insert.Close()
	for rows.Next() {
		cells, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range cells {
			into[i] = &cells[i]
		}
		if err := rows.Scan(into...); err != nil {
			return err
		}
		space, _ := cells[0].(int64)
		if _, err := insert.ExecContext(ctx, append(cells, digest(names[space], cells))...); err != nil {
			return err
		}
	}
	return rows.Err()
}

// packChannel packs the readings of a channel.
func packChannel(ctx context.Context, tx *sql.Tx, c channel) error {
	k, err := newKeeper(ctx, tx)
	if err != nil {
		return err
	}
	defer k.close()
	rows, err := tx.QueryContext(ctx, "SELECT at, value FROM reading WHERE channel = ? ORDER BY at", c.id)
	if err != nil {
		return err
	}
	defer rows.Close()
	var block []readingAt
	write := func() error {
		if len(block) == 0 {
			return nil
		}
		return k.write(ctx, c, blockOf(block[0].at), block)
	}
	for rows.Next() {
		var r readingAt
		if err := rows.Scan(&r.at, &r.value); err != nil {
			return err
		}
		if len(block) > 0 && blockOf(r.at) != blockOf(block[0].at) {
			if err := write(); err != nil {
				return err
			}
			block = block[:0]
		}
		block = append(block, r)
	}
	return errors.Join(rows.Err(), write())
}

// unsealAll is the way back.
func unsealAll(ctx context.Context, tx *sql.Tx) error {
	before, err := textBefore("reading")
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, before); err != nil {
		return err
	}
	_, channels, err := measuredBefore(ctx, tx)
	if err != nil {
		return err
	}
	for _, c := range channels {
		series, err := c.between(ctx, tx, -1<<40, 1<<40)
		if err != nil {
			return err
		}
		for i, at := range series.At {
			value := readingOf(care.Reading{Quantity: c.quantity, Value: series.Value[i]})
			if _, err := tx.ExecContext(ctx, "INSERT INTO reading (channel, at, value) VALUES (?, ?, ?)", c.id, at, value); err != nil {
				return err
			}
		}
	}
	for name := range sealedNames {
		before, err := textBefore(name)
		if err != nil {
			return err
		}
		column := "seal"
		if name == "photo" {
			column = "digest"
		}
		for _, statement := range []string{
			fmt.Sprintf("ALTER TABLE %s DROP COLUMN %s", name, column),
			fmt.Sprintf("ALTER TABLE %s RENAME TO %[1]s_sealed", name), before,
			fmt.Sprintf("INSERT INTO %s SELECT * FROM %[1]s_sealed", name), fmt.Sprintf("DROP TABLE %s_sealed", name),
		} {
			if _, err := tx.ExecContext(ctx, statement); err != nil {
				return err
			}
		}
	}
	_, err = tx.ExecContext(ctx, "DROP TABLE reading_block; PRAGMA user_version = 5")
	return err
}

// textBefore returns the statement that makes a table as it was before.
func textBefore(table string) (string, error) {
	for _, name := range []string{"0002_photographs", "0004_readings"} {
		text, err := migrationFiles.ReadFile("migrations/" + name + ".sql")
		if err != nil {
			return "", err
		}
		if _, rest, found := strings.Cut(string(text), "CREATE TABLE "+table+" ("); found {
			rest, _, _ = strings.Cut(rest, ";")
			return "CREATE TABLE " + table + " (" + rest, nil
		}
	}
	return "", fmt.Errorf("no step makes the table %s", table)
}
