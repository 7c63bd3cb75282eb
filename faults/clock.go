package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/cli"
	"velamen/internal/store"
)

// clockVariable names the file that a child of this command reads its clock from.
const clockVariable = "VELAMEN_FAULTS_CLOCK"

// withSetClock is the whole program with one thing changed: its clock is set from
// outside. The released binary has no such switch, and a static program asks the
// system for the time in ways that nothing can step between.
func withSetClock(path string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	c := &setClock{path: path}
	return cli.Run(ctx, os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, c.now)
}

// setClock runs from the time that a file says, from when it began to say so.
type setClock struct {
	path string
	mu   sync.Mutex
	text string
	set  time.Time
	from time.Time
}

func (c *setClock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	if text, err := os.ReadFile(c.path); err == nil && string(text) != c.text && len(text) > 0 {
		if at, err := time.Parse(time.RFC3339, string(text)); err == nil {
			c.text, c.set, c.from = string(text), at, time.Now()
		}
	}
	return c.set.Add(time.Since(c.from)).Local()
}

// turned is a collection served by a program whose clock can be set.
type turned struct {
	folder, file, clock string
	zone                string
	remove              func()
}

// withClock makes the sample collection as of a moment.
func (h *harness) withClock(ctx context.Context, at time.Time, zone string) (*turned, error) {
	folder, remove, err := h.folder()
	if err != nil {
		return nil, err
	}
	c := &turned{folder: folder, file: filepath.Join(folder, "orchids.velamen"), clock: filepath.Join(folder, "clock"), zone: zone, remove: remove}
	if err := c.set(at); err != nil {
		return nil, err
	}
	command, err := c.command(ctx, "init", c.file, "--sample")
	if err != nil {
		return nil, err
	}
	if out, err := command.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("making the sample: %w: %s", err, out)
	}
	return c, nil
}

func (c *turned) set(at time.Time) error {
	fresh := c.clock + ".new"
	if err := os.WriteFile(fresh, []byte(at.Format(time.RFC3339)), 0o600); err != nil {
		return err
	}
	return os.Rename(fresh, c.clock)
}

func (c *turned) command(ctx context.Context, args ...string) (*exec.Cmd, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	command := exec.CommandContext(ctx, self, args...)
	command.Env = append(os.Environ(), clockVariable+"="+c.clock, "TZ="+c.zone)
	return command, nil
}

