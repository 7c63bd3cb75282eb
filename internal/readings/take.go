package readings

import (
	"context"
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
const Batch = 20_000

// progressLines is how often progress is told.
const progressLines = 2000

// Take reads a file that is laid out as Look found and keeps its readings.
// Lines up to and including skip were kept before: they are read for the course
// of their times only. Lines that cannot be read are left out and reported.
// progress may be nil; it is told the line that was reached. The findings hold
// also when Take is stopped.
func (l *Layout) Take(ctx context.Context, from io.Reader, o Options, skip int, keep Keep, progress func(line int)) (Findings, error) {
	p := l.newParser(o)
	batch := make([]care.Reading, 0, Batch)
	kept := skip
	f, last, err := p.lines(ctx, from, progress, func() int { return kept }, func(line int, at int64, values []value) error {
		if line <= skip {
			return nil
		}
		if len(batch)+len(values) > Batch {
			if err := keep(ctx, line-1, batch); err != nil {
				return err
			}
			batch, kept = batch[:0], line-1
		}
		batch = p.readings(batch, at, values)
		return nil
	})
	if err == nil && (last > skip || len(batch) > 0) {
		err = keep(ctx, last, batch)
	}
	return f, err
}

// lines reads the lines of a file one by one and returns the number of the last.
// kept says up to which line what was read is kept, for what is told when it is
// stopped.
func (p *parser) lines(ctx context.Context, from io.Reader, progress func(line int), kept func() int, each func(line int, at int64, values []value) error) (f Findings, line int, err error) {
	ahead := p.readAhead(from)
	defer ahead.stop()
	w := watch{p: p, f: &f, three: make([]lastThree, len(p.columns))}
	defer w.end()
	toldAt := 0
	for some := range ahead.parsed {
		for _, one := range some.lines {
			line = one.number
			if line/progressLines != toldAt {
				toldAt = line / progressLines
				if err := ctx.Err(); err != nil {
					return f, line, fmt.Errorf("stopped: %w; what was read up to line %d is kept", err, kept())
				}
				if progress != nil {
					progress(line)
				}
			}
			f.Lines++
			if one.err != nil {
				note(&f.Wrong, &f.LeftOut, line, "%v", one.err)
				continue
			}
			values := some.values[one.from:one.to]
			w.see(line, one.at, values)
			if err := each(line, one.at, values); err != nil {
				return f, line, err
			}
		}
		if some.err != nil {
			return f, some.last, fmt.Errorf("reading the file: %w; %d lines are kept", some.err, kept())
		}
		line = some.last
		ahead.room <- some
	}
	return f, line, nil
}

// watch looks for gaps, steps of the clock and spikes.
type watch struct {
	p     *parser
	f     *Findings
	any   bool
	first int64
	most  int64 // the latest
	last  int64
	three []lastThree // of each column
}

// lastThree are the latest values of a column.
type lastThree struct {
	n     int
	at    [3]int64
	value [3]float64
	line  [3]int
}

// end writes down what goes on until the end.
func (w *watch) end() {
	if w.any {
		w.f.First, w.f.Last = time.Unix(w.first, 0).UTC(), time.Unix(w.most, 0).UTC()
	}
}

// gapSeconds is how far apart lines must be to count as a gap.
func (w *watch) gapSeconds() int64 {
	return int64(max(3*w.p.l.Interval, time.Hour) / time.Second)
}

func (w *watch) see(line int, at int64, values []value) {
	f := w.f
	f.Values += len(values)
	if !w.any {
		w.first, w.most = at, at
	}
	w.first, w.most = min(w.first, at), max(w.most, at)
	if w.any {
		step := at - w.last
		if w.p.l.Backward {
			step = -step
		}
		shown := func(at int64) string { return time.Unix(at, 0).In(w.p.l.Zone).Format("2006-01-02 15:04") }
		switch {
		case step < 0:
			note(&f.StepsAt, &f.Steps, line, "the clock goes from %s to %s", shown(w.last), shown(at))
		case step > w.gapSeconds():
			note(&f.GapList, &f.Gaps, line, "nothing between %s and %s", shown(w.last), shown(at))
		}
	}
	w.any, w.last = true, at
	for _, v := range values {
		w.spike(line, at, v)
	}
}

// spike looks at the value before the one that came.
func (w *watch) spike(line int, at int64, v value) {
	t := &w.three[v.column]
	if t.n == 3 {
		t.at[0], t.at[1] = t.at[1], t.at[2]
		t.value[0], t.value[1] = t.value[1], t.value[2]
		t.line[0], t.line[1] = t.line[1], t.line[2]
		t.n = 2
	}
	if w.p.l.Backward {
		at = -at
	}
	t.at[t.n], t.value[t.n], t.line[t.n] = at, v.value, line
	t.n++
	if quantity := w.p.columns[v.column].quantity; t.n == 3 && care.Suspect(quantity, t.at, t.value) {
		note(&w.f.SpikeAt, &w.f.Spikes, t.line[1], "%s of %.1f between %.1f and %.1f", quantity, t.value[1], t.value[0], t.value[2])
	}
}
