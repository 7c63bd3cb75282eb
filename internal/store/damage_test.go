package store

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

const plantID = "0190a000-0000-7000-8000-000000000001"

// filled returns a closed collection of a hundred entries and two photographs.
func filled(t *testing.T) (path string, photos []Photo) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "orchids.velamen")
	s, err := Create(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	var entries []care.Entry
	for i := range 100 {
		entries = append(entries, care.Entry{
			ID: strings.Replace("0190b000-0000-7000-8000-0000000000xx", "xx", string("0123456789abcdef"[i/16])+string("0123456789abcdef"[i%16]), 1),
			At: fixedNow().Add(-time.Duration(i) * time.Hour), Kind: care.Noted, Plant: plantID, Detail: care.Detail{Note: strings.Repeat("A new tip. ", 40)},
		})
	}
	if _, err := s.Append(t.Context(), entries); err != nil {
		t.Fatal(err)
	}
	for _, content := range []string{"the first picture", "the second picture"} {
		p, err := s.PutPhoto(t.Context(), Photo{MediaType: "image/jpeg"}, []byte(content))
		if err != nil {
			t.Fatal(err)
		}
		photos = append(photos, p)
	}
	if err := s.Sessions().Commit("token", []byte("a session that must not leave"), fixedNow().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path, photos
}

func verify(t *testing.T, path string) Report {
	t.Helper()
	r, err := Verify(t.Context(), path, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestASoundCollectionVerifies(t *testing.T) {
	path, _ := filled(t)
	if r := verify(t, path); !r.Sound() || len(r.Notes) != 0 || r.Entries != 100 || r.Photos != 2 || r.Schema != Version {
		t.Errorf("%+v", r)
	}
}

// Each way of damaging a file is found, and what is said names the place.
func TestVerifyFindsDamage(t *testing.T) {
	unlocked := []string{"DROP TRIGGER entry_never_changes", "DROP TRIGGER entry_never_goes"}
	locked := func() []string {
		objects := parseSchema(schemaText)
		return []string{objects["trigger entry_never_changes"], objects["trigger entry_never_goes"]}
	}()
	behind := func(statement string) func(t *testing.T, path string) {
		return func(t *testing.T, path string) {
			change(t, path, unlocked...)
			change(t, path, statement)
			change(t, path, locked...)
		}
	}
	const third = "'0190b000-0000-7000-8000-000000000002'"
	for _, c := range []struct {
		name   string
		damage func(t *testing.T, path string)
		want   []string
	}{
		{"a changed note", behind(`UPDATE entry SET detail = '{"note":"changed"}' WHERE id = ` + third), []string{"entry 0190b000-0000-7000-8000-000000000002: it was changed"}},
		{"a changed time", behind("UPDATE entry SET at = at + 1 WHERE id = " + third), []string{"000002: it was changed"}},
		{"a changed plant", behind("UPDATE entry SET plant = 'x' WHERE id = " + third), []string{"000002: it was changed", "000002: plant: is missing"}},
		{"a changed digest", behind("UPDATE entry SET digest = zeroblob(32) WHERE id = " + third), []string{"000002: it was changed"}},
		{"a removed entry", behind("DELETE FROM entry WHERE id = " + third), []string{"1 entries are missing before entry 0190b000-0000-7000-8000-000000000003"}},
		{"detail of another form", behind(`UPDATE entry SET detail = '{"note":3}' WHERE id = ` + third), []string{"000002: it was changed", "its detail cannot be read"}},
		{"a damaged page", damagePage, nil},
		{"a cut file", func(t *testing.T, path string) {
			if err := os.Truncate(path, 8192); err != nil {
				t.Fatal(err)
			}
		}, nil},
		{"no header", func(t *testing.T, path string) { overwrite(t, path, 0, strings.Repeat("x", 100)) }, []string{"not a velamen collection"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path, _ := filled(t)
			c.damage(t, path)
			r := verify(t, path)
			if len(r.Damage) == 0 {
				t.Fatalf("nothing was found: %+v", r)
			}
			var text strings.Builder
			for _, d := range r.Damage {
				text.WriteString(d.Error() + "\n")
			}
			for _, want := range c.want {
				if !strings.Contains(text.String(), want) {
					t.Errorf("found\n%sbut not %q", text.String(), want)
				}
			}
		})
	}
}

// damagePage overwrites the middle of every page but the first.
func damagePage(t *testing.T, path string) {
	size := int64(len(contents(t, path)))
	for at := int64(4096); at < size; at += 4096 {
		overwrite(t, path, at, strings.Repeat("\xa5", 64))
	}
}

func overwrite(t *testing.T, path string, at int64, content string) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteAt([]byte(content), at); err != nil {
		t.Fatal(err)
	}
}

func TestADamagedPhotographIsNeverServed(t *testing.T) {
	for name, damage := range map[string]func(file string) error{
		"one bit":  func(file string) error { return os.WriteFile(file, []byte("the first picturd"), 0o600) },
		"cut off":  func(file string) error { return os.Truncate(file, 5) },
		"too long": func(file string) error { return os.WriteFile(file, []byte("the first picture."), 0o600) },
		"gone":     os.Remove,
	} {
		t.Run(name, func(t *testing.T) {
			path, photos := filled(t)
			if err := damage(photos[0].file(path)); err != nil {
				t.Fatal(err)
			}
			s, err := Open(t.Context(), path, fixedNow)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			_, content, err := s.Photo(t.Context(), photos[0].Hash)
			var damaged *Damaged
			if content != nil || !errors.As(err, &damaged) {
				t.Errorf("served %q, %v", content, err)
			}
			if r := verify(t, path); len(r.Lost) != 1 || !strings.Contains(r.Lost[0].What, photos[0].Hash) || len(r.Damage) != 0 {
				t.Errorf("verify: %+v", r)
			}
			// The same picture sent again mends it.
			if _, err := s.PutPhoto(t.Context(), Photo{MediaType: "image/jpeg"}, []byte("the first picture")); err != nil {
				t.Fatal(err)
			}
			if r := verify(t, path); !r.Sound() {
				t.Errorf("after mending: %+v", r)
			}
		})
	}
}

func TestWhatIsMissingButNoDamageIsANote(t *testing.T) {
	path, _ := filled(t)
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, err = s.Append(t.Context(), []care.Entry{{
		ID: "0190c000-0000-7000-8000-000000000000", At: fixedNow(), Kind: care.Photographed, Plant: plantID, Detail: care.Detail{Photo: HashOf([]byte("on its way"))},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(PhotoFolder(path), "stray.jpg"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if r := verify(t, path); !r.Sound() || len(r.Notes) != 2 {
		t.Errorf("%+v", r)
	}
}

func TestEntriesCannotBeChangedOrRemoved(t *testing.T) {
	path, _ := filled(t)
	db, err := connect(path, writing, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range []string{"UPDATE entry SET who = 'x'", "DELETE FROM entry", "INSERT OR REPLACE INTO entry SELECT * FROM entry LIMIT 1"} {
		if _, err := db.ExecContext(t.Context(), "PRAGMA recursive_triggers = 1"); err != nil {
			t.Fatal(err)
		}
		if _, err := db.ExecContext(t.Context(), statement); err == nil || !strings.Contains(err.Error(), "entries are never") {
			t.Errorf("%s: %v", statement, err)
		}
	}
}

func TestABackupIsTheCollectionWithoutItsSessions(t *testing.T) {
	path, photos := filled(t)
	s, err := Open(t.Context(), path, fixedNow) // in use meanwhile
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	to := filepath.Join(t.TempDir(), "copy.velamen")
	var told int
	r, err := Backup(t.Context(), path, to, func(string, int, int) { told++ })
	if err != nil || !r.Sound() || r.Entries != 100 || r.Photos != 2 || told == 0 {
		t.Fatalf("%+v, %v, progress told %d times", r, err, told)
	}
	c, err := Open(t.Context(), to, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if got, want := journalOf(t, c), journalOf(t, s); got != want {
		t.Errorf("the copy reads\n%s\nthe collection\n%s", got, want)
	}
	for _, p := range photos {
		if _, _, err := c.Photo(t.Context(), p.Hash); err != nil {
			t.Error(err)
		}
	}
	if strings.Contains(contents(t, to), "a session that must not leave") {
		t.Error("a session is in the copy")
	}
	if _, err := Backup(t.Context(), path, to, nil); !errors.Is(err, ErrExists) {
		t.Errorf("over an existing file: %v", err)
	}
	nothingLeft(t, filepath.Dir(to), "copy.velamen")
}

// nothingLeft reports files that belong to no collection of these names.
func nothingLeft(t *testing.T, folder string, names ...string) {
	t.Helper()
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
next:
	for _, f := range files {
		for _, name := range names {
			if strings.HasPrefix(f.Name(), name) {
				continue next
			}
		}
		t.Errorf("%s was left behind", f.Name())
	}
}

func journalOf(t *testing.T, s *Store) string {
	t.Helper()
	var b strings.Builder
	for e, err := range s.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		r, err := rowOf(e)
		if err != nil {
			t.Fatal(err)
		}
		b.Write(r.digest)
		b.WriteString(e.ID)
	}
	return b.String()
}

func TestABackupOfADamagedCollection(t *testing.T) {
	path, photos := filled(t)
	if err := os.Remove(photos[0].file(path)); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "copy.velamen")
	r, err := Backup(t.Context(), path, to, nil)
	if err != nil || len(r.Lost) != 1 || len(r.Damage) != 0 {
		t.Fatalf("a lost photograph: %+v, %v", r, err)
	}
	change(t, path, "DROP TRIGGER entry_never_changes")
	change(t, path, "UPDATE entry SET at = at + 1 WHERE seq = 5")
	second := filepath.Join(t.TempDir(), "second.velamen")
	if _, err := Backup(t.Context(), path, second, nil); err == nil {
		t.Error("a changed entry was backed up as if nothing was wrong")
	}
	nothingLeft(t, filepath.Dir(second))
}

func TestRestoreKeepsTheOldOneAside(t *testing.T) {
	path, _ := filled(t)
	backup := filepath.Join(t.TempDir(), "copy.velamen")
	if _, err := Backup(t.Context(), path, backup, nil); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	later := care.Entry{ID: "0190c000-0000-7000-8000-000000000000", At: fixedNow(), Kind: care.Noted, Plant: plantID, Detail: care.Detail{Note: "after the backup"}}
	if _, err := s.Append(t.Context(), []care.Entry{later}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Restore(t.Context(), backup, path, false, fixedNow(), nil); !errors.Is(err, ErrExists) {
		t.Errorf("without being asked to: %v", err)
	}
	if _, _, err := Restore(t.Context(), backup, path, true, fixedNow(), nil); !errors.Is(err, ErrInUse) {
		t.Errorf("while it is in use: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	r, aside, err := Restore(t.Context(), backup, path, true, fixedNow(), nil)
	if err != nil || !r.Sound() || aside != path+".before-20260601T060000Z" {
		t.Fatalf("%+v, %q, %v", r, aside, err)
	}
	if r := verify(t, path); !r.Sound() || r.Entries != 100 || r.Photos != 2 {
		t.Errorf("restored: %+v", r)
	}
	if r := verify(t, aside); !r.Sound() || r.Entries != 101 || r.Photos != 2 {
		t.Errorf("kept aside: %+v", r)
	}
	nothingLeft(t, filepath.Dir(path), filepath.Base(path))
}

// A collection whose last changes are still in the write-ahead log, as after a
// crash, is kept aside with them.
func TestRestoreOverACrashedCollection(t *testing.T) {
	path, _ := filled(t)
	backup := filepath.Join(t.TempDir(), "copy.velamen")
	if _, err := Backup(t.Context(), path, backup, nil); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	later := care.Entry{ID: "0190c000-0000-7000-8000-000000000000", At: fixedNow(), Kind: care.Noted, Plant: plantID, Detail: care.Detail{Note: "only in the log"}}
	if _, err := s.Append(t.Context(), []care.Entry{later}); err != nil {
		t.Fatal(err)
	}
	crashed := filepath.Join(t.TempDir(), "crashed.velamen")
	for _, suffix := range []string{"", "-wal"} {
		if err := os.WriteFile(crashed+suffix, []byte(contents(t, path+suffix)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	_, aside, err := Restore(t.Context(), backup, crashed, true, fixedNow(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if r := verify(t, aside); r.Entries != 101 || len(r.Damage) != 0 {
		t.Errorf("kept aside: %+v", r)
	}
	if r := verify(t, crashed); r.Entries != 100 || !r.Sound() {
		t.Errorf("restored: %+v", r)
	}
}

func TestOneProcessWritesAtATime(t *testing.T) {
	path, _ := filled(t)
	first, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(path, link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	for _, name := range []string{path, link} {
		if _, err := Open(t.Context(), name, fixedNow); !errors.Is(err, ErrInUse) {
			t.Errorf("a second one on %s: %v", name, err)
		}
	}
	reader, err := OpenReading(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := reader.Count(t.Context()); err != nil || n != 100 {
		t.Errorf("a reader counts %d, %v", n, err)
	}
	for name, err := range map[string]error{
		"entries":  second(reader.Append(t.Context(), []care.Entry{{ID: plantID, At: fixedNow(), Kind: care.Noted}})),
		"meta":     reader.SetMeta(t.Context(), "x", "y"),
		"photo":    second(reader.PutPhoto(t.Context(), Photo{MediaType: "image/png"}, []byte("x"))),
		"sessions": reader.Sessions().EndAll(t.Context()),
	} {
		if !errors.Is(err, ErrReadOnly) {
			t.Errorf("writing %s for reading: %v", name, err)
		}
	}
	if err := errors.Join(reader.Close(), first.Close()); err != nil {
		t.Fatal(err)
	}
	again, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatalf("after the first one closed: %v", err)
	}
	again.Close()
}

func second[A any](_ A, err error) error { return err }
