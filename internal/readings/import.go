package readings

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"time"

	"velamen/internal/care"
)

// Store is where the readings of files are kept, with how far each file came.
type Store interface {
	FileMarkOf(ctx context.Context, digest [32]byte, name string) (care.FileMark, error)
	KeepOfFile(ctx context.Context, mark care.FileMark, list []care.Reading) (care.FileMark, error)
}

// Report is what became of a file.
type Report struct {
	Layout   *Layout   `json:"layout,omitempty"` // none for an export, which is always laid out the same
	Findings Findings  `json:"findings"`
	Kept     care.Kept `json:"kept"`    // over all goes at this file
	Added    int       `json:"added"`   // in this go
	Resumed  int       `json:"resumed"` // lines that an earlier go had kept
}

// File is a file to import.
type File struct {
	Name string
	io.ReadSeeker
	Bytes int64
}

// Progress is told how far an import has come, of the whole.
type Progress func(done, whole int64)

// Import reads a file and keeps its readings. An import that was stopped, or
// whose program ended, goes on where it was when it is done again; a file that
// was imported already changes nothing.
func Import(ctx context.Context, file File, o Options, into Store, now time.Time, progress Progress) (Report, error) {
	return importFile(ctx, file, o, into, now, progress)
}

// Try reads a whole file as Import would, and keeps nothing.
func Try(ctx context.Context, file File, o Options, now time.Time, progress Progress) (Report, error) {
	return importFile(ctx, file, o, nil, now, progress)
}

func importFile(ctx context.Context, file File, o Options, into Store, now time.Time, progress Progress) (r Report, err error) {
	sample, err := io.ReadAll(io.LimitReader(file, SampleBytes))
	if err != nil {
		return r, err
	}
	table := IsTable(sample)
	if !table {
		if o.Space == "" {
			return r, errors.New("in which space was it measured?")
		}
		if r.Layout, err = Look(sample, o); err != nil {
			return r, err
		}
	}
	mark := care.FileMark{Name: file.Name}
	keep := func(context.Context, int, []care.Reading) error { return nil }
	if into != nil {
		digest, err := digestOf(ctx, file, r.Layout, o)
		if err != nil {
			return r, err
		}
		if mark, err = into.FileMarkOf(ctx, digest, file.Name); err != nil {
			return r, err
		}
		r.Resumed = mark.Lines
		keep = func(ctx context.Context, line int, list []care.Reading) (err error) {
			mark.Lines = line
			mark, err = into.KeepOfFile(ctx, mark, list)
			return err
		}
	}
	before := mark.Kept.Added
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return r, err
	}
	counted := &Counter{From: file}
	told := func(int) {
		if progress != nil {
			progress(counted.N(), file.Bytes)
		}
	}
	if table {
		r.Findings, err = TakeTable(ctx, counted, now, r.Resumed, keep, told)
	} else {
		r.Findings, err = r.Layout.Take(ctx, counted, o, r.Resumed, keep, told)
	}
	r.Added, r.Kept = mark.Kept.Added-before, mark.Kept
	return r, err
}

// digestOf tells files, and ways of reading one, apart.
func digestOf(ctx context.Context, file File, l *Layout, o Options) (digest [32]byte, err error) {
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return digest, err
	}
	h := sha256.New()
	way := struct {
		Space, Source, Zone, Light string
		Layout                     *Layout
	}{o.Space, o.Source, fmt.Sprint(o.Zone), o.LightFrom.String(), l}
	text, err := json.Marshal(way)
	if err != nil {
		return digest, err
	}
	h.Write(text)
	if _, err := io.Copy(h, &stopping{ctx, file}); err != nil {
		return digest, fmt.Errorf("reading the file: %w", err)
	}
	h.Sum(digest[:0])
	return digest, nil
}

// stopping reads until a context ends.
type stopping struct {
	ctx  context.Context
	from io.Reader
}

func (s *stopping) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.from.Read(p)
}

// Counter counts what is read. It may be asked while another goroutine reads.
type Counter struct {
	From io.Reader
	n    atomic.Int64
}

// N returns how many bytes were read.
func (c *Counter) N() int64 { return c.n.Load() }

// Read reads and counts.
func (c *Counter) Read(p []byte) (int, error) {
	n, err := c.From.Read(p)
	c.n.Add(int64(n))
	return n, err
}
