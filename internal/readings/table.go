package readings

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"strconv"
	"time"

	"velamen/internal/care"
	"velamen/internal/store/intake"
)

// tableHeadings are those of an export, one reading to a line.
var tableHeadings = []string{"time", "space", "source", "quantity", "value", "unit"}

// WriteTable writes readings as CSV (RFC 4180), one to a line, with times in
// UTC. TakeTable reads it back to the same readings.
func WriteTable(to io.Writer, list iter.Seq2[care.Reading, error], told func(n int)) (n int, err error) {
	out := bufio.NewWriterSize(to, 1<<16)
	w := csv.NewWriter(out)
	w.UseCRLF = true
	if err := w.Write(tableHeadings); err != nil {
		return 0, err
	}
	cells := make([]string, len(tableHeadings))
	for r, err := range list {
		if err != nil {
			return n, err
		}
		_, _, unit := r.Quantity.Range()
		cells[0], cells[1], cells[2] = r.At.UTC().Format(time.RFC3339), intake.Guard(r.Space), intake.Guard(r.Source)
		cells[3], cells[4], cells[5] = string(r.Quantity), strconv.FormatFloat(r.Value, 'f', -1, 64), unit
		if err := w.Write(cells); err != nil {
			return n, err
		}
		n++
		if told != nil && n%progressLines == 0 {
			told(n)
		}
	}
	w.Flush()
	return n, errors.Join(w.Error(), out.Flush())
}

// IsTable reports whether a file begins as WriteTable writes it.
func IsTable(sample []byte) bool {
	var first []byte
	for i, b := range sample {
		if b == '\n' || b == '\r' {
			first = sample[:i]
			break
		}
	}
	cells, err := rowsOf(bufio.NewReader(bytes.NewReader(first)), ',').Read()
	return err == nil && slices.Equal(cells, tableHeadings)
}

// TakeTable reads what WriteTable wrote, as Take reads a logger's file. Each
// line names its own space and sensor.
func TakeTable(ctx context.Context, from io.Reader, now time.Time, skip int, keep Keep, progress func(line int)) (Findings, error) {
	var f Findings
	r := rowsOf(decoded(from, UTF8), ',')
	batch := make([]care.Reading, 0, Batch)
	line, kept := 0, skip
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return f, fmt.Errorf("reading the file: %w; %d lines are kept", err, kept)
		}
		if line, _ = r.FieldPos(0); line == 1 {
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
		one, err := tableReading(cells)
		if err == nil {
			err = one.Check(now)
		}
		if err != nil {
			note(&f.Wrong, &f.LeftOut, line, "%v", err)
			continue
		}
		f.Values++
		if f.First.IsZero() || one.At.Before(f.First) {
			f.First = one.At
		}
		if one.At.After(f.Last) {
			f.Last = one.At
		}
		if line <= skip {
			continue
		}
		if batch = append(batch, one); len(batch) == Batch {
			if err := keep(ctx, line, batch); err != nil {
				return f, err
			}
			batch, kept = batch[:0], line
		}
	}
	if len(batch) > 0 || line > max(skip, kept) {
		if err := keep(ctx, line, batch); err != nil {
			return f, err
		}
	}
	return f, nil
}

func tableReading(cells []string) (r care.Reading, err error) {
	if len(cells) != len(tableHeadings) {
		return r, fmt.Errorf("there are %d cells under %d headings", len(cells), len(tableHeadings))
	}
	if r.At, err = time.Parse(time.RFC3339, cells[0]); err != nil {
		return r, fmt.Errorf("%q is not a time such as 2026-11-28T09:00:00Z", shortened(cells[0]))
	}
	r.Space, r.Source, r.Quantity = intake.Unguard(cells[1]), intake.Unguard(cells[2]), care.Quantity(cells[3])
	if _, _, unit := r.Quantity.Range(); unit != cells[5] {
		return r, fmt.Errorf("a %s in %q; expected %q", shortened(cells[3]), shortened(cells[5]), unit)
	}
	if r.Value, err = strconv.ParseFloat(cells[4], 64); err != nil {
		return r, fmt.Errorf("%q is not a number", shortened(cells[4]))
	}
	r.At = r.At.UTC()
	return r, nil
}
