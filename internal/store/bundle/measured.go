package bundle

import (
	"bufio"
	"context"
	"fmt"
	"iter"
	"math"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// Measured is what keeps readings beside a journal. What a bundle is made of or
// read into may be one.
type Measured interface {
	Readings(ctx context.Context, q store.ReadingQuery) iter.Seq2[care.Reading, error]
	KeepReadings(ctx context.Context, list []care.Reading) (care.Kept, error)
}

// MaxReadings is how many readings a bundle may hold.
const MaxReadings = 500_000_000

// partReadings is how many readings of one sensor stand together at most. Bundles of
// every release are parted so.
const partReadings = 5000

// measured are readings of one sensor in order of time, at most
// partReadings of them.
type measured struct {
	Space    string        `json:"space"`
	Source   string        `json:"source"`
	Quantity care.Quantity `json:"quantity"`
	At       []int64       `json:"at"` // seconds since 1970
	Value    []float64     `json:"value"`
}

func (m *measured) goesOn(r care.Reading) bool {
	return m.Space == r.Space && m.Source == r.Source && m.Quantity == r.Quantity && len(m.At) < partReadings
}

// readings returns what the list says, or what is wrong with it.
func (m *measured) readings() ([]care.Reading, error) {
	if len(m.At) != len(m.Value) || len(m.At) > partReadings {
		return nil, fmt.Errorf("there are %d times and %d values; as many of each, at most %d, are expected", len(m.At), len(m.Value), partReadings)
	}
	list := make([]care.Reading, len(m.At))
	for i, at := range m.At {
		if at < 0 || at > math.MaxInt32*4 {
			return nil, fmt.Errorf("%d is no time in seconds since 1970", at)
		}
		list[i] = care.Reading{Space: m.Space, Source: m.Source, Quantity: m.Quantity, At: time.Unix(at, 0).UTC(), Value: m.Value[i]}
	}
	return list, nil
}

// writeReadings writes the list of readings, if there are any.
func writeReadings(ctx context.Context, w *bufio.Writer, from Measured, progress store.Progress) error {
	n, parts := 0, 0
	var one measured
	flush := func() error {
		if len(one.At) == 0 {
			return nil
		}
		if parts == 0 {
			fmt.Fprint(w, ",\n\"readings\": [")
		}
		err := element(w, parts, one)
		parts++
		return err
	}
	for r, err := range from.Readings(ctx, store.ReadingQuery{}) {
		if err != nil {
			return fmt.Errorf("reading what was measured: %w", err)
		}
		if !one.goesOn(r) {
			if err := flush(); err != nil {
				return err
			}
			one = measured{Space: r.Space, Source: r.Source, Quantity: r.Quantity, At: one.At[:0], Value: one.Value[:0]}
		}
		one.At, one.Value = append(one.At, r.At.Unix()), append(one.Value, r.Value)
		n++
		tell(progress, "writing readings", n, 0)
	}
	if err := flush(); err != nil {
		return err
	}
	if parts > 0 {
		fmt.Fprint(w, "\n]")
	}
	return nil
}
