package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/care"
)

// ClockOf returns the clock of a space.
type ClockOf func(space string) care.DayClock

// daysAtOnce is how many days are summarised in one transaction.
const daysAtOnce = 60

// Settle makes the summaries that are out of date, day by day: those of days
// whose readings changed, and all days of a space whose clock changed. It can be
// stopped at any time; what is left is done the next time. It returns from when on
// the summaries of spaces changed, also when it was stopped.
func (s *Store) Settle(ctx context.Context, clockOf ClockOf, progress Progress) (care.Changed, error) {
	changed := care.Changed{}
	spaces, err := s.measuredSpaces(ctx)
	if err != nil {
		return changed, summarising(err)
	}
	for _, m := range spaces {
		clock := clockOf(m.name)
		sound, err := s.summariesSound(ctx, m)
		if err != nil {
			return changed, summarising(err)
		}
		if clock.Key() != m.clock || !sound {
			if err := s.restart(ctx, m, clock.Key()); err != nil {
				return changed, summarising(err)
			}
		}
		if err := s.settleSpace(ctx, m, clock, changed, progress); err != nil {
			return changed, summarising(err)
		}
	}
	return changed, nil
}

// summariesSound reports whether the summaries of a space are what was made; it
// looks once after the collection was opened.
func (s *Store) summariesSound(ctx context.Context, m measuredSpace) (bool, error) {
	if _, looked := s.looked.Load(m.id); looked {
		return true, nil
	}
	sound := true
	if err := eachSummary(ctx, s.read, m.id, func(*Damaged) { sound = false }); err != nil {
		return false, err
	}
	s.looked.Store(m.id, true)
	return sound, nil
}

func summarising(err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped while summarising; the readings are kept, and the rest is summarised next time: %w", err)
	}
	return fmt.Errorf("summarising readings: %w", err)
}

type measuredSpace struct {
	id          int64
	name, clock string
}

func (s *Store) measuredSpaces(ctx context.Context) ([]measuredSpace, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT id, name, clock FROM measured_space ORDER BY id")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []measuredSpace
	for rows.Next() {
		var m measuredSpace
		if err := rows.Scan(&m.id, &m.name, &m.clock); err != nil {
			return nil, err
		}
		list = append(list, m)
	}
	return list, rows.Err()
}

// restart drops the summaries of a space and marks all of its hours. A space
// that had no clock was never summarised, and all of its hours are marked still.
func (s *Store) restart(ctx context.Context, m measuredSpace, key string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		if m.clock != "" {
			for _, statement := range []string{
				"DELETE FROM climate_hour WHERE space = ?", "DELETE FROM climate_day WHERE space = ?",
				markBlocks + "space = ? ON CONFLICT DO NOTHING",
			} {
				if _, err := tx.ExecContext(ctx, statement, m.id); err != nil {
					return err
				}
			}
		}
		_, err := tx.ExecContext(ctx, "UPDATE measured_space SET clock = ? WHERE id = ?", key, m.id)
		return err
	})
}

// settleSpace makes the summaries of the days that stale hours touch.
func (s *Store) settleSpace(ctx context.Context, m measuredSpace, clock care.DayClock, changed care.Changed, progress Progress) error {
	for done := 0; ; {
		var hours []int64
		err := s.change(ctx, func(tx *sql.Tx) error {
			var err error
			if hours, err = staleHours(ctx, tx, m.id); err != nil || len(hours) == 0 {
				return err
			}
			days := daysTouched(clock, hours)
			if err := summariseDays(ctx, tx, m, clock, days); err != nil {
				return err
			}
			done += len(days)
			_, err = tx.ExecContext(ctx, "DELETE FROM climate_stale WHERE space = ? AND hour BETWEEN ? AND ?", m.id, hours[0], hours[len(hours)-1])
			return err
		})
		if err != nil || len(hours) == 0 {
			return err
		}
		changed.Note(m.name, time.Unix(3600*hours[0], 0))
		if progress != nil {
			progress("summarising "+m.name+", days", done, 0)
		}
	}
}

func staleHours(ctx context.Context, tx *sql.Tx, space int64) ([]int64, error) {
	rows, err := tx.QueryContext(ctx, "SELECT hour FROM climate_stale WHERE space = ? ORDER BY hour LIMIT ?", space, 24*daysAtOnce)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var hours []int64
	for rows.Next() {
		var hour int64
		if err := rows.Scan(&hour); err != nil {
			return nil, err
		}
		hours = append(hours, hour)
	}
	return hours, rows.Err()
}

// daysTouched returns the calendar days, in order, whose summaries readings of
// these hours can change.
func daysTouched(clock care.DayClock, hours []int64) []time.Time {
	var days []time.Time
	for _, hour := range hours {
		from := time.Unix(3600*hour, 0).Add(-care.SummaryMargin)
		until := time.Unix(3600*hour, 0).Add(time.Hour - time.Second + care.SummaryMargin)
		for day := clock.DateOf(from); !day.After(clock.DateOf(until)); day = day.AddDate(0, 0, 1) {
			if i := len(days) - 1; i < 0 || day.After(days[i]) {
				days = append(days, day)
			}
		}
	}
	return days
}

