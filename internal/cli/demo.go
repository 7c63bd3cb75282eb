package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"velamen/internal/demo"
)

// demoCommand writes the demo collection and shows its courses.
type demoCommand struct {
	Folder string `arg:"" optional:"" help:"Folder to write to; default a new temporary one."`
	Plant  string `help:"Label of the plant to show in full." placeholder:"LABEL"`
	Units  string `help:"Units to show, as for velamen course." placeholder:"LIST"`

	Pages   bool   `help:"Open the pages of the demo collection until Ctrl-C; done without asking at a terminal." xor:"pages"`
	NoPages bool   `help:"Only print." xor:"pages"`
	Address string `help:"Where the pages listen." default:"127.0.0.1:8420" placeholder:"HOST:PORT"`
}

// demoPlant is shown in full when nothing else is asked for.
const demoPlant = "P-001"

func (c demoCommand) Run(r *run) error {
	folder := c.Folder
	if folder == "" {
		var err error
		if folder, err = os.MkdirTemp("", "velamen-demo-"); err != nil {
			return failed("making a temporary folder", err)
		}
	} else if err := os.MkdirAll(folder, 0o755); err != nil {
		return failed("making the folder", err)
	}
	path := filepath.Join(folder, demo.FileName)
	text := demo.CaseFile(r.today)
	if existing, err := os.ReadFile(path); err == nil && !bytes.Equal(existing, []byte(text)) && c.Folder != "" && !bytes.HasPrefix(existing, []byte(demo.FirstLine)) {
		return fmt.Errorf("%s exists and is not a demo collection; name another folder", path)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		return failed("writing the demo collection", err)
	}
	fmt.Fprintf(r.out, "The invented demo collection is in %s\n\n", path)
	all := courseCommand{Units: c.Units}
	if err := all.show(r, strings.NewReader(text), path, r.today); err != nil {
		return err
	}
	if c.Plant == "" {
		c.Plant = demoPlant
	}
	fmt.Fprintln(r.out)
	one := courseCommand{Plant: c.Plant, Units: c.Units}
	if err := one.show(r, strings.NewReader(text), path, r.today); err != nil {
		return err
	}
	fmt.Fprintf(r.out, "Why each number is what it is:  velamen course %s --plant %s --because\nA case of your own:             velamen course --example > case.toml\n", path, c.Plant)
	if !c.Pages && (c.NoPages || !r.terminal) {
		fmt.Fprintf(r.out, "The collection in a browser:    velamen demo %s --pages\n", folder)
		return nil
	}
	r.print()
	return c.pages(r, folder)
}

// pages serves the demo collection from a new file each time, so that whatever
// was tried out before is gone.
func (c demoCommand) pages(r *run, folder string) error {
	scratch, err := os.MkdirTemp(folder, "pages-")
	if err != nil {
		return failed("making a folder for the pages", err)
	}
	defer func() {
		if err := os.RemoveAll(scratch); err != nil {
			fmt.Fprintf(r.err, "velamen: clearing up after the pages: %v\n", err)
		}
	}()
	serve := serveCommand{File: filepath.Join(scratch, "demo.velamen"), Address: c.Address, WithSample: true}
	return serve.Run(r)
}
