package cli

import (
	"fmt"
	"os"
	"strings"
	"time"

	"velamen/internal/store"
)

// verifyCommand checks a collection from end to end.
type verifyCommand struct {
	File string `arg:"" help:"The collection or backup; it may be in use."`
}

func (c verifyCommand) Run(r *run) error {
	progress, end := r.progress()
	defer end()
	report, err := store.Verify(r.ctx, c.File, progress)
	if err != nil {
		return storeProblem("checking the collection", err)
	}
	if !report.Sound() {
		all := append(report.Damage, report.Lost...)
		return failure{fmt.Errorf("%s is damaged:\n%s", c.File, damageList(all))}
	}
	fmt.Fprintf(r.out, "%s is sound: %d entries and %d photographs read back as they were written.\n", c.File, report.Entries, report.Photos)
	if report.Readings > 0 {
		fmt.Fprintf(r.out, "  %d readings of sensors are what can be measured.\n", report.Readings)
	}
	for _, note := range report.Notes {
		fmt.Fprintf(r.out, "  %s\n", note)
	}
	return nil
}

// damageList writes one thing to a line.
func damageList(list []store.Damaged) string {
	lines := make([]string, len(list))
	for i, d := range list {
		lines[i] = "  " + d.Error()
	}
	return strings.Join(lines, "\n")
}

// progress returns a function that shows how far long work has come, on one
// line, when somebody is looking; end wipes the line.
func (r *run) progress() (show store.Progress, end func()) {
	terminal, ok := r.err.(*os.File)
	if !ok {
		return nil, func() {}
	}
	if info, err := terminal.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return nil, func() {}
	}
	const every = 200 * time.Millisecond
	var last time.Time
	show = func(doing string, done, total int) {
		if now := time.Now(); now.Sub(last) >= every {
			last = now
			text := doing
			if total > 0 {
				text += " " + bar(done, total)
			} else if done > 0 {
				text += fmt.Sprintf(": %d", done)
			}
			fmt.Fprintf(terminal, "\r%-60s", text)
		}
	}
	return show, func() {
		if !last.IsZero() {
			fmt.Fprintf(terminal, "\r%-60s\r", "")
		}
	}
}

// bar draws how much of a whole is done.
func bar(done, total int) string {
	const cells = 24
	share := float64(min(done, total)) / float64(total)
	filled := int(share * cells)
	return fmt.Sprintf("[%s%s] %3.0f %%", strings.Repeat("=", filled), strings.Repeat(" ", cells-filled), 100*share)
}
