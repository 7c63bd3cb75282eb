// Package cli is the command line: one file per command. Each command reads
// its arguments, calls one operation of the engine, and prints a table for
// people or JSON for programs. A command prints everything or nothing.
package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"
	"time"

	"github.com/alecthomas/kong"
)

// Streams are where a command reads and writes.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
}

// Exit codes.
const (
	exitDone     = 0
	exitFailed   = 1 // the machine or the file system failed
	exitBadInput = 2 // something the person wrote has to change
)

// commands is the whole command line, as kong reads it.
type commands struct {
	Demo   demoCommand   `cmd:"" help:"Write the invented demo collection to a folder, show its courses, and open its pages."`
	Course courseCommand `cmd:"" help:"Recovery courses of the plants in a case file: today's targets and the weeks ahead."`
	Calc   calcCommands  `cmd:"" help:"One calculation on its own: air, light, leaf, pot, water, pests, roots or outcomes."`

	Case     caseCommand     `cmd:"" help:"Another grower's case: its course from a few answers, a page to send, two what-ifs side by side."`
	Handout  handoutCommand  `cmd:"" help:"The course of one plant on one page, as a PDF to pin up."`
	Labels   labelsCommand   `cmd:"" help:"Labels for pots, with a code that opens the plant, on label sheets by their measures or on tape."`
	Calendar calendarCommand `cmd:"" help:"The work to come as a calendar file."`

	Round  roundCommand  `cmd:"" help:"The round of a day and the plan of the days after it, within the minutes and the water there are."`
	Season seasonCommand `cmd:"" help:"Which plants to repot when, so that the weeks after it can be carried out."`

	Init     initCommand     `cmd:"" help:"Make a new collection."`
	Serve    serveCommand    `cmd:"" help:"Open a collection for browsers: the round, the plants, the journal."`
	Import   importCommand   `cmd:"" help:"Add an export, a case file or a spreadsheet of plants to a collection."`
	Export   exportCommand   `cmd:"" help:"Write a collection as JSON, photographs included, or as CSV tables."`
	Outcomes outcomesCommand `cmd:"" help:"What happened to past recoveries of a collection, and which practices differ."`
	Backup   backupCommand   `cmd:"" help:"Copy a collection, also while it is in use, and check the copy."`
	Restore  restoreCommand  `cmd:"" help:"Make a collection from a backup."`
	Verify   verifyCommand   `cmd:"" help:"Check every entry and photograph of a collection."`

	Readings readingsCommands `cmd:"" help:"What sensors measured: import the files of loggers, export, summaries."`

	Version kong.VersionFlag `help:"Print the version."`
}

// version is that of the module, as the build knows it.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	text := info.Main.Version
	for _, setting := range info.Settings {
		if setting.Key == "vcs.revision" {
			text += " " + setting.Value
		}
	}
	return text
}

// run is what every command gets besides its own arguments.
type run struct {
	ctx   context.Context
	in    io.Reader
	out   *bytes.Buffer // reaches the person only when the command succeeds
	err   io.Writer     // progress and errors
	today time.Time     // the calendar day, at midnight UTC
	now   func() time.Time

	terminal bool   // a person is watching
	print    func() // hands what is in out to the person at once, for commands that go on
}

// clock tells the time.
func (r *run) clock() time.Time { return r.now() }

// Run executes one command line and returns the exit code. now tells the time.
func Run(ctx context.Context, args []string, s Streams, now func() time.Time) int {
	var root commands
	exited := -1
	parser, err := kong.New(&root,
		kong.Name("velamen"),
		kong.Description("Brings repotted, divided and mounted orchids through re-establishment.\n\nStart with: velamen demo"),
		kong.Writers(s.Out, s.Err),
		kong.Exit(func(code int) { exited = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.WithHyphenPrefixedParameters(true), // southern latitudes
		kong.Vars{"version": "velamen " + version()},
	)
	if err != nil {
		panic(err) // the command tree is a constant of this package
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	command, err := parser.Parse(args)
	if exited >= 0 {
		return exited
	}
	if err != nil {
		fmt.Fprintf(s.Err, "velamen: %v\nSee: %s --help\n", err, asFarAs(err))
		return exitBadInput
	}
	y, m, d := now().Date()
	r := &run{ctx: ctx, in: s.In, out: new(bytes.Buffer), err: s.Err, today: time.Date(y, m, d, 0, 0, 0, 0, time.UTC), now: now}
	if out, ok := s.Out.(*os.File); ok {
		if info, err := out.Stat(); err == nil {
			r.terminal = info.Mode()&os.ModeCharDevice != 0
		}
	}
	r.print = func() {
		_, _ = r.out.WriteTo(s.Out) // a person who closed the pipe does not want it
	}
	if err := command.Run(r); err != nil {
		fmt.Fprintf(s.Err, "velamen: %v\n", err)
		return exitCode(err)
	}
	if _, err := s.Out.Write(r.out.Bytes()); err != nil {
		fmt.Fprintf(s.Err, "velamen: writing the output: %v\n", err)
		return exitFailed
	}
	return exitDone
}

// asFarAs is as much of a command as was understood before an error, so that the
// help it leads to is about that.
func asFarAs(err error) string {
	words := []string{"velamen"}
	var wrong *kong.ParseError
	if errors.As(err, &wrong) {
		for _, step := range wrong.Context.Path {
			if step.Command != nil {
				words = append(words, step.Command.Name)
			}
		}
	}
	return strings.Join(words, " ")
}

// failure marks an error that no change of the input would mend.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

// failed wraps an error of the machine with what was being done.
func failed(doing string, err error) error {
	return failure{fmt.Errorf("%s: %w", doing, err)}
}

// exitCode tells apart what the person can mend from what failed.
func exitCode(err error) int {
	var f failure
	if errors.As(err, &f) || errors.Is(err, context.Canceled) {
		return exitFailed
	}
	return exitBadInput
}
