package cli

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"velamen/internal/demo"
	"velamen/internal/store"
)

// bench is where the commands of one test work.
type bench struct {
	*testing.T
	folder string
}

func newBench(t *testing.T) bench { return bench{t, t.TempDir()} }

func (b bench) path(name string) string { return filepath.Join(b.folder, name) }

func (b bench) write(name, text string) string {
	b.Helper()
	if err := os.WriteFile(b.path(name), []byte(text), 0o600); err != nil {
		b.Fatal(err)
	}
	return b.path(name)
}

func (b bench) read(name string) string {
	b.Helper()
	text, err := os.ReadFile(b.path(name))
	if err != nil {
		b.Fatal(err)
	}
	return string(text)
}

// run runs a command and returns what it says and how it ends.
func (b bench) run(command interface{ Run(*run) error }) (said string, code int) {
	b.Helper()
	return b.runIn(b.Context(), command)
}

func (b bench) runIn(ctx context.Context, command interface{ Run(*run) error }) (said string, code int) {
	b.Helper()
	y, m, d := scriptDay().Date()
	r := &run{now: scriptDay, print: func() {}, ctx: ctx, in: strings.NewReader(""), out: new(bytes.Buffer), err: new(bytes.Buffer), today: time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}
	if err := command.Run(r); err != nil {
		return err.Error(), exitCode(err)
	}
	return r.out.String(), exitDone
}

// does expects a command to end with a code and to say some words.
func (b bench) does(command interface{ Run(*run) error }, code int, words ...string) {
	b.Helper()
	said, got := b.run(command)
	if got != code {
		b.Errorf("%T ends with %d, want %d: %s", command, got, code, said)
	}
	for _, word := range words {
		if !strings.Contains(said, word) {
			b.Errorf("%T says\n%s\nwithout %q", command, said, word)
		}
	}
}

func TestACollectionFromItsBeginningToItsBackup(t *testing.T) {
	b := newBench(t)
	file := b.path("orchids.velamen")
	b.does(initCommand{File: file, Sample: true}, exitDone, "orchids.velamen", "No plant in it exists")
	b.does(initCommand{File: file}, exitBadInput, "exists already")
	b.does(verifyCommand{File: file}, exitDone, "is sound", "0 photographs")

	s, err := store.Open(t.Context(), file, scriptDay)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.PutPhoto(t.Context(), store.Photo{MediaType: "image/png"}, []byte("a picture")); err != nil {
		t.Fatal(err)
	}
	// While it is open elsewhere it can be looked at, copied and checked, not changed.
	b.does(importCommand{File: file, In: b.write("case.toml", demo.CaseFile(scriptDay())), Yes: true}, exitBadInput, "open in another velamen")
	b.does(exportCommand{File: file, Out: b.path("first.json")}, exitDone, "first.json")
	b.does(backupCommand{File: file, Out: b.path("copy.velamen")}, exitDone, "1 photographs", "found sound")
	b.does(restoreCommand{Backup: b.path("copy.velamen"), File: file, Replace: true}, exitBadInput, "open in another velamen")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	b.does(exportCommand{File: file, Out: b.path("first.json")}, exitBadInput, "--replace")
	b.does(backupCommand{File: file, Out: b.path("copy.velamen")}, exitBadInput, "exists already")
	b.does(restoreCommand{Backup: b.path("copy.velamen"), File: file}, exitBadInput, "--replace")
	b.does(restoreCommand{Backup: b.path("copy.velamen"), File: file, Replace: true}, exitDone, "1 photographs", "is kept in")
	b.does(initCommand{File: b.path("second.velamen")}, exitDone)
	b.does(importCommand{File: b.path("second.velamen"), In: b.path("first.json")}, exitDone, "is whole", "--yes")
	b.does(importCommand{File: b.path("second.velamen"), In: b.path("first.json"), Yes: true}, exitDone, "were new and are added; 1 photographs")
	b.does(exportCommand{File: b.path("second.velamen"), Out: b.path("second.json")}, exitDone)
	b.does(exportCommand{File: file, Out: b.path("third.json")}, exitDone)
	if first := b.read("first.json"); first != b.read("second.json") || first != b.read("third.json") {
		t.Error("out, in and out again gives another file, or the backup does")
	}
	b.does(exportCommand{File: file, Out: b.path("tables")}, exitDone, "plants.csv", "journal.csv")
	b.does(exportCommand{File: file, Out: b.path("tables")}, exitBadInput, "--replace")
}