func (c *turned) serve(ctx context.Context) (*server, error) {
	command, err := c.command(ctx, "serve", c.file, "--address", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	return start(command, command.Env...)
}

// clockSet sets the server's clock back and forward while phones, whose clocks are
// right, send entries. What it refuses, because it lies in its future, stays in
// the outbox and is taken later.
func clockSet(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	right := time.Now().Truncate(time.Second)
	c, err := h.withClock(ctx, right, "UTC")
	if err != nil {
		return t, err
	}
	defer c.remove()
	plant, err := plantIn(ctx, c.file)
	if err != nil {
		return t, err
	}
	s, err := c.serve(ctx)
	if err != nil {
		return t, err
	}
	defer func() { s.kill() }()
	p := newPhone(plant)
	offsets := []time.Duration{0, -moment(rnd, 20*time.Hour), -time.Duration(2+rnd.IntN(700)) * 24 * time.Hour, time.Duration(1+rnd.IntN(700)) * 24 * time.Hour, 0}
	for i, offset := range offsets {
		if err := c.set(right.Add(offset)); err != nil {
			return t, err
		}
		if i > 0 {
			t.Struck++
		}
		if rnd.IntN(2) == 0 { // a start with the wrong clock
			if err := s.stop(); err != nil {
				return t, err
			}
			if s, err = c.serve(ctx); err != nil {
				return t, fmt.Errorf("started with a clock that is off by %s: %w", offset, err)
			}
		}
		p.note(1 + rnd.IntN(5))
		err := p.empty(ctx, s.address, 20*time.Second)
		switch ahead := offset < -24*time.Hour; {
		case ahead && (!errors.Is(err, errRefused) || !strings.Contains(err.Error(), "future")):
			return t, fmt.Errorf("with a clock that is off by %s entries gave %w", offset, err)
		case ahead:
			t.count("bursts refused as lying in the future, taken later", 1)
		case err != nil:
			return t, fmt.Errorf("with a clock that is off by %s: %w", offset, err)
		}
		for _, path := range []string{"", "collection", "plant/" + plant, "api/round", "outcomes"} {
			if status, _, err := page(ctx, s.address, path); err != nil || status != 200 {
				return t, fmt.Errorf("with a clock that is off by %s /%s gives %d, %w", offset, path, status, err)
			}
		}
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	now, err := p.check(ctx, c.file)
	t.add(now)
	return t, errors.Join(err, h.sound(ctx, c.file))
}

// daylightSaving does a round while the clocks of the place change, each job
// twice as by a doubled form, half of the second ones after the change. Every job
// is answered once and none comes back.
func daylightSaving(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		return t, err
	}
	// The changes of 2026 in the European Union: 01:00 UTC on the last Sundays of
	// March and October (Directive 2000/84/EC).
	change := time.Date(2026, 10, 25, 1, 0, 0, 0, time.UTC)
	if rnd.IntN(2) == 0 {
		change = time.Date(2026, 3, 29, 1, 0, 0, 0, time.UTC)
	}
	c, err := h.withClock(ctx, change.Add(-20*time.Minute).In(berlin), "Europe/Berlin")
	if err != nil {
		return t, err
	}
	defer c.remove()
	s, err := c.serve(ctx)
	if err != nil {
		return t, err
	}
	defer s.kill()
	jobs, err := openJobs(ctx, s.address)
	if err != nil || len(jobs) < 4 {
		return t, fmt.Errorf("the round has %d jobs, %w", len(jobs), err)
	}
	jobs = jobs[:min(len(jobs), 12)]
	var sent []url.Values
	for i, job := range jobs {
		if i == len(jobs)/2 {
			if err := c.set(change.Add(moment(rnd, 20*time.Minute))); err != nil {
				return t, err
			}
			t.Struck++
		}
		form := url.Values{"job": {job}, "skip": {"still wet"}, "entry": {store.HashOf([]byte(job))[:8] + "-0000-7000-8000-000000000001"}}
		if err := answer(ctx, s.address, form); err != nil {
			return t, err
		}
		sent = append(sent, form)
	}
	for _, form := range sent {
		if err := answer(ctx, s.address, form); err != nil {
			return t, err
		}
	}
	left, err := openJobs(ctx, s.address)
	if err != nil {
		return t, err
	}
	for _, job := range left {
		for _, form := range sent {
			if form.Get("job") == job {
				return t, fmt.Errorf("the job %s was answered and came back", job)
			}
		}
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	kept, err := store.OpenReading(ctx, c.file, time.Now)
	if err != nil {
		return t, err
	}
	defer kept.Close()
	answered := map[string]int{}
	var before time.Time
	for e, err := range kept.All(ctx) {
		if err != nil {
			return t, err
		}
		if e.Kind == care.Skipped && strings.HasSuffix(e.ID, "-0000-7000-8000-000000000001") {
			answered[e.Detail.Job]++
			if e.At.Before(before) {
				return t, fmt.Errorf("an answer at %s is kept after one at %s", e.At, before)
			}
			if want := e.At.In(berlin).Format("-07:00"); e.At.Format("-07:00") != want {
				return t, fmt.Errorf("%s is kept with the wrong offset; the place had %s", e.At, want)
			}
			before = e.At
		}
	}
	for _, job := range jobs {
		t.Acknowledged++
		if answered[job] == 0 {
			t.Lost++
		}
		t.Doubled += max(0, answered[job]-1)
	}
	return t, h.sound(ctx, c.file)
}

// openJobs returns the keys of the jobs that today's round still has.
func openJobs(ctx context.Context, address string) (keys []string, err error) {
	for range 50 {
		status, text, err := page(ctx, address, "api/round")
		if err != nil || status != 200 {
			return nil, fmt.Errorf("the round: %d, %w", status, err)
		}
		var round struct {
			Pending int `json:"pending"`
			Stops   []struct {
				Jobs []struct {
					Key string `json:"key"`
				} `json:"jobs"`
			} `json:"stops"`
		}
		if err := json.Unmarshal([]byte(text), &round); err != nil {
			return nil, err
		}
		if round.Pending > 0 {
			time.Sleep(100 * time.Millisecond)
			continue
		}
		keys = nil
		for _, stop := range round.Stops {
			for _, job := range stop.Jobs {
				keys = append(keys, job.Key)
			}
		}
		return keys, nil
	}
	return nil, errors.New("the round is not worked out after five seconds")
}

// answer sends the form of a job.
func answer(ctx context.Context, address string, form url.Values) error {
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, address+"round/answer", strings.NewReader(form.Encode()))
	if err != nil {
		return err
	}
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	got, err := client.Do(request)
	if err != nil {
		return err
	}
	defer got.Body.Close()
	if got.StatusCode != http.StatusSeeOther {
		return fmt.Errorf("the answer to %s gives %s", form.Get("job"), got.Status)
	}
	return nil
}
