package cli

import (
	"errors"
	"fmt"

	"velamen/internal/store"
)

// backupCommand copies a collection.
type backupCommand struct {
	File string `arg:"" help:"The collection; it may be in use."`
	Out  string `arg:"" help:"The copy to make. Its photographs come to lie beside it."`
}

func (c backupCommand) Run(r *run) error {
	progress, end := r.progress()
	defer end()
	report, err := store.Backup(r.ctx, c.File, c.Out, progress)
	if err != nil {
		return storeProblem("backing up", err)
	}
	if len(report.Lost) > 0 {
		return failure{fmt.Errorf("the backup is in %s, but %d photographs were lost already:\n%s", c.Out, len(report.Lost), damageList(report.Lost))}
	}
	fmt.Fprintf(r.out, "The backup is in %s: %d entries, %d photographs, read back and found sound.\nIt is itself a collection; it comes back with: velamen restore %s %s\n",
		c.Out, report.Entries, report.Photos, c.Out, c.File)
	return nil
}

// restoreCommand makes a collection from a backup.
type restoreCommand struct {
	Backup  string `arg:"" help:"The backup."`
	File    string `arg:"" help:"The collection to make from it."`
	Replace bool   `help:"Take the place of a collection of this name; the old one is kept aside under another."`
}

func (c restoreCommand) Run(r *run) error {
	progress, end := r.progress()
	defer end()
	report, aside, err := store.Restore(r.ctx, c.Backup, c.File, c.Replace, r.clock(), progress)
	if errors.Is(err, store.ErrExists) && !c.Replace {
		return fmt.Errorf("%w; --replace keeps it aside under another name", err)
	}
	if err != nil {
		return storeProblem("restoring", err)
	}
	fmt.Fprintf(r.out, "%s holds the backup: %d entries, %d photographs. Everybody signs in anew.\n", c.File, report.Entries, report.Photos-len(report.Lost))
	if aside != "" {
		fmt.Fprintf(r.out, "What was there is kept in %s\n", aside)
	}
	if len(report.Lost) > 0 {
		fmt.Fprintf(r.out, "These photographs are not in the backup:\n%s\n", damageList(report.Lost))
	}
	return nil
}
