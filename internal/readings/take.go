package readings

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"velamen/internal/care"
)

// Finding is one thing worth knowing about a line of a file.
type Finding struct {
	Line int    `json:"line"`
	Text string `json:"text"`
}

// Findings are what reading a file brought to light. Each list is cut off after
// some; the counts go on.
type Findings struct {
	Lines  int       `json:"lines"`  // of data
	Values int       `json:"values"` // that were read
	First  time.Time `json:"first,omitzero"`
	Last   time.Time `json:"last,omitzero"`

	LeftOut int       `json:"left_out"` // lines that could not be read, or not whole
	Wrong   []Finding `json:"wrong"`
	Gaps    int       `json:"gaps"`
	GapList []Finding `json:"gap_list"`
	Steps   int       `json:"clock_steps"` // times that run against the others
	StepsAt []Finding `json:"clock_step_list"`
	Spikes  int       `json:"spikes"` // kept, but left out of summaries
	SpikeAt []Finding `json:"spike_list"`
}

// mostFindings bounds each list.
const mostFindings = 20

func note(list *[]Finding, count *int, line int, format string, args ...any) {
	*count++
	if len(*list) < mostFindings {
		*list = append(*list, Finding{line, fmt.Sprintf(format, args...)})
	}
}

// Keep keeps the readings of a file up to and including a line, all or none.
type Keep func(ctx context.Context, line int, list []care.Reading) error

// Batch is how many readings are kept at once at most.
const Batch = 5000

// progressLines is how often progress is told.
const progressLines = 2000

// Take reads a file that is laid out as Look found and keeps its readings.
// Lines up to and including skip were kept before: they are read for the course
// of their times only. Lines that cannot be read are left out and reported.
// progress may be nil; it is told the line that was reached. The findings hold
// also when Take is stopped.
func (l *Layout) Take(ctx context.Context, from io.Reader, o Options, skip int, keep Keep, progress func(line int)) (Findings, error) {
	var f Findings
	r := rowsOf(decoded(from, l.Encoding), l.Delimiter)
	p := l.newParser(o)
	batch := make([]care.Reading, 0, Batch)
	w := watch{l: l, f: &f}
	line, kept := 0, skip
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return f, fmt.Errorf("reading the file: %w; %d lines are kept", err, kept)
		}
		line, _ = r.FieldPos(0)
		if line < l.FirstLine {
			continue
		}
		if line%progressLines == 0 {
			if err := ctx.Err(); err != nil {
				return f, fmt.Errorf("stopped: %w; what was read up to line %d is kept", err, kept)
			}
			if progress != nil {
				progress(line)
			}
		}
		f.Lines++
		row, err := p.line(line, cells)
		if err != nil {
			note(&f.Wrong, &f.LeftOut, line, "%v", err)
			continue
		}
		w.see(row)
		if line <= skip {
			continue
		}
		if len(batch)+len(row.Values) > Batch {
			if err := keep(ctx, line-1, batch); err != nil {
				return f, err
			}
			batch, kept = batch[:0], line-1
		}
		batch = append(batch, row.Values...)
	}
	if line > skip || len(batch) > 0 {
		if err := keep(ctx, line, batch); err != nil {
			return f, err
		}
	}
	return f, nil
}

// watch looks for gaps, steps of the clock and spikes.
type watch struct {
	l     *Layout
	f     *Findings
	last  time.Time
	three map[care.Quantity]*care.SensorSeries
	lines map[care.Quantity]*[3]int
}

// gapOf is how far apart lines must be to count as a gap.
func (w *watch) gapOf() time.Duration { return max(3*w.l.Interval, time.Hour) }

func (w *watch) see(row Row) {
	f := w.f
	f.Values += len(row.Values)
	if f.First.IsZero() || row.At.Before(f.First) {
		f.First = row.At
	}
	if row.At.After(f.Last) {
		f.Last = row.At
	}
	if !w.last.IsZero() {
		step := row.At.Sub(w.last)
		if w.l.Backward {
			step = -step
		}
		shown := func(t time.Time) string { return t.In(w.l.Zone).Format("2006-01-02 15:04") }
		switch {
		case step < 0:
			note(&f.StepsAt, &f.Steps, row.Line, "the clock goes from %s to %s", shown(w.last), shown(row.At))
		case step > w.gapOf():
			note(&f.GapList, &f.Gaps, row.Line, "nothing between %s and %s", shown(w.last), shown(row.At))
		}
	}
	w.last = row.At
	for _, v := range row.Values {
		w.spike(row.Line, v)
	}
}

// spike looks at the reading before the one that came.
func (w *watch) spike(line int, v care.Reading) {
	if w.three == nil {
		w.three, w.lines = map[care.Quantity]*care.SensorSeries{}, map[care.Quantity]*[3]int{}
	}
	s, lines := w.three[v.Quantity], w.lines[v.Quantity]
	if s == nil {
		s, lines = &care.SensorSeries{Quantity: v.Quantity}, &[3]int{}
		w.three[v.Quantity], w.lines[v.Quantity] = s, lines
	}
	if len(s.At) == 3 {
		copy(s.At, s.At[1:])
		copy(s.Value, s.Value[1:])
		copy(lines[:], lines[1:])
		s.At, s.Value = s.At[:2], s.Value[:2]
	}
	at := v.At.Unix()
	if w.l.Backward {
		at = -at
	}
	lines[len(s.At)] = line
	s.At, s.Value = append(s.At, at), append(s.Value, v.Value)
	if len(s.At) == 3 && len(s.Suspects()) > 0 {
		note(&w.f.SpikeAt, &w.f.Spikes, lines[1], "%s of %.1f between %.1f and %.1f", v.Quantity, s.Value[1], s.Value[0], s.Value[2])
	}
}
