package store

import (
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// Files that earlier programs made are brought up to date with everything in them.
// Each was made by the program as it stood before the schema changed again, built
// from its own commit: the invented sample by "init FILE --sample", and where it
// could, 300 lines of an invented logger's file by "readings import". They are
// packed with gzip.
func TestFilesMadeByEarlierProgramsKeepEverything(t *testing.T) {
	for version, entries := range map[int]int{3: 90, 4: 90, 5: 90} {
		t.Run(fmt.Sprintf("schema %d", version), func(t *testing.T) {
			path := unpacked(t, fmt.Sprintf("testdata/made/schema-%d.velamen.gz", version))
			tables := filledTables(t, path)
			if version >= 4 && len(tables) < 8 {
				t.Errorf("only %v hold something", tables)
			}
			if r := verify(t, path); !r.Sound() || r.Schema != int64(version) || r.Entries != entries {
				t.Fatalf("before: %+v", r)
			}
			upgradedUnchanged(t, path, tables)
			if r := verify(t, path); !r.Sound() || r.Schema != Version || r.Entries != entries {
				t.Errorf("after: %+v", r)
			}
		})
	}
}

func unpacked(t *testing.T, name string) string {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	from, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(from)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// filledTables lists the tables of a collection that hold something.
func filledTables(t *testing.T, path string) (list []string) {
	t.Helper()
	db, err := connect(path, copying, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	objects, err := schemaOf(t.Context(), db)
	if err != nil {
		t.Fatal(err)
	}
	for object := range objects {
		var name string
		if n, _ := fmt.Sscanf(object, "table %s", &name); n != 1 {
			continue
		}
		var rows int
		if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM "+name).Scan(&rows); err != nil {
			t.Fatal(err)
		}
		if rows > 0 {
			list = append(list, name)
		}
	}
	return list
}
