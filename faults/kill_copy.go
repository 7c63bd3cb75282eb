package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"velamen/internal/store"
)

// untilDone runs a command that is killed a few times before it may end, and
// reports how often it was.
func (h *harness) untilDone(ctx context.Context, rnd *rand.Rand, after func() error, args ...string) (struck int, err error) {
	for range 4 {
		hit, s, err := h.killed(ctx, rnd, args...)
		if err != nil {
			return struck, err
		}
		if !hit && s.code != 0 {
			return struck, fmt.Errorf("velamen %s, when it was begun again: %s", args[0], s.err)
		}
		if err := after(); err != nil {
			return struck, err
		}
		if !hit {
			return struck, nil
		}
		struck++
	}
	if err := h.must(ctx, args...); err != nil {
		return struck, err
	}
	return struck, after()
}

// loggerLines writes a logger's file of half a year at ten minutes.
func loggerLines(path string) (readings int, err error) {
	var b strings.Builder
	b.WriteString("time,temperature °C,humidity %\n")
	at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	const lines = 26_000
	for i := range lines {
		fmt.Fprintf(&b, "%s,%.1f,%.1f\n", at.Add(time.Duration(i)*10*time.Minute).Format("2006-01-02 15:04:05"), 18+float64(i%80)/10, 50+float64(i%300)/10)
	}
	return 2 * lines, os.WriteFile(path, []byte(b.String()), 0o600)
}

// killReadings kills the import of a logger's file, which goes on from where it
// was; every reading is there once in the end, as without a kill.
func killReadings(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	lines := filepath.Join(folder, "log.csv")
	want, err := loggerLines(lines)
	if err != nil {
		return t, err
	}
	space, err := firstSpace(ctx, file)
	if err != nil {
		return t, err
	}
	before, err := readingsIn(ctx, file)
	if err != nil {
		return t, err
	}
	kept := before
	t.Struck, err = h.untilDone(ctx, rnd, func() error {
		n, err := readingsIn(ctx, file)
		if n < kept {
			t.Lost += kept - n
			return fmt.Errorf("%d readings were kept, now %d are there", kept, n)
		}
		kept = n
		return errors.Join(err, h.sound(ctx, file))
	}, "readings", "import", file, lines, "--space", space, "--zone", "+00:00", "--dates", "ymd", "--yes")
	if err != nil {
		return t, err
	}
	t.Acknowledged = want
	t.Lost += max(0, before+want-kept)
	t.Doubled += max(0, kept-before-want)
	reference := filepath.Join(folder, "reference.csv")
	if err := h.must(ctx, "readings", "export", file, reference); err != nil {
		return t, err
	}
	return t, h.sameAsReference(reference)
}

// sameAsReference compares an export with the one of the first run that got this
// far; all runs import the same file.
func (h *harness) sameAsReference(export string) error {
	text, err := os.ReadFile(export)
	if err != nil {
		return err
	}
	if h.made["readings"] == "" {
		h.made["readings"] = string(text)
	}
	if h.made["readings"] != string(text) {
		return errors.New("the readings differ from those of another run over the same file")
	}
	return nil
}

func firstSpace(ctx context.Context, file string) (string, error) {
	s, err := store.OpenReading(ctx, file, time.Now)
	if err != nil {
		return "", err
	}
	defer s.Close()
	_, c, err := s.Collection(ctx)
	if err != nil {
		return "", err
	}
	for _, space := range c.Spaces {
		return space.Name, nil
	}
	return "", errors.New("there is no space in the collection")
}

func readingsIn(ctx context.Context, file string) (int, error) {
	r, err := store.Verify(ctx, file, nil)
	return r.Readings, err
}

// killImport kills the import of a whole export into a new collection.
func killImport(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	export, fresh := filepath.Join(folder, "all.json"), filepath.Join(folder, "fresh.velamen")
	if err := errors.Join(h.must(ctx, "export", file, export), h.must(ctx, "init", fresh)); err != nil {
		return t, err
	}
	t.Struck, err = h.untilDone(ctx, rnd, func() error { return h.sound(ctx, fresh) }, "import", fresh, export, "--yes")
	if err != nil {
		return t, err
	}
	return t, sameContent(ctx, &t, file, fresh)
}

// sameContent wants two collections to say the same.
func sameContent(ctx context.Context, t *tally, one, other string) error {
	want, err := contentOf(ctx, one)
	if err != nil {
		return err
	}
	got, err := contentOf(ctx, other)
	if err != nil {
		return err
	}
	r, err := store.Verify(ctx, one, nil)
	if err != nil {
		return err
	}
	t.Acknowledged += r.Entries
	if want != got {
		other, err := store.Verify(ctx, other, nil)
		t.Lost += max(0, r.Entries-other.Entries)
		return errors.Join(err, fmt.Errorf("%d entries and %d photographs became %d and %d, or say something else", r.Entries, r.Photos, other.Entries, other.Photos))
	}
	return nil
}

// killMigration kills the opening of a file of an earlier schema, which then
// opens, with everything in it.
func killMigration(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, remove, err := h.folder()
	if err != nil {
		return t, err
	}
	defer remove()
	file := filepath.Join(folder, "old.velamen")
	before, err := h.oldCollection(file, 1+rnd.IntN(store.Version-1))
	if err != nil {
		return t, err
	}
	t.Struck, err = h.untilDone(ctx, rnd, func() error { return h.sound(ctx, file) }, "export", file, filepath.Join(folder, "tables"), "--replace")
	if err != nil {
		return t, err
	}
	s, err := store.OpenReading(ctx, file, time.Now)
	if err != nil {
		return t, err
	}
	defer s.Close()
	after := 0
	for _, err := range s.All(ctx) {
		if err != nil {
			return t, err
		}
		after++
	}
	t.Acknowledged, t.Lost, t.Doubled = before, max(0, before-after), max(0, after-before)
	return t, nil
}

