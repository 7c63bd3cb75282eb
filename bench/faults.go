package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
)

// faults runs the command that strikes at Velamen, and takes over its table.
func (b *bench) faults(ctx context.Context) (report, error) {
	r := report{Title: "What it withstands"}
	command := exec.CommandContext(ctx, "go", "run", "./faults", "--markdown", "--runs", strconv.Itoa(b.faultRuns), "--soak", b.soak.String())
	command.Dir, command.Stderr = b.root, os.Stderr
	var out bytes.Buffer
	command.Stdout = &out
	err := command.Run()
	r.Text = out.String()
	r.Notes = append(r.Notes, fmt.Sprintf("Struck %d times each, or fewer where one takes long; `go run ./faults` strikes more often.", b.faultRuns))
	if err != nil {
		return r, fmt.Errorf("what is promised did not hold, or was not tried: %w", err)
	}
	return r, nil
}
