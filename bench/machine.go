package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"
)

// preamble says when and on what kind of machine it was measured, and with what.
func (b *bench) preamble(to io.Writer) {
	fmt.Fprintf(to, "# Measured\n\n")
	fmt.Fprintf(to, "Printed by `%s` on %s. %s.\n\n", strings.Join(append([]string{"go run ./bench"}, b.options...), " "), b.begun.UTC().Format("2 January 2006"), machine())
	if text, err := os.ReadFile("/proc/loadavg"); err == nil {
		var busy float64
		if _, err := fmt.Sscanf(string(text), "%f", &busy); err == nil && busy > float64(runtime.NumCPU()) {
			fmt.Fprintf(to, "**Other work went on beside it: in the minute before, %.0f programs wanted the %d cores. Times by the clock mean little.**\n\n", busy, runtime.NumCPU())
		}
	}
	fmt.Fprintf(to, "Each task is done by Velamen and by a general-purpose tool, the results are compared, then the times: of the processor first (user and system, all threads), by the clock beside it; medians of %d runs. "+
		"The ratio is the peer's processor time over Velamen's: above 1 Velamen is ahead.\n\n", b.repeats)
	if b.quick {
		fmt.Fprintf(to, "**A quick run of small sizes: its figures mean little.**\n\n")
	}
	fmt.Fprintf(to, "With %s.\n\n", strings.Join(versions(), ", "))
}

// machine tells the kind of machine, and nothing by which it could be found.
func machine() string {
	kind := runtime.GOOS + "/" + runtime.GOARCH
	if text, err := os.ReadFile("/proc/cpuinfo"); err == nil {
		for line := range strings.Lines(string(text)) {
			if name, model, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(name) == "model name" {
				kind = strings.TrimSpace(model) + ", " + kind
				break
			}
		}
	}
	memory := ""
	if text, err := os.ReadFile("/proc/meminfo"); err == nil {
		var kib int64
		if _, err := fmt.Sscanf(string(text), "MemTotal: %d kB", &kib); err == nil {
			memory = fmt.Sprintf(", %.0f GB of memory", float64(kib)*1024/1e9)
		}
	}
	return fmt.Sprintf("A machine with %d processor cores (%s)%s", runtime.NumCPU(), kind, memory)
}

// versions are those of what was measured with, as far as they are here.
func versions() []string {
	list := []string{runtime.Version()}
	ask := func(name string, args ...string) {
		ctx, stop := context.WithTimeout(context.Background(), 30*time.Second)
		defer stop()
		out, err := exec.CommandContext(ctx, name, args...).Output()
		if text := strings.TrimSpace(string(out)); err == nil && text != "" {
			first, _, _ := strings.Cut(text, "\n")
			list = append(list, first)
		}
	}
	ask("Rscript", "-e", `cat(sub("R version ([^ ]*).*", "R \\1", R.version.string))`)
	ask("Rscript", "-e", `cat("deSolve", format(packageVersion("deSolve")))`)
	ask("Rscript", "-e", `cat("survival", format(packageVersion("survival")))`)
	ask(python, "-c", `import numpy; print("numpy", numpy.__version__)`)
	ask(python, "-c", `import statsmodels; print("statsmodels", statsmodels.__version__)`)
	ask("sh", "-c", `sqlite3 --version | sed 's/^\([^ ]*\).*/SQLite \1/'`)
	ask("sh", "-c", `glpsol --version | sed -n 's/.*Solver \([0-9.]*\).*/GLPK \1/p'`)
	return list
}
