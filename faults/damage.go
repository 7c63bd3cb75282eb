package main

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	"velamen/internal/store"
)

// holdLock takes the write lock of a database as another program would.
func holdLock(ctx context.Context, file string) (release func() error, err error) {
	db, err := sql.Open(sql.Drivers()[0], file)
	if err != nil {
		return nil, err
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(time.Millisecond) {
		if _, err = conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err == nil || time.Now().After(end) {
			break
		}
	}
	release = func() error {
		_, err := conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
		return errors.Join(err, conn.Close(), db.Close())
	}
	if err != nil {
		return nil, errors.Join(err, conn.Close(), db.Close())
	}
	return release, nil
}

func flipBit(h *harness, ctx context.Context, rnd *rand.Rand) (tally, error) {
	return h.damaged(ctx, func(file string) error {
		content, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		content[rnd.IntN(len(content))] ^= 1 << rnd.IntN(8)
		return os.WriteFile(file, content, 0o600)
	})
}

func cutShort(h *harness, ctx context.Context, rnd *rand.Rand) (tally, error) {
	return h.damaged(ctx, func(file string) error {
		info, err := os.Stat(file)
		if err != nil {
			return err
		}
		return os.Truncate(file, rnd.Int64N(info.Size()))
	})
}

// damaged damages a database that was backed up. Either the check finds it, and
// what is read of the journal is what was written or an error; or nothing that
// was written reads otherwise. Then the backup comes back.
func (h *harness) damaged(ctx context.Context, damage func(file string) error) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	backup := filepath.Join(folder, "copy")
	if err := h.must(ctx, "backup", file, backup); err != nil {
		return t, err
	}
	want, err := contentOf(ctx, file)
	if err != nil {
		return t, err
	}
	if err := damage(file); err != nil {
		return t, err
	}
	t.Struck++
	told, err := h.run(ctx, "verify", file)
	if err != nil {
		return t, err
	}
	found := told.code != 0
	got, readErr := contentOf(ctx, file)
	switch {
	case found:
		t.count("found", 1)
	case readErr == nil && got == want:
		t.count("without effect on what is read", 1)
	default:
		return t, fmt.Errorf("the check found nothing, but the collection reads otherwise: %v", readErr)
	}
	// What reads without an error is what was written: a page made from it is
	// right. It may lack the end of the journal only if the check says so.
	if err := readsTrue(ctx, file, backup); err != nil {
		return t, err
	}
	// Serving ends with a message or works; it neither crashes nor changes more.
	s, err := h.serve(ctx, file)
	switch {
	case errors.Is(err, errDidNotStart):
		t.count("not served", 1)
		if strings.Contains(err.Error(), "panic") {
			return t, err
		}
	case err != nil:
		return t, err
	default:
		if status, _, err := page(ctx, s.address, "collection"); err != nil || status != 200 && status != 500 {
			return t, errors.Join(fmt.Errorf("the collection's page: %d, %w", status, err), s.stop())
		}
		if err := s.stop(); err != nil {
			return t, err
		}
	}
	if err := h.must(ctx, "restore", backup, file, "--replace"); err != nil {
		return t, err
	}
	if now, err := contentOf(ctx, file); err != nil || now != want {
		return t, fmt.Errorf("the backup did not come back: %v", err)
	}
	return t, h.sound(ctx, file)
}

// readsTrue wants every entry that a damaged collection gives out to be the one
// that the sound copy has at its place.
func readsTrue(ctx context.Context, damaged, sound string) error {
	s, err := store.OpenReading(ctx, sound, time.Now)
	if err != nil {
		return err
	}
	defer s.Close()
	d, err := store.OpenReading(ctx, damaged, time.Now)
	if err != nil {
		return nil // nothing is read
	}
	defer d.Close()
	kept := map[string]string{}
	for e, err := range s.All(ctx) {
		if err != nil {
			return err
		}
		kept[e.ID] = detailOf(e) + e.At.String() + e.Plant + string(e.Kind) + e.By
	}
	for e, err := range d.All(ctx) {
		if err != nil {
			return nil
		}
		if kept[e.ID] != detailOf(e)+e.At.String()+e.Plant+string(e.Kind)+e.By {
			return fmt.Errorf("entry %s is given out changed", e.ID)
		}
	}
	return nil
}

// damagePhotograph damages the file of one picture: the check names it, no page
// gives it out, and it comes back from a backup.
func damagePhotograph(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	backup := filepath.Join(folder, "copy")
	if err := h.must(ctx, "backup", file, backup); err != nil {
		return t, err
	}
	pictures, err := filepath.Glob(filepath.Join(store.PhotoFolder(file), "*.jpg"))
	if err != nil || len(pictures) != picturesMade {
		return t, fmt.Errorf("%d pictures, %v", len(pictures), err)
	}
	one := pictures[rnd.IntN(len(pictures))]
	content, err := os.ReadFile(one)
	if err != nil {
		return t, err
	}
	hurt := bytes.Clone(content)
	switch rnd.IntN(4) {
	case 0:
		hurt[rnd.IntN(len(hurt))] ^= 1 << rnd.IntN(8)
	case 1:
		hurt = hurt[:rnd.IntN(len(hurt))]
	case 2:
		hurt = nil
	}
	if err := os.WriteFile(one, hurt, 0o600); err != nil {
		return t, err
	}
	if bytes.Equal(hurt, content) { // the fourth way
		if err := os.Remove(one); err != nil {
			return t, err
		}
	}
	t.Struck++
	hash := strings.TrimSuffix(filepath.Base(one), ".jpg")
	told, err := h.run(ctx, "verify", file)
	if err != nil || told.code == 0 || !strings.Contains(told.out+told.err, hash) {
		return t, fmt.Errorf("the check ended with %d, %v, and does not name %s", told.code, err, hash)
	}
	t.count("found", 1)
	s, err := h.serve(ctx, file)
	if err != nil {
		return t, err
	}
	defer s.kill()
	status, text, err := page(ctx, s.address, "photo/"+hash+"/full")
	if err != nil || status == 200 || len(hurt) > 0 && strings.Contains(text, string(hurt)) {
		return t, fmt.Errorf("the damaged picture was answered with %d, %v", status, err)
	}
	other := strings.TrimSuffix(filepath.Base(pictures[rnd.IntN(len(pictures))]), ".jpg")
	if status, _, err := page(ctx, s.address, "photo/"+other+"/full"); other != hash && (err != nil || status != 200) {
		return t, fmt.Errorf("another picture was answered with %d, %v", status, err)
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	if err := h.must(ctx, "restore", backup, file, "--replace"); err != nil {
		return t, err
	}
	return t, h.sound(ctx, file)
}
