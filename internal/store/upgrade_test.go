package store

import (
	"database/sql"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// All that a file of an earlier schema held is there after it was brought up to
// date: every column of every table that it had, compared before and after, with
// rows in each of them.
func TestEarlierFilesKeepEverything(t *testing.T) {
	rows := map[int]map[string]string{
		2: {"photo": ""},
		3: {
			"session": `INSERT INTO session (token, data, expiry) VALUES (zeroblob(32), X'0102', 1893456000000000)`,
			"secret":  `INSERT INTO secret (name, sort, hash, scope, made) VALUES ('', 'passphrase', '$argon2id$v=19$m=64,t=1,p=1$AAAA$BBBB', '', 1780293600000000), ('logger', 'machine', 'f00d', 'read', 1780293600000001)`,
		},
		4: {
			"measured_space": `INSERT INTO measured_space (id, name, clock) VALUES (1, 'bench', 'Australia/Melbourne')`,
			"channel":        `INSERT INTO channel (id, space, source, quantity) VALUES (7, 1, 'node 3', 'temperature')`,
			"reading":        `INSERT INTO reading (channel, at, value) VALUES (7, 1777843800, 2155), (7, 1777844400, 2160)`,
			"climate_stale":  `INSERT INTO climate_stale (space, hour) VALUES (1, 493845)`,
			"reading_file":   `INSERT INTO reading_file (digest, name, lines, added, doubled, differ, recorded) VALUES (zeroblob(32), 'log.csv', 3, 2, 0, 0, 1780293600000000)`,
			"delivery":       `INSERT INTO delivery (client, packet, digest) VALUES ('greenhouse', 9, zeroblob(32))`,
			"climate_hour": `INSERT INTO climate_hour (space, start, lit, temp_min, temp_mean, temp_max, temp_count, rh_count, vpd_count, ppfd_count)
				VALUES (1, 1777842000, 1, 21550, 21575, 21600, 2, 0, 0, 0)`,
			"climate_day": `INSERT INTO climate_day (space, day, summary) VALUES (1, 20577, '{}')`,
		},
		5: {
			"link": `INSERT INTO link (id, name, sort, scope, key, made, expires) VALUES ('0190a002-0000-7000-8000-000000000001', 'for the sitter', 'round', 'tick', zeroblob(32), 1780293600000000, 1782885600000000)`,
		},
	}
	for version := 1; version < Version; version++ {
		t.Run(fmt.Sprintf("version %d", version), func(t *testing.T) {
			path := oldFile(t, version)
			tables := []string{"entry", "meta"}
			change(t, path, `INSERT INTO meta (key, value) VALUES ('made', '2026-05-01T00:00:00Z')`)
			// In the order in which they refer to each other.
			for _, name := range []string{"photo", "session", "secret", "measured_space", "channel", "reading", "climate_stale", "reading_file", "delivery", "climate_hour", "climate_day", "link"} {
				for since, list := range rows {
					statement, ok := list[name]
					if !ok || since > version {
						continue
					}
					tables = append(tables, name)
					if statement != "" {
						change(t, path, statement)
					}
				}
			}
			upgradedUnchanged(t, path, tables)
			if r := verify(t, path); !r.Sound() || r.Schema != Version {
				t.Errorf("%+v", r)
			}
		})
	}
}

// content is what a table holds: the names of its columns, and its rows.
type content struct{ columns, rows []string }

// rowsOf reads all of some tables, each of which must hold something: the columns
// that it had before, if that is told, and readings as single ones also where they
// are packed.
func rowsOf(t *testing.T, path string, tables []string, before map[string]content) map[string]content {
	t.Helper()
	db, err := connect(path, copying, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	all := map[string]content{}
	for _, table := range tables {
		columns := "*"
		if had, ok := before[table]; ok {
			columns = strings.Join(had.columns, ", ")
			if table == "reading" {
				singleReadings(t, db)
			}
		}
		all[table] = contentOf(t, db, table, columns)
	}
	return all
}

func contentOf(t *testing.T, db *sql.DB, table, columns string) (c content) {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), "SELECT "+columns+" FROM "+table+" ORDER BY 1, 2")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	if c.columns, err = rows.Columns(); err != nil {
		t.Fatal(err)
	}
	for rows.Next() {
		cells, into := make([]any, len(c.columns)), make([]any, len(c.columns))
		for i := range cells {
			into[i] = &cells[i]
		}
		if err := rows.Scan(into...); err != nil {
			t.Fatal(err)
		}
		c.rows = append(c.rows, fmt.Sprint(cells))
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	if len(c.rows) == 0 {
		t.Errorf("nothing stands in %s", table)
	}
	return c
}

// singleReadings makes a passing table of what the blocks hold.
func singleReadings(t *testing.T, db *sql.DB) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), "CREATE TEMP TABLE reading (channel, at, value)"); err != nil {
		t.Fatal(err)
	}
	rows, err := db.QueryContext(t.Context(), "SELECT channel, start, packed FROM reading_block")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var list [][3]int64
	for rows.Next() {
		var channel, start int64
		var packed []byte
		if err := rows.Scan(&channel, &start, &packed); err != nil {
			t.Fatal(err)
		}
		block, err := unpackBlock(nil, start, packed)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range block {
			list = append(list, [3]int64{channel, r.at, r.value})
		}
	}
	rows.Close()
	for _, r := range list {
		if _, err := db.ExecContext(t.Context(), "INSERT INTO reading VALUES (?, ?, ?)", r[0], r[1], r[2]); err != nil {
			t.Fatal(err)
		}
	}
}

// upgradedUnchanged brings a file up to date and compares every row of some tables.
func upgradedUnchanged(t *testing.T, path string, tables []string) {
	t.Helper()
	before := rowsOf(t, path, tables, nil)
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, rowsOf(t, path, tables, before), cmp.AllowUnexported(content{})); diff != "" {
		t.Error(diff)
	}
}
