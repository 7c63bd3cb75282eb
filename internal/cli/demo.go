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
	return nil
}
