package store

import (
	"context"
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write schema.sql anew from the migrations")

func fixedNow() time.Time { return time.Date(2026, 6, 1, 6, 0, 0, 0, time.UTC) }

// emptyDatabase returns a writing connection to a new file.
func emptyDatabase(t *testing.T) (*sql.DB, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	db, err := connect(path, writing, 1)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db, path
}

func schemaNow(t *testing.T, db *sql.DB) string {
	t.Helper()
	objects, err := schemaOf(t.Context(), db)
	if err != nil {
		t.Fatal(err)
	}
	return schemaAsText(objects)
}

func TestSchemaFileIsWhatTheMigrationsMake(t *testing.T) {
	db, _ := emptyDatabase(t)
	if err := migrate(t.Context(), db); err != nil {
		t.Fatal(err)
	}
	got := schemaNow(t, db)
	if *update {
		if err := os.WriteFile("schema.sql", []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(schemaText, got); diff != "" {
		t.Errorf("schema.sql differs from the migrations; if meant, run go test -run %s -update\n%s", t.Name(), diff)
	}
	if version, err := pragmaNumber(t.Context(), db, "user_version"); err != nil || version != Version {
		t.Errorf("the newest migration makes version %d, the code says %d (%v)", version, Version, err)
	}
}

func TestMigrationsGoUpDownAndUp(t *testing.T) {
	db, _ := emptyDatabase(t)
	steps, err := migrations(db)
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	atVersion := map[int64]string{0: ""}
	walk := func(direction string, step func(context.Context) (int64, error), want int64) {
		t.Helper()
		if _, err := step(ctx); err != nil {
			t.Fatalf("%s to %d: %v", direction, want, err)
		}
		if version, err := pragmaNumber(ctx, db, "user_version"); err != nil || version != want {
			t.Fatalf("%s: user_version is %d, want %d (%v)", direction, version, want, err)
		}
		schema := schemaNow(t, db)
		if before, seen := atVersion[want]; seen && before != schema {
			t.Errorf("%s to %d gives another schema:\n%s", direction, want, cmp.Diff(before, schema))
		}
		atVersion[want] = schema
	}
	up := func(ctx context.Context) (int64, error) { _, err := steps.UpByOne(ctx); return 0, err }
	down := func(ctx context.Context) (int64, error) { _, err := steps.Down(ctx); return 0, err }
	for v := int64(1); v <= Version; v++ {
		walk("up", up, v)
	}
	for v := int64(Version - 1); v >= 0; v-- {
		walk("down", down, v)
	}
	for v := int64(1); v <= Version; v++ {
		walk("up again", up, v)
	}
}

// oldFile makes a file of an earlier version from its text.
func oldFile(t *testing.T, version int) string {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("testdata/schema/v%d.sql", version))
	if err != nil {
		t.Fatal(err)
	}
	db, path := emptyDatabase(t)
	if _, err := db.ExecContext(t.Context(), string(text)); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if version >= 2 { // its one photograph
		content := []byte("a picture")
		p := Photo{Hash: HashOf(content), MediaType: "image/png"}
		if err := os.Mkdir(PhotoFolder(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p.file(path), content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

func TestFilesOfEveryEarlierVersionOpen(t *testing.T) {
	for version := 1; version < Version; version++ {
		for name, open := range map[string]func(context.Context, string) (*Store, error){
			"for writing": func(ctx context.Context, path string) (*Store, error) { return Open(ctx, path, fixedNow) },
			"for reading": func(ctx context.Context, path string) (*Store, error) { return OpenReading(ctx, path, fixedNow) },
		} {
			t.Run(fmt.Sprintf("version %d %s", version, name), func(t *testing.T) {
				path := oldFile(t, version)
				if r, err := Verify(t.Context(), path, nil); err != nil || !r.Sound() || r.Schema != int64(version) || len(r.Notes) != 1 {
					t.Fatalf("before: %+v, %v", r, err)
				}
				s, err := open(t.Context(), path)
				if err != nil {
					t.Fatal(err)
				}
				defer s.Close()
				var notes []string
				for e, err := range s.All(t.Context()) {
					if err != nil {
						t.Fatal(err)
					}
					notes = append(notes, fmt.Sprintf("%s %s %s", e.At.Format(time.RFC3339), e.Kind, e.Plant))
				}
				want := []string{
					"2026-05-04T07:30:00+10:00 space ",
					"2026-05-04T07:31:00+10:00 plant 0190a000-0000-7000-8000-000000000001",
					"2026-05-05T18:00:00+10:00 roots 0190a000-0000-7000-8000-000000000001",
				}
				if diff := cmp.Diff(want, notes); diff != "" {
					t.Error(diff)
				}
				r, err := Verify(t.Context(), path, nil)
				if err != nil || !r.Sound() || r.Schema != Version || r.Photos != min(version-1, 1) {
					t.Errorf("after: %+v, %v", r, err)
				}
			})
		}
	}
}

func TestAFileOfANewerReleaseIsLeftAlone(t *testing.T) {
	path := made(t)
	change(t, path, fmt.Sprintf("PRAGMA user_version = %d", Version+1))
	before := contents(t, path)
	var newer *Newer
	if _, err := Open(t.Context(), path, fixedNow); !errors.As(err, &newer) || newer.Have != Version+1 {
		t.Errorf("opening gives %v", err)
	}
	if _, err := OpenReading(t.Context(), path, fixedNow); !errors.As(err, &newer) {
		t.Errorf("opening for reading gives %v", err)
	}
	if _, err := Verify(t.Context(), path, nil); !errors.As(err, &newer) {
		t.Errorf("verifying gives %v", err)
	}
	if contents(t, path) != before {
		t.Error("the file was changed")
	}
}

func TestChangedTablesAreRefused(t *testing.T) {
	for statement, object := range map[string]string{
		"DROP TRIGGER entry_never_goes":              "trigger entry_never_goes",
		"ALTER TABLE photo ADD COLUMN caption TEXT":  "table photo",
		"CREATE TABLE extra (x)":                     "table extra",
		"DROP INDEX entry_by_time":                   "index entry_by_time",
		"ALTER TABLE secret RENAME COLUMN made TO m": "table secret",
	} {
		path := made(t)
		change(t, path, statement)
		var drift *Drift
		if _, err := Open(t.Context(), path, fixedNow); !errors.As(err, &drift) || len(drift.Objects) != 1 || drift.Objects[0] != object {
			t.Errorf("%s: opening gives %v", statement, err)
		}
		if r, err := Verify(t.Context(), path, nil); err != nil || len(r.Damage) != 1 || !strings.Contains(r.Damage[0].Why, object) {
			t.Errorf("%s: verifying gives %+v, %v", statement, r, err)
		}
	}
}

func TestOtherFilesAreRefusedAndLeftAlone(t *testing.T) {
	folder := t.TempDir()
	foreign := filepath.Join(folder, "foreign.db")
	if err := os.WriteFile(foreign, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	change(t, foreign, "CREATE TABLE theirs (x)")
	text := filepath.Join(folder, "notes.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("Watered the shelf today.\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	empty := filepath.Join(folder, "empty")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{foreign, text, empty} {
		before := contents(t, path)
		if _, err := Open(t.Context(), path, fixedNow); !errors.Is(err, ErrForeign) {
			t.Errorf("%s: %v", path, err)
		}
		if r, err := Verify(t.Context(), path, nil); err != nil || r.Sound() {
			t.Errorf("%s verifies: %+v, %v", path, r, err)
		}
		if _, err := Create(t.Context(), path, fixedNow); !errors.Is(err, ErrExists) {
			t.Errorf("%s: creating over it gives %v", path, err)
		}
		if contents(t, path) != before {
			t.Errorf("%s was changed", path)
		}
	}
	if _, err := Open(t.Context(), folder, fixedNow); !errors.Is(err, ErrForeign) {
		t.Errorf("a folder: %v", err)
	}
	if _, err := Open(t.Context(), filepath.Join(folder, "none"), fixedNow); !errors.Is(err, ErrMissing) {
		t.Errorf("no file: %v", err)
	}
	if _, err := os.Stat(filepath.Join(folder, "none")); err == nil {
		t.Error("opening made a file")
	}
}

// made returns a new, closed collection.
func made(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	s, err := Create(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// change runs SQL behind the store's back.
func change(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := connect(path, copying, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range statements {
		if _, err := db.ExecContext(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
}

func contents(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
