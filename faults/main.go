package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/signal"
	"strings"
	"time"
)

// fault is one way to strike.
type fault struct {
	name, title string
	// share is the part of the asked-for runs that this one gets: those that take
	// long get fewer.
	share float64
	// able says why it cannot be done here; nil where it always can.
	able func() error
	once func(h *harness, ctx context.Context, rnd *rand.Rand) (tally, error)
}

var faults = []fault{
	{name: "kill-entries", title: "killed while entries arrive", share: 1, once: killEntries},
	{name: "kill-readings", title: "killed while a logger's file is imported", share: 0.5, once: killReadings},
	{name: "kill-import", title: "killed while an export is imported", share: 0.5, once: killImport},
	{name: "kill-init", title: "killed while a collection is made", share: 1, once: killInit},
	{name: "kill-migration", title: "killed while a file of an earlier release is brought up to date", share: 1, once: killMigration},
	{name: "kill-backup", title: "killed while it backs up a collection in use", share: 0.5, once: killBackup},
	{name: "kill-restore", title: "killed while it restores over a collection", share: 0.5, once: killRestore},
	{name: "disk-full", title: "disk full, then room again", share: 0.2, able: mayMount, once: diskFull},
	{name: "disk-read-only", title: "disk that cannot be written", share: 0.1, able: mayMount, once: diskReadOnly},
	{name: "bits", title: "one bit of the database flipped", share: 1, once: flipBit},
	{name: "truncated", title: "database cut short", share: 0.5, once: cutShort},
	{name: "photographs", title: "photograph flipped, cut, emptied or gone", share: 0.5, once: damagePhotograph},
	{name: "network", title: "connections cut, delayed and doubled", share: 0.5, once: badLine},
	{name: "locked", title: "database locked by another program", share: 0.1, once: lockedByAnother},
	{name: "two-servers", title: "two servers on one file", share: 0.2, once: twoServers},
	{name: "clock", title: "clock set back and forward", share: 0.2, once: clockSet},
	{name: "daylight-saving", title: "daylight saving begins or ends during a round", share: 0.2, once: daylightSaving},
}

func main() {
	if path := os.Getenv(clockVariable); path != "" {
		os.Exit(withSetClock(path))
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "faults:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, to io.Writer) (err error) {
	var names []string
	for _, f := range faults {
		names = append(names, f.name)
	}
	flags := flag.NewFlagSet("faults", flag.ContinueOnError)
	only := flags.String("only", "", "faults to run, separated by commas: "+strings.Join(names, ", ")+", soak")
	runs := flags.Int("runs", 40, "how often each fault strikes; those that take long fewer times")
	seed := flags.Uint64("seed", 1, "from which the moments of striking are drawn")
	soak := flags.Duration("soak", 3*time.Minute, "how long the program is put under load at the end; 0 leaves it out")
	asMarkdown := flags.Bool("markdown", false, "print the table as Markdown")
	asJSON := flags.Bool("json", false, "print it as JSON")
	if err := flags.Parse(args); err != nil {
		return err
	}
	wanted, err := chosen(*only, append(names, "soak"))
	if err != nil {
		return err
	}
	h, err := newHarness(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, h.close()) }()
	var rows []row
	for _, f := range faults {
		if wanted(f.name) {
			rows = append(rows, h.strike(ctx, f, *seed, max(1, int(f.share*float64(*runs)))))
		}
	}
	if wanted("soak") && *soak > 0 {
		rows = append(rows, h.soaks(ctx, *soak, *seed)...)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := write(to, rows, *seed, *asMarkdown, *asJSON); err != nil {
		return err
	}
	return failures(rows)
}

// chosen reads the list of faults to run.
func chosen(only string, names []string) (func(string) bool, error) {
	if only == "" {
		return func(string) bool { return true }, nil
	}
	wanted := map[string]bool{}
	for name := range strings.SplitSeq(only, ",") {
		wanted[name] = true
	}
	known := map[string]bool{}
	for _, name := range names {
		known[name] = true
	}
	for name := range wanted {
		if !known[name] {
			return nil, fmt.Errorf("there is no fault %q; there are %s", name, strings.Join(names, ", "))
		}
	}
	return func(name string) bool { return wanted[name] }, nil
}

// strike runs one fault as often as asked, each time from a seed of its own.
func (h *harness) strike(ctx context.Context, f fault, seed uint64, runs int) row {
	r := row{Name: f.name, Fault: f.title}
	if f.able != nil {
		if err := f.able(); err != nil {
			r.LeftOut = err.Error()
			return r
		}
	}
	h.say("%s, %d times", f.title, runs)
	begun := time.Now()
	for i := range runs {
		if ctx.Err() != nil {
			return r
		}
		rnd := rand.New(rand.NewPCG(seed, uint64(i)))
		once, err := f.once(h, ctx, rnd)
		r.tally.add(once)
		r.Runs++
		if err != nil && ctx.Err() == nil {
			h.say("%s, seed %d, run %d: %v", f.name, seed, i, err)
			r.Failed = append(r.Failed, fmt.Sprintf("seed %d, run %d: %v", seed, i, err))
		}
	}
	r.Seconds = time.Since(begun).Seconds()
	return r
}