func TestVerifyListsWhatIsDamaged(t *testing.T) {
	b := newBench(t)
	file := b.path("orchids.velamen")
	b.does(initCommand{File: file, Sample: true}, exitDone)
	text := b.read("orchids.velamen")
	if changed := strings.Replace(text, "star, white", "star, wight", 1); changed == text {
		t.Fatal("the plant is not in the file as text")
	} else {
		b.write("orchids.velamen", changed)
	}
	b.does(verifyCommand{File: file}, exitFailed, "is damaged", "it was changed after it was recorded")
	b.does(backupCommand{File: file, Out: b.path("copy.velamen")}, exitFailed, "nothing was written")
	b.does(verifyCommand{File: b.path("none")}, exitBadInput, "no such file")
	b.does(verifyCommand{File: b.write("notes.txt", strings.Repeat("notes ", 1000))}, exitFailed, "not a velamen collection")
}

func TestASpreadsheetIsShownBeforeItIsAdded(t *testing.T) {
	b := newBench(t)
	file := b.path("orchids.velamen")
	latitude := -37.8
	b.does(initCommand{File: file, Latitude: &latitude}, exitDone)
	sheet := importCommand{File: file, In: b.write("plants.csv", "Code;Genus;Date potted\nC-1;Cattleya;3/4/2026\nC-2;Cattleya;4/5/2026\n")}
	b.does(sheet, exitBadInput, "no column is headed label")
	sheet.Map = `label=Code`
	b.does(sheet, exitBadInput, "dmy or mdy")
	sheet.Dates = "dmy"
	b.does(sheet, exitDone, "line 2, plant C-1", "repotted on 2026-04-03", "2 plants would be added", "--yes")
	b.does(sheet, exitDone, "2 plants would be added") // the first look added nothing
	sheet.Yes = true
	b.does(sheet, exitDone, "2 plants are added")
	b.does(sheet, exitBadInput, "nothing was added because of 2 problems", "C-2 is in use")
	sheet.Yes = false
	b.does(sheet, exitDone, "2 problems come first")
	sheet.Delimiter = "xx"
	b.does(sheet, exitBadInput, "--delimiter")
	b.does(importCommand{File: file, In: b.path("none.csv")}, exitBadInput, "there is no file")
	b.does(importCommand{File: file, In: b.write("case.toml", demo.CaseFile(scriptDay()))}, exitDone, "40 plants would be added", "space balcony")
}

func TestCoordinatesAreChecked(t *testing.T) {
	b := newBench(t)
	far := 99.0
	b.does(initCommand{File: b.path("a"), Latitude: &far}, exitBadInput, "--latitude 99 is outside")
	b.does(initCommand{File: b.path("a"), Latitude: &far, Sample: true}, exitBadInput)
	if _, err := os.Stat(b.path("a")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file was made: %v", err)
	}
}

func TestStoppedWorkLeavesNothing(t *testing.T) {
	b := newBench(t)
	file := b.path("orchids.velamen")
	b.does(initCommand{File: file, Sample: true}, exitDone)
	b.does(exportCommand{File: file, Out: b.path("all.json")}, exitDone)
	b.does(initCommand{File: b.path("empty.velamen")}, exitDone)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, command := range []interface{ Run(*run) error }{
		backupCommand{File: file, Out: b.path("copy.velamen")},
		exportCommand{File: file, Out: b.path("out.json")},
		verifyCommand{File: file},
		importCommand{File: b.path("empty.velamen"), In: b.path("all.json"), Yes: true},
		restoreCommand{Backup: file, File: b.path("restored.velamen")},
		initCommand{File: b.path("new.velamen"), Sample: true},
	} {
		if said, code := b.runIn(ctx, command); code != exitFailed {
			t.Errorf("%T ends with %d: %s", command, code, said)
		}
	}
	files, err := os.ReadDir(b.folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		switch name := strings.TrimSuffix(f.Name(), ".lock"); name {
		case "orchids.velamen", "empty.velamen", "all.json":
		default:
			t.Errorf("%s was left behind", f.Name())
		}
	}
	b.does(exportCommand{File: b.path("empty.velamen"), Out: b.path("still-empty.json")}, exitDone)
	if text := b.read("still-empty.json"); strings.Contains(text, `"id"`) {
		t.Error("a stopped import added entries")
	}
}
