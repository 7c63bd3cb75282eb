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
		if clock.Key() != m.clock {
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
				`INSERT INTO climate_stale (space, hour) SELECT DISTINCT c.space, r.at / 3600 FROM channel c JOIN reading r ON r.channel = c.id WHERE c.space = ?
				ON CONFLICT DO NOTHING`,
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
			if err := summariseDays(ctx, tx, m.id, clock, days); err != nil {
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
func summariseDays(ctx context.Context, tx *sql.Tx, space int64, clock care.DayClock, days []time.Time) error {
	// Days that follow one another are read together.
	for len(days) > 0 {
		n := 1
		for n < len(days) && n < daysAtOnce && days[n].Equal(days[n-1].AddDate(0, 0, 1)) {
			n++
		}
		from, until := clock.Begin(days[0]), clock.Begin(days[n-1].AddDate(0, 0, 1))
		series, err := seriesBetween(ctx, tx, space, from.Add(-care.SummaryMargin), until.Add(care.SummaryMargin))
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM climate_hour WHERE space = ? AND start >= ? AND start < ?", space, from.Unix(), until.Unix()); err != nil {
			return err
		}
		for _, day := range days[:n] {
			begin, end := clock.Begin(day).Add(-care.SummaryMargin).Unix(), clock.Begin(day.AddDate(0, 0, 1)).Add(care.SummaryMargin).Unix()
			if err := summariseDay(ctx, tx, space, clock, day, cut(series, begin, end)); err != nil {
				return err
			}
		}
		days = days[n:]
	}
	return nil
}

// sensorChannel is a channel of a space.
type sensorChannel struct {
	id     int64
	series care.SensorSeries // empty but for its names
}

func channelsOf(ctx context.Context, tx *sql.Tx, space int64) ([]sensorChannel, error) {
	rows, err := tx.QueryContext(ctx, "SELECT id, source, quantity FROM channel WHERE space = ? ORDER BY id", space)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []sensorChannel
	for rows.Next() {
		var c sensorChannel
		if err := rows.Scan(&c.id, &c.series.Source, &c.series.Quantity); err != nil {
			return nil, err
		}
		if !TakenBack(c.series.Source) {
			list = append(list, c)
		}
	}
	return list, rows.Err()
}

// seriesBetween reads the readings of a space, sensor by sensor. One query for
// each sensor walks the table in its own order; a join would be sorted first.
func seriesBetween(ctx context.Context, tx *sql.Tx, space int64, from, until time.Time) ([]care.SensorSeries, error) {
	channels, err := channelsOf(ctx, tx, space)
	if err != nil {
		return nil, err
	}
	var list []care.SensorSeries
	for _, c := range channels {
		one := c.series
		if err := readSeries(ctx, tx, c.id, from.Unix(), until.Unix(), &one); err != nil {
			return nil, err
		}
		if len(one.At) > 0 {
			list = append(list, one)
		}
	}
	return list, nil
}

func readSeries(ctx context.Context, tx *sql.Tx, channel, from, until int64, into *care.SensorSeries) error {
	rows, err := tx.QueryContext(ctx, "SELECT at, value FROM reading WHERE channel = ? AND at >= ? AND at < ? ORDER BY at", channel, from, until)
	if err != nil {
		return err
	}
	defer rows.Close()
	perUnit := steps[into.Quantity]
	var at, value int64
	cells := []any{&at, &value}
	for rows.Next() {
		if err := rows.Scan(cells...); err != nil {
			return err
		}
		into.At, into.Value = append(into.At, at), append(into.Value, float64(value)/perUnit)
	}
	return rows.Err()
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

const insertHour = `INSERT INTO climate_hour VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`

func summariseDay(ctx context.Context, tx *sql.Tx, space int64, clock care.DayClock, date time.Time, series []care.SensorSeries) error {
	hours, day := clock.SummariseDay(date, series)
	number := dayNumber(date)
	if len(hours) == 0 {
		_, err := tx.ExecContext(ctx, "DELETE FROM climate_day WHERE space = ? AND day = ?", space, number)
		return err
	}
	for _, h := range hours {
		args := []any{space, h.Start.Unix(), h.Lit}
		args = appendSpread(args, h.TempC, meanSteps)
		args = appendSpread(args, h.RHPercent, meanSteps)
		args = appendSpread(args, h.VPDKPa, meanSteps)
		args = appendSpread(args, h.PPFD, ppfdSteps)
		if _, err := tx.ExecContext(ctx, insertHour, args...); err != nil {
			return err
		}
	}
	text, err := json.Marshal(day)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO climate_day (space, day, summary) VALUES (?, ?, ?)
		ON CONFLICT (space, day) DO UPDATE SET summary = excluded.summary`, space, number, string(text))
	return err
}

func dayNumber(date time.Time) int64 { return int64(math.Floor(float64(date.Unix()) / 86400)) }

func appendSpread(args []any, s care.Spread, perUnit float64) []any {
	if !s.Known() {
		return append(args, nil, nil, nil, 0)
	}
	scaled := func(v float64) int64 { return int64(math.Round(v * perUnit)) }
	return append(args, scaled(s.Min), scaled(s.Mean), scaled(s.Max), s.Count)
}

// ClimateHours returns the hours of a space in which something was measured, as
// far as they are summarised.
func (s *Store) ClimateHours(ctx context.Context, space string, from, until time.Time) ([]care.ClimateHour, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT start, lit, temp_min, temp_mean, temp_max, temp_count, rh_min, rh_mean, rh_max, rh_count,
			vpd_min, vpd_mean, vpd_max, vpd_count, ppfd_min, ppfd_mean, ppfd_max, ppfd_count
		FROM climate_hour WHERE space = (SELECT id FROM measured_space WHERE name = ?) AND start >= ? AND start < ? ORDER BY start`,
		space, from.Unix(), until.Unix())
	if err != nil {
		return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
	}
	defer rows.Close()
	var list []care.ClimateHour
	var start int64
	var lit bool
	var kept [4]keptSpread
	into := []any{&start, &lit}
	for i := range kept {
		into = append(into, &kept[i].low, &kept[i].mean, &kept[i].high, &kept[i].count)
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
		}
		list = append(list, care.ClimateHour{
			Start: time.Unix(start, 0).UTC(), Lit: lit,
			TempC: kept[0].spread(meanSteps), RHPercent: kept[1].spread(meanSteps), VPDKPa: kept[2].spread(meanSteps), PPFD: kept[3].spread(ppfdSteps),
		})
	}
	return list, rows.Err()
}

