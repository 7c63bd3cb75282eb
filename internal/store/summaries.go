package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"velamen/internal/care"
)

const hourColumns = `h.start, h.lit, h.temp_min, h.temp_mean, h.temp_max, h.temp_count, h.rh_min, h.rh_mean, h.rh_max, h.rh_count,
	h.vpd_min, h.vpd_mean, h.vpd_max, h.vpd_count, h.ppfd_min, h.ppfd_mean, h.ppfd_max, h.ppfd_count, h.seal`

// keptHour is a row of hours.
type keptHour struct {
	space  string
	start  int64
	lit    bool
	kept   [4]keptSpread
	sealed int64
}

// scan reads the name of a space and hourColumns. An hour that is not what was
// summed up is never given out: that is a *Damaged.
func (k *keptHour) scan(rows *sql.Rows) error {
	into := append(make([]any, 0, 20), &k.space, &k.start, &k.lit)
	for i := range k.kept {
		into = append(into, &k.kept[i].low, &k.kept[i].mean, &k.kept[i].high, &k.kept[i].count)
	}
	if err := rows.Scan(append(into, &k.sealed)...); err != nil {
		return err
	}
	cells := append(make([]any, 0, 19), k.start, k.lit)
	for i := range k.kept {
		cells = append(cells, k.kept[i].low, k.kept[i].mean, k.kept[i].high, k.kept[i].count)
	}
	if sealHour(k.space, cells) != k.sealed {
		return &Damaged{What: "the summary of an hour in " + k.space, Why: summaryChanged}
	}
	return nil
}

// summaryChanged says that a summary is not what was made.
const summaryChanged = "it was changed after it was kept; velamen serve makes it again from the readings when it starts"

// ClimateHours returns the hours of a space in which something was measured, as
// far as they are summarised.
func (s *Store) ClimateHours(ctx context.Context, space string, from, until time.Time) ([]care.ClimateHour, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT m.name, "+hourColumns+` FROM measured_space m CROSS JOIN climate_hour h ON h.space = m.id
		WHERE m.name = ? AND h.start >= ? AND h.start < ? ORDER BY h.start`, space, from.Unix(), until.Unix())
	if err != nil {
		return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
	}
	defer rows.Close()
	var list []care.ClimateHour
	var k keptHour
	for rows.Next() {
		if err := k.scan(rows); err != nil {
			return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
		}
		list = append(list, care.ClimateHour{
			Start: time.Unix(k.start, 0).UTC(), Lit: k.lit,
			TempC: k.kept[0].spread(meanSteps), RHPercent: k.kept[1].spread(meanSteps), VPDKPa: k.kept[2].spread(meanSteps), PPFD: k.kept[3].spread(ppfdSteps),
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
	rows, err := s.read.QueryContext(ctx, `SELECT m.name, d.day, d.summary, d.seal FROM measured_space m CROSS JOIN climate_day d ON d.space = m.id
		WHERE m.name = ? AND d.day >= ? AND d.day < ? ORDER BY d.day`, space, dayNumber(from), dayNumber(until))
	if err != nil {
		return nil, fmt.Errorf("reading the climate of %s: %w", space, err)
	}
	defer rows.Close()
	var list []care.ClimateDay
	for rows.Next() {
		text, err := scanDay(rows)
		if err != nil {
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

// scanDay reads the name of a space, a day, its summary and the digest.
func scanDay(rows *sql.Rows) (summary []byte, err error) {
	var name string
	var number, sealed int64
	var text sql.RawBytes
	if err := rows.Scan(&name, &number, &text, &sealed); err != nil {
		return nil, err
	}
	if sealDay(name, number, text) != sealed {
		return nil, &Damaged{What: "the summary of a day in " + name, Why: summaryChanged}
	}
	return text, nil
}

// eachSummary reads every summary of a space, or of all with 0, and tells which are
// damaged.
func eachSummary(ctx context.Context, db *sql.DB, space int64, tell func(*Damaged)) error {
	var k keptHour
	for query, scan := range map[string]func(*sql.Rows) error{
		"SELECT m.name, " + hourColumns + " FROM measured_space m CROSS JOIN climate_hour h ON h.space = m.id WHERE ?1 IN (0, m.id)":     k.scan,
		"SELECT m.name, d.day, d.summary, d.seal FROM measured_space m CROSS JOIN climate_day d ON d.space = m.id WHERE ?1 IN (0, m.id)": func(rows *sql.Rows) error { _, err := scanDay(rows); return err },
	} {
		rows, err := db.QueryContext(ctx, query, space)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			err := scan(rows)
			var damaged *Damaged
			if errors.As(err, &damaged) {
				tell(damaged)
			} else if err != nil {
				return err
			}
		}
		if err := rows.Err(); err != nil {
			return err
		}
		rows.Close()
	}
	return nil
}
