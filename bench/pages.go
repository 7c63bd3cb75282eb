package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/alexedwards/scs/v2/memstore"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
	"velamen/internal/web"
)

// entriesPerPlant is how long the journal of each plant of the nursery is.
const entriesPerPlant = 20

// nurseryOf is the invented nursery whose pages are asked for.
func nurseryOf(plants int) (storetest.Nursery, culture.Table, error) {
	tables, err := culture.Load()
	if err != nil {
		return storetest.Nursery{}, tables, err
	}
	small, _, err := casefile.Read(strings.NewReader(demo.CaseFile(storetest.Start)), demo.FileName, tables)
	return storetest.Nursery{Entries: entriesPerPlant * plants, Plants: plants, Small: small}, tables, err
}

// momentOf is when the nursery is looked at.
func momentOf(n storetest.Nursery) func() time.Time {
	at := n.Today().Add(8*time.Hour + 30*time.Minute)
	return func() time.Time { return at }
}

func (b *bench) writeNursery(ctx context.Context, path string) error {
	n, _, err := nurseryOf(b.plants)
	if err != nil {
		return err
	}
	s, err := store.Create(ctx, path, momentOf(n))
	if err != nil {
		return err
	}
	const burst = 10_000
	list := make([]care.Entry, 0, burst)
	for e := range n.All() {
		if list = append(list, e); len(list) == burst {
			if _, err := s.Append(ctx, list); err != nil {
				return errors.Join(err, s.Close())
			}
			list = list[:0]
		}
	}
	_, err = s.Append(ctx, list)
	return errors.Join(err, s.Close())
}