// summariseDays replaces the summaries of days by those of their readings.
func summariseDays(ctx context.Context, tx *sql.Tx, m measuredSpace, clock care.DayClock, days []time.Time) error {
	// Days that follow one another are read together.
	for len(days) > 0 {
		n := 1
		for n < len(days) && n < daysAtOnce && days[n].Equal(days[n-1].AddDate(0, 0, 1)) {
			n++
		}
		from, until := clock.Begin(days[0]), clock.Begin(days[n-1].AddDate(0, 0, 1))
		series, err := seriesBetween(ctx, tx, m, from.Add(-care.SummaryMargin), until.Add(care.SummaryMargin))
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM climate_hour WHERE space = ? AND start >= ? AND start < ?", m.id, from.Unix(), until.Unix()); err != nil {
			return err
		}
		for _, day := range days[:n] {
			begin, end := clock.Begin(day).Add(-care.SummaryMargin).Unix(), clock.Begin(day.AddDate(0, 0, 1)).Add(care.SummaryMargin).Unix()
			if err := summariseDay(ctx, tx, m, clock, day, cut(series, begin, end)); err != nil {
				return err
			}
		}
		days = days[n:]
	}
	return nil
}

// channelsIn returns the channels of a space that count.
func channelsIn(ctx context.Context, tx *sql.Tx, m measuredSpace) ([]channel, error) {
	rows, err := tx.QueryContext(ctx, "SELECT id, source, quantity FROM channel WHERE space = ? ORDER BY id", m.id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []channel
	for rows.Next() {
		c := channel{measures: measures{space: m.name}, space: m.id}
		if err := rows.Scan(&c.id, &c.source, &c.quantity); err != nil {
			return nil, err
		}
		if !TakenBack(c.source) {
			list = append(list, c)
		}
	}
	return list, rows.Err()
}

// seriesBetween reads the readings of a space, sensor by sensor.
func seriesBetween(ctx context.Context, tx *sql.Tx, m measuredSpace, from, until time.Time) ([]care.SensorSeries, error) {
	channels, err := channelsIn(ctx, tx, m)
	if err != nil {
		return nil, err
	}
	var list []care.SensorSeries
	for _, c := range channels {
		one, err := c.between(ctx, tx, from.Unix(), until.Unix())
		if err != nil {
			return nil, err
		}
		if len(one.At) > 0 {
			list = append(list, one)
		}
	}
	return list, nil
}

// between reads the readings of a channel from one instant to before another.
func (c *channel) between(ctx context.Context, tx *sql.Tx, from, until int64) (into care.SensorSeries, err error) {
	into.Source, into.Quantity = c.source, c.quantity
	rows, err := tx.QueryContext(ctx, "SELECT start, packed, digest FROM reading_block WHERE channel = ? AND start > ? AND start < ? ORDER BY start", c.id, from-blockSeconds, until)
	if err != nil {
		return into, err
	}
	defer rows.Close()
	perUnit := steps[c.quantity]
	var list []readingAt
	for rows.Next() {
		var start int64
		var packed, digest sql.RawBytes
		if err := rows.Scan(&start, &packed, &digest); err != nil {
			return into, err
		}
		if list, err = c.open(list[:0], start, packed, digest); err != nil {
			return into, err
		}
		for _, r := range list {
			if r.at >= from && r.at < until {
				into.At, into.Value = append(into.At, r.at), append(into.Value, float64(r.value)/perUnit)
			}
		}
	}
	return into, rows.Err()
}

// cut returns the part of each series within a span.
func cut(series []care.SensorSeries, from, until int64) []care.SensorSeries {
	var list []care.SensorSeries
	for _, s := range series {
		i, _ := slices.BinarySearch(s.At, from)
		j, _ := slices.BinarySearch(s.At, until)
		if i < j {
			list = append(list, care.SensorSeries{Source: s.Source, Quantity: s.Quantity, At: s.At[i:j], Value: s.Value[i:j]})
		}
	}
	return list
}

// How finely summaries are kept: steps per unit.
const (
	meanSteps = 1000
	ppfdSteps = 100
)

const insertHour = `INSERT INTO climate_hour VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`

func summariseDay(ctx context.Context, tx *sql.Tx, m measuredSpace, clock care.DayClock, date time.Time, series []care.SensorSeries) error {
	hours, day := clock.SummariseDay(date, series)
	number := dayNumber(date)
	if len(hours) == 0 {
		_, err := tx.ExecContext(ctx, "DELETE FROM climate_day WHERE space = ? AND day = ?", m.id, number)
		return err
	}
	insert, err := tx.PrepareContext(ctx, insertHour)
	if err != nil {
		return err
	}
	defer insert.Close()
	for _, h := range hours {
		args := make([]any, 0, 20)
		args = append(args, m.id, h.Start.Unix(), h.Lit)
		args = appendSpread(args, h.TempC, meanSteps)
		args = appendSpread(args, h.RHPercent, meanSteps)
		args = appendSpread(args, h.VPDKPa, meanSteps)
		args = appendSpread(args, h.PPFD, ppfdSteps)
		args = append(args, sealHour(m.name, args[1:]))
		if _, err := insert.ExecContext(ctx, args...); err != nil {
			return err
		}
	}
	text, err := json.Marshal(day)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO climate_day (space, day, summary, seal) VALUES (?, ?, ?, ?)
		ON CONFLICT (space, day) DO UPDATE SET summary = excluded.summary, seal = excluded.seal`, m.id, number, string(text), sealDay(m.name, number, text))
	return err
}

// sealHour is the digest of the cells of an hour, sealDay that of a day.
func sealHour(space string, cells []any) int64 {
	return shortSeal("hour", append([]any{space}, cells...)...)
}

func sealDay(space string, number int64, summary []byte) int64 {
	return shortSeal("day", space, number, summary)
}

func dayNumber(date time.Time) int64 { return int64(math.Floor(float64(date.Unix()) / 86400)) }

func appendSpread(args []any, s care.Spread, perUnit float64) []any {
	if !s.Known() {
		return append(args, nil, nil, nil, 0)
	}
	scaled := func(v float64) int64 { return int64(math.Round(v * perUnit)) }
	return append(args, scaled(s.Min), scaled(s.Mean), scaled(s.Max), s.Count)
}
