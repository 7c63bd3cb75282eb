package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"velamen/internal/demo"
)

// start measures how soon Velamen answers, and how large it is.
func (b *bench) start(ctx context.Context) (report, error) {
	r := report{Title: "Start, memory, size"}
	info, err := os.Stat(b.binary)
	if err != nil {
		return r, err
	}
	casePath := filepath.Join(b.work, "case.toml")
	if err := os.WriteFile(casePath, []byte(demo.CaseFile(time.Now())), 0o600); err != nil {
		return r, err
	}
	// command runs one several times and returns its medians.
	command := func(args ...string) (cost, int64, error) {
		var costs []cost
		var memories []int64
		for range 2*b.repeats + 1 {
			_, c, memory, err := program(ctx, b.work, "", b.binary, args...)
			if err != nil {
				return cost{}, 0, err
			}
			costs, memories = append(costs, c), append(memories, memory)
		}
		slices.Sort(memories)
		return median(costs), memories[len(memories)/2], nil
	}
	b.say("start: single commands")
	help, _, err := command("--help")
	if err != nil {
		return r, err
	}
	course, courseMemory, err := command("course", casePath)
	if err != nil {
		return r, err
	}
	b.say("start: the server")
	opened, memory, err := b.firstAnswer(ctx)
	if err != nil {
		return r, err
	}
	r.Figures = []figure{
		{"velamen --help", span(help.Wall), span(help.CPU) + " of the processor"},
		{"velamen course of the demo collection", span(course.Wall), fmt.Sprintf("%s of the processor, %s resident at most; every course of forty plants", span(course.CPU), megabytes(courseMemory))},
		{"serve, new collection, to the first page", span(opened), "from the start of the program, file made on the way"},
		{"memory of the server after that", megabytes(memory), "resident"},
		{"the binary", megabytes(info.Size()), "one file, no C library, with all pages, tables and typefaces"},
	}
	return r, nil
}

// firstAnswer starts a server of a new collection and waits for its first page.
func (b *bench) firstAnswer(ctx context.Context) (opened time.Duration, memory int64, err error) {
	// A port that was free a moment ago.
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, 0, err
	}
	address := listener.Addr().String()
	if err := listener.Close(); err != nil {
		return 0, 0, err
	}
	var times []time.Duration
	for i := range b.repeats {
		one, held, err := b.oneStart(ctx, address, fmt.Sprintf("start%d.velamen", i))
		if err != nil {
			return 0, 0, err
		}
		times, memory = append(times, one), held
	}
	slices.Sort(times)
	return times[len(times)/2], memory, nil
}

func (b *bench) oneStart(ctx context.Context, address, name string) (opened time.Duration, memory int64, err error) {
	begun := time.Now()
	server := exec.CommandContext(ctx, b.binary, "serve", filepath.Join(b.work, name), "--address", address)
	var told strings.Builder
	server.Stderr = &told
	if err := server.Start(); err != nil {
		return 0, 0, err
	}
	defer func() {
		_ = server.Process.Signal(syscall.SIGTERM)
		_ = server.Wait()
	}()
	for time.Since(begun) < 30*time.Second {
		if _, err := getPage(ctx, "http://"+address+"/"); err == nil {
			opened = time.Since(begun)
			memory, err := residentBytes(server.Process.Pid)
			return opened, memory, err
		}
		time.Sleep(2 * time.Millisecond)
	}
	return 0, 0, fmt.Errorf("the server did not answer: %s", lastLines(told.String(), 3))
}