// serveNursery is what the command does as a server of its own: it opens the
// nursery as velamen serve does, at the nursery's own time.
func serveNursery(ctx context.Context, path string, plants int) error {
	n, tables, err := nurseryOf(plants)
	if err != nil {
		return err
	}
	now := momentOf(n)
	s, err := store.Open(ctx, path, now)
	if err != nil {
		return err
	}
	defer s.Close()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	kept, err := book.Open(ctx, s, tables, now)
	if err != nil {
		return err
	}
	go kept.Prepare(ctx)
	pages, err := web.New(web.Config{
		Book: kept, Journal: s, Sessions: memstore.New(), Secrets: s, Photos: s, Readings: s,
		Logger: slog.New(slog.DiscardHandler), Now: now, Address: listener.Addr().String(), Patience: time.Hour,
	})
	if err != nil {
		return err
	}
	fmt.Println(listener.Addr())
	server := &http.Server{Handler: pages, ReadHeaderTimeout: 10 * time.Second}
	go func() {
		<-ctx.Done()
		_ = server.Close()
	}()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

var (
	wrkRate   = regexp.MustCompile(`Requests/sec:\s+([0-9.]+)`)
	wrkAt     = map[string]*regexp.Regexp{"50": regexp.MustCompile(`\s50%\s+([0-9.]+\w+)`), "99": regexp.MustCompile(`\s99%\s+([0-9.]+\w+)`)}
	wrkFailed = regexp.MustCompile(`Non-2xx or 3xx responses: (\d+)`)
)

// pages measures the pages of a nursery under load.
func (b *bench) pages(ctx context.Context) (report, error) {
	r := report{Title: fmt.Sprintf("Pages of a nursery of %s plants, %s entries", thousands(b.plants), thousands(entriesPerPlant*b.plants))}
	if !has("which", "wrk") {
		r.Missing = append(r.Missing, "wrk (Debian: wrk)")
		return r, nil
	}
	seconds := 10
	if b.quick {
		seconds = 1
	}
	path := filepath.Join(b.work, "nursery.velamen")
	b.say("pages: writing the nursery")
	if err := b.writeNursery(ctx, path); err != nil {
		return r, err
	}
	self, err := os.Executable()
	if err != nil {
		return r, err
	}
	b.say("pages: opening it")
	begun := time.Now()
	server := exec.CommandContext(ctx, self, "--serve-nursery", path, "--plants", strconv.Itoa(b.plants))
	server.Stderr = os.Stderr
	server.Cancel = func() error { return server.Process.Signal(syscall.SIGTERM) }
	out, err := server.StdoutPipe()
	if err != nil {
		return r, err
	}
	if err := server.Start(); err != nil {
		return r, err
	}
	defer func() {
		_ = server.Process.Signal(syscall.SIGTERM)
		_ = server.Wait()
	}()
	var address string
	if _, err := fmt.Fscanln(out, &address); err != nil {
		return r, fmt.Errorf("the server of the nursery did not begin: %w", err)
	}
	home := "http://" + address
	first, err := getPage(ctx, home+"/")
	if err != nil {
		return r, err
	}
	opened := time.Since(begun)
	plant := "/plant/" + storetest.PlantID(1)
	for _, path := range []string{"/collection", plant, "/"} {
		if _, err := getPage(ctx, home+path); err != nil {
			return r, err
		}
	}
	r.Figures = append(r.Figures,
		figure{"opening, to the first round", span(opened), fmt.Sprintf("every course worked out anew, page of %s", megabytes(int64(first)))})
	b.say("pages: waiting until the server has prepared what it prepares")
	prepared, err := quiet(ctx, server.Process.Pid)
	if err != nil {
		return r, err
	}
	r.Figures = append(r.Figures, figure{"until everything is prepared", span(opened + prepared), "courses and forecasts of all plants; pages are answered meanwhile"})
	script := filepath.Join(b.root, peerFolder, "pages.lua")
	for _, one := range []struct{ name, path string }{{"round", "/"}, {"plant", "/plant/"}, {"collection", "/collection"}} {
		b.say("pages: %s under load", one.name)
		args := []string{"-t1", "-c4", fmt.Sprintf("-d%ds", seconds), "--latency", "--timeout", "60s"}
		if one.name == "plant" {
			args = append(args, "-s", script)
		}
		args = append(args, home+one.path)
		if one.name == "plant" {
			args = append(args, "--", storetest.PlantID(0), strconv.Itoa(min(300, b.plants)))
		}
		text, _, _, err := program(ctx, b.work, "", "wrk", args...)
		if err != nil {
			return r, err
		}
		if failed := wrkFailed.FindStringSubmatch(text); failed != nil {
			return r, fmt.Errorf("%s requests for the %s failed", failed[1], one.name)
		}
		rate, half, most := wrkRate.FindStringSubmatch(text), wrkAt["50"].FindStringSubmatch(text), wrkAt["99"].FindStringSubmatch(text)
		if rate == nil || half == nil || most == nil {
			return r, fmt.Errorf("wrk says nothing of the %s: %s", one.name, text)
		}
		r.Figures = append(r.Figures, figure{one.name, rate[1] + " requests/s", fmt.Sprintf("half within %s, 99 %% within %s; 4 connections, %d s", half[1], most[1], seconds)})
	}
	if memory, err := residentBytes(server.Process.Pid); err == nil {
		r.Figures = append(r.Figures, figure{"memory after that", megabytes(memory), "resident"})
	}
	r.Notes = append(r.Notes, "By wrk over the loopback, on the same cores as the server. The pages are packed by gzip only for those who ask for it; wrk does not.")
	return r, nil
}

// getPage asks for a page and returns its length.
func getPage(ctx context.Context, address string) (int, error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return 0, err
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return 0, err
	}
	defer response.Body.Close()
	n := 0
	room := make([]byte, 64<<10)
	for {
		k, err := response.Body.Read(room)
		if n += k; err != nil {
			break
		}
	}
	if response.StatusCode != http.StatusOK {
		return n, fmt.Errorf("GET %s: %s", request.URL.Path, response.Status)
	}
	return n, nil
}

// quiet waits until a process has hardly anything to do, or two minutes.
func quiet(ctx context.Context, pid int) (time.Duration, error) {
	begun := time.Now()
	last, err := processCPU(pid)
	for err == nil && ctx.Err() == nil && time.Since(begun) < 2*time.Minute {
		time.Sleep(time.Second)
		var now time.Duration
		if now, err = processCPU(pid); now-last < 50*time.Millisecond {
			break
		}
		last = now
	}
	return time.Since(begun), errors.Join(err, ctx.Err())
}

// processCPU is the processor time that a process has taken.
func processCPU(pid int) (time.Duration, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0, err
	}
	_, after, _ := strings.Cut(string(text), ") ") // behind the name, which may have blanks
	fields := strings.Fields(after)
	if len(fields) < 13 {
		return 0, fmt.Errorf("the time of process %d is not told", pid)
	}
	user, err1 := strconv.ParseInt(fields[11], 10, 64)
	system, err2 := strconv.ParseInt(fields[12], 10, 64)
	const perSecond = 100 // USER_HZ on Linux
	return time.Duration(user+system) * time.Second / perSecond, errors.Join(err1, err2)
}

// residentBytes is the memory that a process holds now.
func residentBytes(pid int) (int64, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid))
	if err != nil {
		return 0, err
	}
	fields := strings.Fields(string(text))
	if len(fields) < 2 {
		return 0, fmt.Errorf("the memory of process %d is not told", pid)
	}
	pages, err := strconv.ParseInt(fields[1], 10, 64)
	return pages * int64(os.Getpagesize()), err
}
