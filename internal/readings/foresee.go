package readings

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"velamen/internal/care"
)

// joinedHours is how far apart the lines of a forecast may be: between them it is
// taken to go in a straight line.
const joinedHours = 6

// Foresee reads a forecast: a file laid out as that of a logger, whose times lie
// ahead. What is behind now, beyond care.MostForeseenHours or after a gap is left
// out. Nothing is kept.
func Foresee(ctx context.Context, file File, o Options, now time.Time) (f care.Foreseen, r Report, err error) {
	sample, err := io.ReadAll(io.LimitReader(file, SampleBytes))
	if err != nil {
		return f, r, err
	}
	if IsTable(sample) {
		return f, r, errors.New("this holds readings that velamen exported, no forecast")
	}
	if r.Layout, err = Look(sample, o); err != nil {
		return f, r, err
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return f, r, err
	}
	start := now.Truncate(time.Hour)
	var courses [3]hourCourse // as care.Quantities
	r.Findings, err = r.Layout.Take(ctx, file, o, 0, func(_ context.Context, _ int, list []care.Reading) error {
		for _, one := range list {
			low, high, _ := one.Quantity.Range()
			if !(one.Value >= low && one.Value <= high) {
				continue
			}
			for i, q := range care.Quantities {
				if q == one.Quantity {
					courses[i].add(one.At.Sub(start), one.Value)
				}
			}
		}
		return nil
	}, nil)
	if err != nil {
		return f, r, err
	}
	temp, rh, ppfd := courses[0].hours(), courses[1].hours(), courses[2].hours()
	first := 0
	for first < len(temp) && (math.IsNaN(temp[first]) || math.IsNaN(rh[first])) {
		first++
	}
	end, lit := first, first
	for end < len(temp) && !math.IsNaN(temp[end]) && !math.IsNaN(rh[end]) {
		if end == lit && !math.IsNaN(ppfd[end]) {
			lit++
		}
		end++
	}
	if end == first {
		return f, r, fmt.Errorf("it holds no temperature and humidity for the hours from %s on", start.In(o.Zone).Format("2 January 2006, 15:04"))
	}
	f = care.Foreseen{Space: o.Space, File: file.Name, Start: start.Add(time.Duration(first) * time.Hour).UTC(), TempC: temp[first:end], RHPercent: rh[first:end]}
	if lit == end {
		f.PPFD = ppfd[first:end]
	}
	return f, r, nil
}

// hourCourse gathers what a forecast says of one quantity, by hours from its
// start; the hours just before it are kept for the line that leads there.
type hourCourse struct {
	sum, count [care.MostForeseenHours + joinedHours]float64
}

func (c *hourCourse) add(after time.Duration, v float64) {
	i := int(math.Floor(after.Hours())) + joinedHours
	if i >= 0 && i < len(c.sum) {
		c.sum[i] += v
		c.count[i]++
	}
}

// hours returns the hours from the start on; NaN is one of which nothing is said.
func (c *hourCourse) hours() []float64 {
	list := make([]float64, len(c.sum))
	last := -1 // the hour before that something is said of
	for i := range c.sum {
		list[i] = math.NaN()
		if c.count[i] == 0 {
			continue
		}
		list[i] = rounded(c.sum[i] / c.count[i])
		if last >= 0 && i-last <= joinedHours {
			for h := last + 1; h < i; h++ {
				list[h] = rounded(list[last] + (list[i]-list[last])*float64(h-last)/float64(i-last))
			}
		}
		last = i
	}
	return list[joinedHours:]
}

// rounded keeps two decimals: more than any forecast knows.
func rounded(v float64) float64 { return math.Round(100*v) / 100 }
