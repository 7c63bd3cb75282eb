package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"time"

	"velamen/internal/care"
)

func detailOf(e care.Entry) string {
	text, err := json.Marshal(e.Detail)
	if err != nil {
		return err.Error()
	}
	return string(text)
}

// killEntries lets two phones send while the server is killed and started again,
// and then lets them empty their outboxes.
func killEntries(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	_, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	plant, err := plantIn(ctx, file)
	if err != nil {
		return t, err
	}
	phones := []*phone{newPhone(plant), newPhone(plant)}
	for range 3 {
		s, err := h.serve(ctx, file)
		if err != nil {
			return t, err
		}
		stop := make(chan struct{})
		errs := make([]error, len(phones))
		var senders sync.WaitGroup
		for i, p := range phones {
			own := rand.New(rand.NewPCG(rnd.Uint64(), uint64(i)))
			senders.Go(func() { errs[i] = p.sending(ctx, s.address, own, stop) })
		}
		time.Sleep(moment(rnd, 150*time.Millisecond))
		s.kill()
		close(stop)
		senders.Wait()
		if err := errors.Join(errs...); err != nil {
			return t, err
		}
		t.Struck++
		if err := h.sound(ctx, file); err != nil {
			return t, err
		}
		for _, p := range phones {
			if now, err := p.check(ctx, file); err != nil || now.Lost+now.Doubled > 0 {
				t.Lost, t.Doubled = t.Lost+now.Lost, t.Doubled+now.Doubled
				return t, errors.Join(err, fmt.Errorf("after a kill: %+v", now))
			}
		}
	}
	s, err := h.serve(ctx, file)
	if err != nil {
		return t, err
	}
	for _, p := range phones {
		if err := p.empty(ctx, s.address, time.Minute); err != nil {
			return t, errors.Join(err, s.stop())
		}
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	for _, p := range phones {
		now, err := p.check(ctx, file)
		if err != nil {
			return t, err
		}
		t.add(now)
	}
	return t, h.sound(ctx, file)
}

// killInit kills the making of a collection. What is left must be nothing, or a
// collection, so that the same command or the next one goes on.
func killInit(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	folder, remove, err := h.folder()
	if err != nil {
		return t, err
	}
	defer remove()
	file := filepath.Join(folder, "orchids.velamen")
	struck, _, err := h.killed(ctx, rnd, "init", file)
	if err != nil {
		return t, err
	}
	if struck {
		t.Struck++
	}
	if _, err := os.Lstat(file); errors.Is(err, os.ErrNotExist) {
		t.count("not begun", 1)
	}
	s, err := h.serve(ctx, file) // makes it, or goes on with what is there
	if err != nil {
		return t, err
	}
	if status, _, err := page(ctx, s.address, "start"); err != nil || status != 200 {
		return t, errors.Join(fmt.Errorf("the first page: %d, %w", status, err), s.stop())
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	return t, h.sound(ctx, file)
}