type keptSpread struct {
	low, mean, high sql.NullInt64
	count           int
}

func (k *keptSpread) spread(perUnit float64) care.Spread {
	if k.count == 0 {
		return care.Spread{}
	}
	return care.Spread{Min: float64(k.low.Int64) / perUnit, Mean: float64(k.mean.Int64) / perUnit, Max: float64(k.high.Int64) / perUnit, Count: k.count}
}

// ClimateDays returns the calendar days of a space on which something was
// measured, as far as they are summarised.
func (s *Store) ClimateDays(ctx context.Context, space string, from, until time.Time) ([]care.ClimateDay, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT summary FROM climate_day
		WHERE space = (SELECT id FROM measured_space WHERE name = ?) AND day >= ? AND day < ? ORDER BY day`, space, dayNumber(from), dayNumber(until))
	if err != nil {
		return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
	}
	defer rows.Close()
	var list []care.ClimateDay
	for rows.Next() {
		var text sql.RawBytes
		if err := rows.Scan(&text); err != nil {
			return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
		}
		var day care.ClimateDay
		if err := json.Unmarshal(text, &day); err != nil {
			return nil, &Damaged{What: "the summary of a day in " + space, Why: err.Error()}
		}
		list = append(list, day)
	}
	return list, rows.Err()
}
