package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// bench is one run of the command.
type bench struct {
	root, work string
	quick      bool
	repeats    int
	rows       int // of the logger's file
	plants     int // of the nursery whose pages are asked for
	faultRuns  int
	soak       time.Duration
	options    []string // as given
	begun      time.Time
	binary     string // of Velamen, built once
}

// part is one subject.
type part struct {
	name string
	run  func(b *bench, ctx context.Context) (report, error)
}

var parts = []part{
	{"pot", (*bench).pot},
	{"climate", (*bench).climate},
	{"plan", (*bench).rounds},
	{"roots", (*bench).roots},
	{"survival", (*bench).survival},
	{"pages", (*bench).pages},
	{"start", (*bench).start},
	{"faults", (*bench).faults},
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, to io.Writer) (err error) {
	var names []string
	for _, p := range parts {
		names = append(names, p.name)
	}
	flags := flag.NewFlagSet("bench", flag.ContinueOnError)
	only := flags.String("only", "", "parts to run, separated by commas: "+strings.Join(names, ", "))
	quick := flags.Bool("quick", false, "small sizes, to see that everything runs; the figures mean little")
	repeats := flags.Int("repeat", 3, "how often each measurement is repeated; the median counts")
	rows := flags.Int("rows", 10_000_000, "lines of the logger's file")
	plants := flags.Int("plants", 10_000, "plants of the nursery whose pages are asked for")
	out := flags.String("out", "", "file to write the table to, such as docs/measured.md; standard output when left out")
	faultRuns := flags.Int("fault-runs", 10, "how often each fault strikes")
	soak := flags.Duration("soak", time.Minute, "how long the program is put under load after the faults")
	nursery := flags.String("serve-nursery", "", "serve this nursery of so many plants; the command does so for itself")
	noInstall := flags.Bool("no-install", false, "use the peers that are here and install none")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if *nursery != "" {
		return serveNursery(ctx, *nursery, *plants)
	}
	wanted := map[string]bool{}
	for name := range strings.SplitSeq(*only, ",") {
		if name != "" {
			wanted[name] = true
		}
	}
	for _, name := range names {
		delete(wanted, name)
	}
	for name := range wanted {
		return fmt.Errorf("there is no part %q; there are %s", name, strings.Join(names, ", "))
	}
	b := &bench{quick: *quick, repeats: *repeats, rows: *rows, plants: *plants, faultRuns: *faultRuns, soak: *soak, begun: time.Now()}
	flags.Visit(func(f *flag.Flag) {
		switch f.Name {
		case "out", "no-install": // where to, and how, change no figure
		default:
			b.options = append(b.options, "--"+f.Name+"="+f.Value.String())
		}
	})
	if b.quick {
		b.repeats, b.rows, b.plants = 1, min(b.rows, 20_000), min(b.plants, 200)
		b.faultRuns, b.soak = 1, 0
	}
	if b.root, err = moduleRoot(ctx); err != nil {
		return err
	}
	if b.work, err = os.MkdirTemp("", "velamen-bench-"); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(b.work)) }()
	if !*noInstall {
		b.install(ctx)
	}
	b.binary = filepath.Join(b.work, "velamen")
	b.say("building velamen")
	build := exec.CommandContext(ctx, "go", "build", "-trimpath", "-o", b.binary, "./cmd/velamen")
	build.Dir, build.Stderr = b.root, os.Stderr
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if err := build.Run(); err != nil {
		return fmt.Errorf("building velamen: %w", err)
	}
	var text bytes.Buffer
	b.preamble(&text)
	var failed error
	for _, p := range parts {
		if *only != "" && !strings.Contains(","+*only+",", ","+p.name+",") {
			continue
		}
		b.say("part %s", p.name)
		r, err := p.run(b, ctx)
		if err != nil {
			failed = errors.Join(failed, fmt.Errorf("part %s: %w", p.name, err))
			b.say("part %s failed: %v", p.name, err)
			r.Notes = append(r.Notes, "This part failed and is not whole.")
		}
		r.write(&text)
	}
	b.say("done")
	if *out == "" || failed != nil { // a failed run replaces no file
		_, err = to.Write(text.Bytes())
		return errors.Join(failed, err)
	}
	return os.WriteFile(*out, text.Bytes(), 0o644)
}

// say tells on standard error how far the run is.
func (b *bench) say(format string, args ...any) {
	fmt.Fprintf(os.Stderr, "bench: %4.0f s  %s\n", time.Since(b.begun).Seconds(), fmt.Sprintf(format, args...))
}

// moduleRoot is the folder of the module.
func moduleRoot(ctx context.Context) (string, error) {
	out, err := exec.CommandContext(ctx, "go", "env", "GOMOD").Output()
	path := strings.TrimSpace(string(out))
	if err != nil || filepath.Base(path) != "go.mod" {
		return "", fmt.Errorf("run it inside the module, as go run ./bench: %w", err)
	}
	return filepath.Dir(path), nil
}
