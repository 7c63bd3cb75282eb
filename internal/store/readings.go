package store

import (
	"context"
	"database/sql"
	"iter"
	"math"
	"time"

	"velamen/internal/care"
)

// ReadingQuery selects readings. Fields that are left out select everything.
type ReadingQuery struct {
	Space       string
	Source      string
	From, Until time.Time // Until itself is left out
}

// Readings streams readings, sensor by sensor in order of time, as they were
// kept. Ones that were changed since are never given out: that is a *Damaged.
func (s *Store) Readings(ctx context.Context, q ReadingQuery) iter.Seq2[care.Reading, error] {
	from, until := int64(math.MinInt32), int64(math.MaxInt64)
	if !q.From.IsZero() {
		from = q.From.Unix()
	}
	if !q.Until.IsZero() {
		until = q.Until.Unix()
	}
	// In the order of the indices, so that nothing has to be sorted.
	query := `SELECT m.name, c.source, c.quantity, b.start, b.packed, b.digest
		FROM measured_space m CROSS JOIN channel c ON c.space = m.id CROSS JOIN reading_block b ON b.channel = c.id WHERE b.start > ? AND b.start < ?`
	args := []any{from - blockSeconds, until}
	if q.Space != "" {
		query, args = query+" AND m.name = ?", append(args, q.Space)
	}
	if q.Source != "" {
		query, args = query+" AND c.source = ?", append(args, q.Source)
	}
	return func(yield func(care.Reading, error) bool) {
		rows, err := s.read.QueryContext(ctx, query+" ORDER BY m.name, c.source, c.quantity, b.start", args...)
		if err != nil {
			yield(care.Reading{}, err)
			return
		}
		defer rows.Close()
		var list []readingAt
		for rows.Next() {
			var of measures
			var start int64
			var packed, digest sql.RawBytes
			err := rows.Scan(&of.space, &of.source, &of.quantity, &start, &packed, &digest)
			if err == nil {
				list, err = of.open(list[:0], start, packed, digest)
			}
			if err != nil {
				yield(care.Reading{}, err)
				return
			}
			for _, r := range list {
				if r.at < from || r.at >= until {
					continue
				}
				if !yield(of.reading(r), nil) {
					return
				}
			}
		}
		if err := rows.Err(); err != nil {
			yield(care.Reading{}, err)
		}
	}
}

func (m measures) reading(r readingAt) care.Reading {
	return care.Reading{Space: m.space, Source: m.source, Quantity: m.quantity, At: time.Unix(r.at, 0).UTC(), Value: float64(r.value) / steps[m.quantity]}
}

// Sensor is one quantity that one sensor measures in a space.
type Sensor struct {
	Space    string        `json:"space"`
	Source   string        `json:"source"`
	Quantity care.Quantity `json:"quantity"`
	First    time.Time     `json:"first"`
	Last     time.Time     `json:"last"`
	Value    float64       `json:"value"` // the last one
}

// Sensors lists what has been measured, by space, source and quantity, without
// what was taken back.
func (s *Store) Sensors(ctx context.Context) ([]Sensor, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT m.name, c.source, c.quantity, f.start, f.packed, f.digest, l.start, l.packed, l.digest
		FROM channel c JOIN measured_space m ON m.id = c.space
		JOIN reading_block f ON f.channel = c.id AND f.start = (SELECT min(start) FROM reading_block WHERE channel = c.id)
		JOIN reading_block l ON l.channel = c.id AND l.start = (SELECT max(start) FROM reading_block WHERE channel = c.id)
		ORDER BY m.name, c.source, c.quantity`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []Sensor
	var block []readingAt
	for rows.Next() {
		var of measures
		var ends [2]struct {
			start          int64
			packed, digest sql.RawBytes
		}
		err := rows.Scan(&of.space, &of.source, &of.quantity,
			&ends[0].start, &ends[0].packed, &ends[0].digest, &ends[1].start, &ends[1].packed, &ends[1].digest)
		if err != nil {
			return nil, err
		}
		if TakenBack(of.source) {
			continue
		}
		one := Sensor{Space: of.space, Source: of.source, Quantity: of.quantity}
		for i, e := range ends {
			if block, err = of.open(block[:0], e.start, e.packed, e.digest); err != nil {
				return nil, err
			}
			if i == 0 {
				one.First = of.reading(block[0]).At
			}
		}
		last := of.reading(block[len(block)-1])
		one.Last, one.Value = last.At, last.Value
		list = append(list, one)
	}
	return list, rows.Err()
}
