package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// python is Debian's own: its packages are not seen by others.
const python = "/usr/bin/python3"

// peerFolder is where the peers' scripts stand, seen from the folder of the
// module.
const peerFolder = "bench/peers"

// install gets the peers, and is no error where that may not be done: a peer
// that is missing is named in the report.
func (b *bench) install(ctx context.Context) {
	b.say("installing what is missing of the peers")
	command := exec.CommandContext(ctx, filepath.Join(b.root, peerFolder, "install"))
	command.Dir = filepath.Join(b.root, "bench")
	if out, err := command.CombinedOutput(); err != nil {
		b.say("not all of it: %v: %s", err, lastLines(string(out), 2))
	}
}

// has reports whether a check of a peer succeeds.
func has(name string, args ...string) bool {
	return exec.Command(name, args...).Run() == nil
}

func hasR(library string) bool { return has("Rscript", "-e", "library("+library+")") }

func hasPython(module string) bool { return has(python, "-c", "import "+module) }

// printed is what a peer's script printed: lines of a word and figures. A line
// "time" holds the processor's and the clock's seconds of one run.
type printed map[string][][]float64

// peer runs a script of the peers' folder.
func (b *bench) peer(ctx context.Context, program, script string, args ...string) (printed, error) {
	command := exec.CommandContext(ctx, program, append([]string{filepath.Join(b.root, peerFolder, script)}, args...)...)
	command.Dir = b.work
	command.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
	var problems strings.Builder
	command.Stderr = &problems
	out, err := command.Output()
	if err != nil {
		return nil, fmt.Errorf("%s: %w: %s", script, err, lastLines(problems.String(), 5))
	}
	r := csv.NewReader(strings.NewReader(string(out)))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("what %s printed: %w", script, err)
	}
	p := printed{}
	for _, cells := range rows {
		figures := make([]float64, len(cells)-1)
		for i, cell := range cells[1:] {
			if figures[i], err = strconv.ParseFloat(strings.TrimSpace(cell), 64); err != nil {
				return nil, fmt.Errorf("what %s printed of %s: %w", script, cells[0], err)
			}
		}
		p[cells[0]] = append(p[cells[0]], figures)
	}
	return p, nil
}

// cost is the median of the runs that a script timed under a name.
func (p printed) cost(name string) (cost, error) {
	var costs []cost
	for _, f := range p[name] {
		if len(f) != 2 {
			return cost{}, fmt.Errorf("a line %q of %d figures, expected 2", name, len(f))
		}
		costs = append(costs, cost{time.Duration(f[0] * 1e9), time.Duration(f[1] * 1e9)})
	}
	if len(costs) == 0 {
		return cost{}, fmt.Errorf("the peer did not print %q", name)
	}
	return median(costs), nil
}

// writeCSV writes a table for a peer into the working folder.
func (b *bench) writeCSV(name string, headings []string, rows [][]float64) error {
	var text strings.Builder
	text.WriteString(strings.Join(headings, ",") + "\n")
	for _, one := range rows {
		for i, v := range one {
			if i > 0 {
				text.WriteByte(',')
			}
			text.WriteString(strconv.FormatFloat(v, 'g', -1, 64))
		}
		text.WriteByte('\n')
	}
	return os.WriteFile(filepath.Join(b.work, name), []byte(text.String()), 0o600)
}