// oldCollection makes a collection of an earlier schema from the text that the
// store's own tests use, and returns how many entries it holds.
func (h *harness) oldCollection(file string, version int) (entries int, err error) {
	text, err := os.ReadFile(filepath.Join(h.root, fmt.Sprintf("internal/store/testdata/schema/v%d.sql", version)))
	if err != nil {
		return 0, err
	}
	db, err := sql.Open(sql.Drivers()[0], file) // the store's
	if err != nil {
		return 0, err
	}
	defer db.Close()
	if _, err := db.Exec(string(text)); err != nil {
		return 0, err
	}
	if err := db.QueryRow("SELECT count(*) FROM entry").Scan(&entries); err != nil {
		return 0, err
	}
	if version < 2 {
		return entries, nil
	}
	// Its one photograph, as those tests have it.
	content := []byte("a picture")
	if err := os.Mkdir(store.PhotoFolder(file), 0o700); err != nil {
		return 0, err
	}
	return entries, os.WriteFile(filepath.Join(store.PhotoFolder(file), store.HashOf(content)+".png"), content, 0o600)
}

// killBackup kills backups of a collection that a server writes meanwhile. A copy
// that has its name is whole; one that has not is in nobody's way.
func killBackup(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	plant, s, err := h.served(ctx, file)
	if err != nil {
		return t, err
	}
	p, stop := newPhone(plant), make(chan struct{})
	own := rand.New(rand.NewPCG(rnd.Uint64(), 1))
	var sender sync.WaitGroup
	var sending error
	sender.Go(func() { sending = p.sending(ctx, s.address, own, stop) })
	to := filepath.Join(folder, "copy")
	t.Struck, err = h.untilDone(ctx, rnd, func() error {
		if _, err := os.Lstat(to); errors.Is(err, os.ErrNotExist) {
			return nil
		}
		return h.sound(ctx, to)
	}, "backup", file, to)
	close(stop)
	sender.Wait()
	if err := errors.Join(err, sending, s.stop()); err != nil {
		return t, err
	}
	left, err := leftovers(folder, "orchids.velamen", "copy")
	if err != nil || len(left) > 0 {
		return t, fmt.Errorf("left behind: %s, %v", strings.Join(left, ", "), err)
	}
	now, err := p.check(ctx, file)
	t.add(now)
	return t, errors.Join(err, h.sound(ctx, file), h.sound(ctx, to))
}

// killRestore kills restores that take the place of a collection. The old one, or
// the one from the backup, is there at every moment, and the old one stays.
func killRestore(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	backup := filepath.Join(folder, "copy")
	if err := h.must(ctx, "backup", file, backup); err != nil {
		return t, err
	}
	plant, s, err := h.served(ctx, file)
	if err != nil {
		return t, err
	}
	p := newPhone(plant)
	p.note(5)
	if err := errors.Join(p.empty(ctx, s.address, time.Minute), s.stop()); err != nil {
		return t, err
	}
	before, err := contentOf(ctx, file)
	if err != nil {
		return t, err
	}
	restored, err := contentOf(ctx, backup)
	if err != nil {
		return t, err
	}
	t.Acknowledged = len(p.taken)
	for range 4 {
		struck, _, err := h.killed(ctx, rnd, "restore", backup, file, "--replace")
		if err != nil {
			return t, err
		}
		if struck {
			t.Struck++
		}
		// What answers at the name now must be the old collection or the backup.
		s, err := h.serve(ctx, file)
		if errors.Is(err, errDidNotStart) && strings.Contains(err.Error(), store.ErrUnfinished.Error()) {
			t.count("cut off between two names, and said so", 1)
			continue
		}
		if err != nil {
			return t, fmt.Errorf("after a kill: %w", err)
		}
		if err := s.stop(); err != nil {
			return t, err
		}
		now, err := contentOf(ctx, file)
		if err != nil || now != before && now != restored {
			return t, fmt.Errorf("after a kill the collection is neither the old one nor the backup: %v", err)
		}
	}
	if err := h.must(ctx, "restore", backup, file, "--replace"); err != nil {
		return t, err
	}
	if now, err := contentOf(ctx, file); err != nil || now != restored {
		return t, fmt.Errorf("the backup did not come back: %v", err)
	}
	// The old one is kept aside, whole.
	kept, err := filepath.Glob(file + ".before-*")
	if err != nil {
		return t, err
	}
	for _, name := range kept {
		if strings.HasSuffix(name, ".photos") || strings.HasSuffix(name, "-wal") || strings.HasSuffix(name, "-shm") || strings.HasSuffix(name, ".lock") {
			continue
		}
		if now, err := contentOf(ctx, name); err == nil && now == before {
			left, err := leftovers(folder, "orchids.velamen", "copy")
			if len(left) > 0 {
				err = fmt.Errorf("left behind: %s", strings.Join(left, ", "))
			}
			return t, err
		}
	}
	t.Lost = t.Acknowledged
	return t, errors.New("the old collection was not kept aside")
}
