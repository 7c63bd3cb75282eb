package store

import (
	"errors"
	"iter"
	"os"
	"path/filepath"
	"testing"

	"velamen/internal/care"
)

// A restore that is killed after the old collection was set aside, and before the
// backup has its name, leaves no collection. What opens it next must not begin a
// new one there: that would look like the loss of everything.
func TestNothingIsMadeWhereARestoreWasCutOff(t *testing.T) {
	path, _ := filled(t)
	backup := filepath.Join(t.TempDir(), "copy.velamen")
	if _, err := Backup(t.Context(), path, backup, nil); err != nil {
		t.Fatal(err)
	}
	aside, err := setAsideName(path, fixedNow())
	if err != nil {
		t.Fatal(err)
	}
	if err := setAside(t.Context(), path, aside); err != nil {
		t.Fatal(err)
	}
	cutOff := func(when string) {
		t.Helper()
		if _, err := Create(t.Context(), path, fixedNow); !errors.Is(err, ErrUnfinished) {
			t.Errorf("%s: making a collection gives %v", when, err)
		}
		if _, err := os.Lstat(path); err == nil {
			t.Errorf("%s: a file was made", when)
		}
	}
	cutOff("the old one is aside")
	if err := os.Mkdir(PhotoFolder(path), 0o700); err != nil {
		t.Fatal(err)
	}
	cutOff("the photographs of the backup are there")

	// Restoring again in the same second finishes it, and keeps everything.
	if _, _, err := Restore(t.Context(), backup, path, true, fixedNow(), nil); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{path, aside} {
		if r := verify(t, name); !r.Sound() || r.Entries != 100 || r.Photos != 2 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// What killed backups leave behind is removed by the next one; a copy that is
// being made is left alone.
func TestUnfinishedCopiesAreSweptAway(t *testing.T) {
	path, _ := filled(t)
	folder := t.TempDir()
	killed, working := copied{folder: filepath.Join(folder, ".velamen-copy-1")}, copied{folder: filepath.Join(folder, ".velamen-copy-2")}
	for _, c := range []*copied{&killed, &working} {
		if err := os.Mkdir(c.folder, 0o700); err != nil {
			t.Fatal(err)
		}
		var err error
		if c.lock, err = takeLock(t.Context(), c.making()); err != nil {
			t.Fatal(err)
		}
	}
	if err := killed.lock.release(); err != nil { // as the system does
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(folder, ".velamen-copy-3"), 0o700); err != nil { // killed before it was locked
		t.Fatal(err)
	}
	if _, err := Backup(t.Context(), path, filepath.Join(folder, "copy"), nil); err != nil {
		t.Fatal(err)
	}
	nothingLeft(t, folder, "copy", filepath.Base(working.folder))
	if _, err := os.Stat(working.folder); err != nil {
		t.Errorf("the one at work: %v", err)
	}
	if err := working.remove(); err != nil {
		t.Fatal(err)
	}
}

// What the file says of an entry that was changed behind the program's back is
// given to nobody, by whichever way it is asked for.
func TestChangedEntriesAreNotGivenOut(t *testing.T) {
	path, _ := filled(t)
	const id = "0190b000-0000-7000-8000-000000000002"
	objects := parseSchema(schemaText)
	change(t, path, "DROP TRIGGER entry_never_changes", `UPDATE entry SET detail = '{"note":"changed"}' WHERE id = '`+id+`'`, objects["trigger entry_never_changes"])
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var damaged *Damaged
	if _, err := s.Entry(t.Context(), id); !errors.As(err, &damaged) {
		t.Errorf("by its id: %v", err)
	}
	if _, err := s.OfPlant(t.Context(), plantID); !errors.As(err, &damaged) {
		t.Errorf("by its plant: %v", err)
	}
	for name, list := range map[string]iter.Seq2[care.Entry, error]{"the journal": s.All(t.Context()), "by its time": s.Select(t.Context(), Query{From: fixedNow().AddDate(-1, 0, 0)})} {
		var last error
		for e, err := range list {
			if e.Detail.Note == "changed" {
				t.Errorf("%s gives it out", name)
			}
			last = err
		}
		if !errors.As(last, &damaged) {
			t.Errorf("%s ends with %v", name, last)
		}
	}
}

// What a killed process left of a collection that it was making is in nobody's way.
func TestACollectionIsMadeWholeOrNotAtAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	if err := os.WriteFile(path+".new", nil, 0o600); err != nil { // killed at once
		t.Fatal(err)
	}
	s, err := Create(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if r := verify(t, path); !r.Sound() || r.Schema != Version {
		t.Errorf("%+v", r)
	}
	if left, err := filepath.Glob(path + ".new*"); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
