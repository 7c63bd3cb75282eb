package store

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// All that a file of an earlier schema held is there after it was brought up to
// date: every column of every table that it had, compared before and after, with
// rows in each of them.
func TestEarlierFilesKeepEverything(t *testing.T) {
	content := map[int]map[string]string{
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
	}
	for version := 1; version < Version; version++ {
		t.Run(fmt.Sprintf("version %d", version), func(t *testing.T) {
			path := oldFile(t, version)
			tables := []string{"entry", "meta"}
			change(t, path, `INSERT INTO meta (key, value) VALUES ('made', '2026-05-01T00:00:00Z')`)
			// In the order in which they refer to each other.
			for _, name := range []string{"photo", "session", "secret", "measured_space", "channel", "reading", "climate_stale", "reading_file", "delivery", "climate_hour", "climate_day"} {
				for since, list := range content {
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
			before := rowsOf(t, path, tables)
			s, err := Open(t.Context(), path, fixedNow)
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(before, rowsOf(t, path, tables)); diff != "" {
				t.Error(diff)
			}
			if r := verify(t, path); !r.Sound() || r.Schema != Version {
				t.Errorf("%+v", r)
			}
		})
	}
}

// rowsOf reads all of some tables, each of which must hold something.
func rowsOf(t *testing.T, path string, tables []string) map[string][]string {
	t.Helper()
	db, err := connect(path, reading, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	all := map[string][]string{}
	for _, table := range tables {
		rows, err := db.QueryContext(t.Context(), "SELECT * FROM "+table+" ORDER BY 1, 2")
		if err != nil {
			t.Fatal(err)
		}
		names, err := rows.Columns()
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			cells, into := make([]any, len(names)), make([]any, len(names))
			for i := range cells {
				into[i] = &cells[i]
			}
			if err := rows.Scan(into...); err != nil {
				t.Fatal(err)
			}
			all[table] = append(all[table], fmt.Sprintf("%q %v", names, cells))
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
		rows.Close()
		if len(all[table]) == 0 {
			t.Errorf("nothing stands in %s", table)
		}
	}
	return all
}
