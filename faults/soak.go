package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
)

// ceilingMB is how much memory the released program may hold at its peak under
// load, in megabytes of the system's count of resident pages; its garbage
// collector is told of a smaller limit.
const (
	ceilingMB = 400
	goalMB    = 300
)

// soaks puts the program under load twice: as it is released, under a ceiling of
// memory, and built with the race detector, which needs several times as much.
func (h *harness) soaks(ctx context.Context, length time.Duration, seed uint64) []row {
	released := row{Name: "soak", Fault: fmt.Sprintf("%s under load, at most %d MB of memory", length, ceilingMB), Runs: 1}
	h.say("%s", released.Fault)
	peak, err := h.soak(ctx, h.binary, length, seed, &released.tally, fmt.Sprintf("GOMEMLIMIT=%dMiB", goalMB))
	released.count("MB at the peak", peak)
	if err == nil && peak > ceilingMB {
		err = fmt.Errorf("%d MB at the peak", peak)
	}
	if err != nil {
		released.Failed = append(released.Failed, err.Error())
	}
	racing := row{Name: "soak-race", Fault: fmt.Sprintf("%s under load, with the race detector", length), Runs: 1}
	h.say("%s", racing.Fault)
	binary, err := h.build(ctx, "velamen-race", []string{"-race"}, "CGO_ENABLED=1")
	if err != nil {
		racing.Runs, racing.LeftOut = 0, "the race detector does not build here"
		return []row{released, racing}
	}
	if _, err = h.soak(ctx, binary, length, seed, &racing.tally, "GORACE=exitcode=66"); err != nil {
		racing.Failed = append(racing.Failed, err.Error())
	}
	return []row{released, racing}
}

// soak lets people read, phones and sensors send, and backups run, all at once.
func (h *harness) soak(ctx context.Context, binary string, length time.Duration, seed uint64, t *tally, environment ...string) (peakMB int, err error) {
	folder, remove, err := h.folder()
	if err != nil {
		return 0, err
	}
	defer remove()
	file, err := h.collection(ctx, folder)
	if err != nil {
		return 0, err
	}
	plant, err := plantIn(ctx, file)
	if err != nil {
		return 0, err
	}
	space, err := firstSpace(ctx, file)
	if err != nil {
		return 0, err
	}
	s, err := start(exec.CommandContext(ctx, binary, "serve", file, "--address", "127.0.0.1:0"), environment...)
	if err != nil {
		return 0, err
	}
	defer s.kill()
	stop := make(chan struct{})
	time.AfterFunc(length, func() { close(stop) })
	var workers sync.WaitGroup
	var mu sync.Mutex
	var errs []error
	begin := func(work func(rnd *rand.Rand) error) {
		own := rand.New(rand.NewPCG(seed, rand.Uint64()))
		workers.Go(func() {
			for {
				select {
				case <-stop:
					return
				case <-s.ended:
					return
				default:
				}
				if err := work(own); err != nil {
					mu.Lock()
					errs = append(errs, err)
					mu.Unlock()
					return
				}
			}
		})
	}
	phones := []*phone{newPhone(plant), newPhone(plant)}
	for _, p := range phones {
		begin(func(rnd *rand.Rand) error {
			if len(p.waiting) == 0 {
				p.note(1 + rnd.IntN(5))
			}
			_, err := p.send(ctx, s.address)
			time.Sleep(moment(rnd, 200*time.Millisecond))
			return err
		})
	}
	paths := []string{"", "collection", "plant/" + plant, "api/round", "outcomes", "settings", "spaces", "water", "pests", "calendar.ics", "space/" + space + "/climate", "plant/" + plant + "/handout"}
	pages := 0
	for range 3 {
		begin(func(rnd *rand.Rand) error {
			path := paths[rnd.IntN(len(paths))]
			status, _, err := page(ctx, s.address, strings.ReplaceAll(path, " ", "%20"))
			if err != nil || status != http.StatusOK {
				return fmt.Errorf("/%s gives %d, %w", path, status, err)
			}
			mu.Lock()
			pages++
			mu.Unlock()
			return nil
		})
	}
	minute := 0
	begin(func(rnd *rand.Rand) error {
		var body bytes.Buffer
		minute++
		at := time.Now().Add(-time.Duration(minute) * time.Minute).UTC().Format(time.RFC3339)
		fmt.Fprintf(&body, `{"space":%q,"source":"soak","readings":[{"at":%q,"temperature":%.1f}]}`, space, at, 18+8*rnd.Float64())
		time.Sleep(50 * time.Millisecond)
		return send(ctx, s.address+"readings", body.Bytes())
	})
	copies := 0
	begin(func(rnd *rand.Rand) error {
		copies++
		to := filepath.Join(folder, fmt.Sprintf("copy%d", copies))
		if err := errors.Join(h.must(ctx, "backup", file, to), os.RemoveAll(to), os.RemoveAll(to+".photos")); err != nil {
			return err
		}
		time.Sleep(time.Second)
		return nil
	})
	workers.Wait()
	peakMB = peakOf(s.command.Process.Pid)
	t.Struck = 1
	t.count("pages", pages)
	t.count("backups", copies)
	for _, p := range phones {
		errs = append(errs, p.empty(ctx, s.address, time.Minute))
	}
	errs = append(errs, s.stop())
	if err := errors.Join(errs...); err != nil {
		return peakMB, err
	}
	for _, p := range phones {
		now, err := p.check(ctx, file)
		if err != nil {
			return peakMB, err
		}
		t.add(now)
	}
	return peakMB, h.sound(ctx, file)
}

// send sends JSON and wants it taken.
func send(ctx context.Context, address string, body []byte) error {
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(body))
	if err != nil {
		return err
	}
	request.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("%s gives %s", address, answer.Status)
	}
	return nil
}

var peakLine = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// peakOf is the most memory that a process held, where the system tells.
func peakOf(pid int) int {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	found := peakLine.FindSubmatch(text)
	if found == nil {
		return 0
	}
	kilobytes, err := strconv.Atoi(string(found[1]))
	if err != nil {
		return 0
	}
	return kilobytes / 1000
}
