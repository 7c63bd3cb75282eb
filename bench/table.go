package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"
)

// row is one task, done here and by a peer.
type row struct {
	Task  string
	Peer  string
	Ours  cost
	Their cost
	// Least is the ratio of their time to ours that is aimed at; 1 unless said.
	Least float64
	// Same says how the results were compared and how far apart they are.
	Same string
	// Short says why a ratio below the aim is so.
	Short string
}

func (r row) ratio() float64 { return float64(r.Their.CPU) / float64(max(1, r.Ours.CPU)) }

func (r row) least() float64 {
	if r.Least == 0 {
		return 1
	}
	return r.Least
}

// figure is a measure that has no peer.
type figure struct{ What, Value, How string }

// report is what one part found.
type report struct {
	Title   string
	Rows    []row
	Figures []figure
	Notes   []string
	Missing []string // peers that are not here
	Text    string   // Markdown of another command, as it is
}

// write prints a part as Markdown.
func (r report) write(to io.Writer) {
	fmt.Fprintf(to, "## %s\n\n", r.Title)
	if len(r.Rows) > 0 {
		fmt.Fprintln(to, "| task | peer | Velamen, processor | peer, processor | ratio | by the clock | results compared |")
		fmt.Fprintln(to, "|---|---|---:|---:|---:|---:|---|")
		for _, one := range r.Rows {
			mark := ""
			if one.ratio() < one.least() {
				mark = " (short of the aim)"
			}
			clock := fmt.Sprintf("%s and %s: %s", span(one.Ours.Wall), span(one.Their.Wall), times(float64(one.Their.Wall)/float64(max(1, one.Ours.Wall))))
			fmt.Fprintf(to, "| %s | %s | %s | %s | %s%s | %s | %s |\n", one.Task, one.Peer, span(one.Ours.CPU), span(one.Their.CPU), times(one.ratio()), mark, clock, one.Same)
		}
		fmt.Fprintln(to)
	}
	if len(r.Figures) > 0 {
		fmt.Fprintln(to, "| measure | value | how |")
		fmt.Fprintln(to, "|---|---:|---|")
		for _, f := range r.Figures {
			fmt.Fprintf(to, "| %s | %s | %s |\n", f.What, f.Value, f.How)
		}
		fmt.Fprintln(to)
	}
	if r.Text != "" {
		fmt.Fprintf(to, "%s\n\n", strings.TrimSpace(r.Text))
	}
	for _, one := range r.Rows {
		if one.ratio() < one.least() {
			why := one.Short
			if why == "" {
				why = "the reason is not known"
			}
			fmt.Fprintf(to, "- Short of the aim, %s beside %s: %s.\n", one.Task, one.Peer, why)
		}
	}
	for _, n := range r.Notes {
		fmt.Fprintf(to, "- %s\n", n)
	}
	for _, m := range r.Missing {
		fmt.Fprintf(to, "- Not measured, not here: %s\n", m)
	}
	if len(r.Notes)+len(r.Missing) > 0 || slices.ContainsFunc(r.Rows, func(one row) bool { return one.ratio() < one.least() }) {
		fmt.Fprintln(to)
	}
}

// times writes a ratio with as many digits as it deserves.
func times(ratio float64) string {
	switch {
	case ratio >= 100:
		return fmt.Sprintf("%.0f ×", ratio)
	case ratio >= 10:
		return fmt.Sprintf("%.1f ×", ratio)
	}
	return fmt.Sprintf("%.2f ×", ratio)
}

// span writes a time with three digits.
func span(d time.Duration) string {
	seconds := d.Seconds()
	for _, unit := range []struct {
		size float64
		name string
	}{{1, "s"}, {1e-3, "ms"}, {1e-6, "µs"}, {1e-9, "ns"}} {
		if seconds >= unit.size {
			return digits(seconds/unit.size) + " " + unit.name
		}
	}
	return "0 s"
}

// digits writes a figure with three digits.
func digits(v float64) string {
	places := 0
	if v > 0 {
		places = max(0, 2-int(math.Floor(math.Log10(v))))
	}
	text := fmt.Sprintf("%.*f", places, v)
	if strings.Contains(text, ".") && places > 2 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func megabytes(n int64) string { return digits(float64(n)/1e6) + " MB" }
