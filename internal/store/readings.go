package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// ReadingBatch is how many readings are kept in one transaction at most.
const ReadingBatch = 5000

// What is kept of readings, in the words of the domain.
type (
	Kept     = care.Kept
	FileMark = care.FileMark
	Delivery = care.Delivery
)

// steps are how finely each quantity is kept: readings per unit.
var steps = map[care.Quantity]float64{care.AirTemperature: 100, care.AirHumidity: 100, care.LeafLight: 10}

// KeepReadings adds readings, all or none, at most ReadingBatch of them, and
// returns what became of each. They are on the disk when it returns; their
// summaries are not made yet (see Settle). A reading that is there already is
// passed over.
func (s *Store) KeepReadings(ctx context.Context, list []care.Reading) (kept Kept, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		kept, err = s.addReadings(ctx, tx, list)
		return err
	})
	return kept, keeping(err)
}

// KeepOfFile is KeepReadings that notes in the same transaction how far the file
// they came from has been read, and returns the mark with what became of it.
func (s *Store) KeepOfFile(ctx context.Context, mark FileMark, list []care.Reading) (FileMark, error) {
	recorded, _ := instant(s.stamp())
	err := s.change(ctx, func(tx *sql.Tx) error {
		kept, err := s.addReadings(ctx, tx, list)
		if err != nil {
			return err
		}
		mark.Kept.Add(kept)
		_, err = tx.ExecContext(ctx, `INSERT INTO reading_file (digest, name, lines, added, doubled, differ, recorded) VALUES (?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (digest) DO UPDATE SET lines = excluded.lines, added = excluded.added, doubled = excluded.doubled, differ = excluded.differ`,
			mark.Digest[:], mark.Name, mark.Lines, mark.Kept.Added, mark.Kept.Doubled, mark.Kept.Differ, recorded)
		return err
	})
	return mark, keeping(err)
}

// KeepDelivered is KeepReadings for a message that may come twice: a second
// delivery changes nothing and reports false.
func (s *Store) KeepDelivered(ctx context.Context, d Delivery, list []care.Reading) (kept Kept, fresh bool, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		if d.Again {
			var there int
			err := tx.QueryRowContext(ctx, "SELECT count(*) FROM delivery WHERE client = ? AND packet = ? AND digest = ?", d.Client, d.Packet, d.Digest[:]).Scan(&there)
			if err != nil || there > 0 {
				return err
			}
		}
		fresh = true
		_, err := tx.ExecContext(ctx, `INSERT INTO delivery (client, packet, digest) VALUES (?, ?, ?)
			ON CONFLICT (client, packet) DO UPDATE SET digest = excluded.digest`, d.Client, d.Packet, d.Digest[:])
		if err != nil {
			return err
		}
		kept, err = s.addReadings(ctx, tx, list)
		return err
	})
	return kept, fresh, keeping(err)
}

func keeping(err error) error {
	if err != nil {
		return fmt.Errorf("keeping readings: %w", err)
	}
	return nil
}

// FileMarkOf returns how far a file was imported; nothing yet gives a mark of no
// lines.
func (s *Store) FileMarkOf(ctx context.Context, digest [32]byte, name string) (FileMark, error) {
	m := FileMark{Digest: digest, Name: name}
	err := s.read.QueryRowContext(ctx, "SELECT lines, added, doubled, differ FROM reading_file WHERE digest = ?", digest[:]).
		Scan(&m.Lines, &m.Kept.Added, &m.Kept.Doubled, &m.Kept.Differ)
	if errors.Is(err, sql.ErrNoRows) {
		return m, nil
	}
	return m, err
}

// rowsAtOnce is how many readings one statement inserts: fewer statements, fewer
// crossings into the database.
const rowsAtOnce = 100

var insertReadings = func(rows int) string {
	return "INSERT INTO reading (channel, at, value) VALUES (?, ?, ?)" + strings.Repeat(", (?, ?, ?)", rows-1) + " ON CONFLICT DO NOTHING"
}

// channelKey names a channel.
type channelKey struct {
	space, source string
	quantity      care.Quantity
}

// readingRow is a reading as it is kept.
type readingRow struct{ channel, at, value int64 }

func (s *Store) addReadings(ctx context.Context, tx *sql.Tx, list []care.Reading) (kept Kept, err error) {
	if len(list) > ReadingBatch {
		return kept, fmt.Errorf("%d readings at once; %d are the most", len(list), ReadingBatch)
	}
	now := s.now()
	channels := map[channelKey][2]int64{}
	stale := map[[2]int64]bool{}
	rows := make([]readingRow, 0, len(list))
	for _, r := range list {
		if err := r.Check(now); err != nil {
			return kept, err
		}
		key := channelKey{r.Space, r.Source, r.Quantity}
		channel, known := channels[key]
		if !known {
			if channel, err = channelOf(ctx, tx, key); err != nil {
				return kept, err
			}
			channels[key] = channel
		}
		at := r.At.Unix()
		rows = append(rows, readingRow{channel[0], at, int64(math.Round(r.Value * steps[r.Quantity]))})
		stale[[2]int64{channel[1], floorHour(at)}] = true
	}
	// Neighbours in the table one after the other: each is found next to the last.
	slices.SortStableFunc(rows, func(a, b readingRow) int {
		return cmp.Or(cmp.Compare(a.channel, b.channel), cmp.Compare(a.at, b.at))
	})
	args := make([]any, 0, 3*len(rows))
	for _, r := range rows {
		args = append(args, r.channel, r.at, r.value)
	}
	var whole *sql.Stmt
	for start := 0; start < len(args); start += 3 * rowsAtOnce {
		some := args[start:min(start+3*rowsAtOnce, len(args))]
		var result sql.Result
		if len(some) == 3*rowsAtOnce {
			if whole == nil {
				if whole, err = tx.PrepareContext(ctx, insertReadings(rowsAtOnce)); err != nil {
					return kept, err
				}
				defer whole.Close()
			}
			result, err = whole.ExecContext(ctx, some...)
		} else {
			result, err = tx.ExecContext(ctx, insertReadings(len(some)/3), some...)
		}
		if err != nil {
			return kept, err
		}
		n, err := result.RowsAffected()
		if err != nil {
			return kept, err
		}
		kept.Added += int(n)
		if there := len(some)/3 - int(n); there > 0 {
			differ, err := countDiffering(ctx, tx, some)
			if err != nil {
				return kept, err
			}
			kept.Differ += differ
			kept.Doubled += there - differ
		}
	}
	if kept.Added == 0 {
		return kept, nil
	}
	for hour := range stale {
		if _, err := tx.ExecContext(ctx, "INSERT INTO climate_stale (space, hour) VALUES (?, ?) ON CONFLICT DO NOTHING", hour[0], hour[1]); err != nil {
			return kept, err
		}
	}
	return kept, nil
}

func floorHour(at int64) int64 { return int64(math.Floor(float64(at) / 3600)) }

// countDiffering counts readings whose moment has another value. Of two that
// came in one batch the first was kept.
func countDiffering(ctx context.Context, tx *sql.Tx, args []any) (n int, err error) {
	one, err := tx.PrepareContext(ctx, "SELECT value FROM reading WHERE channel = ? AND at = ?")
	if err != nil {
		return 0, err
	}
	defer one.Close()
	for i := 0; i < len(args); i += 3 {
		var value int64
		if err := one.QueryRowContext(ctx, args[i], args[i+1]).Scan(&value); err != nil {
			return n, err
		}
		if value != args[i+2] {
			n++
		}
	}
	return n, nil
}

// channelOf returns the ids of a channel and of its space, and makes them if
// need be.
func channelOf(ctx context.Context, tx *sql.Tx, key channelKey) (ids [2]int64, err error) {
	if _, err = tx.ExecContext(ctx, "INSERT INTO measured_space (name) VALUES (?) ON CONFLICT DO NOTHING", key.space); err != nil {
		return ids, err
	}
	if err = tx.QueryRowContext(ctx, "SELECT id FROM measured_space WHERE name = ?", key.space).Scan(&ids[1]); err != nil {
		return ids, err
	}
	if _, err = tx.ExecContext(ctx, "INSERT INTO channel (space, source, quantity) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", ids[1], key.source, string(key.quantity)); err != nil {
		return ids, err
	}
	err = tx.QueryRowContext(ctx, "SELECT id FROM channel WHERE space = ? AND source = ? AND quantity = ?", ids[1], key.source, string(key.quantity)).Scan(&ids[0])
	return ids, err
}

// ReadingQuery selects readings. Fields that are left out select everything.
type ReadingQuery struct {
	Space       string
	Source      string
	From, Until time.Time // Until itself is left out
}

// Readings streams readings, sensor by sensor in order of time, as they were
// kept.
func (s *Store) Readings(ctx context.Context, q ReadingQuery) iter.Seq2[care.Reading, error] {
	query := `SELECT m.name, c.source, c.quantity, r.at, r.value
		FROM measured_space m JOIN channel c ON c.space = m.id JOIN reading r ON r.channel = c.id WHERE r.at >= ? AND r.at < ?`
	args := []any{int64(math.MinInt32), int64(math.MaxInt64)}
	if !q.From.IsZero() {
		args[0] = q.From.Unix()
	}
	if !q.Until.IsZero() {
		args[1] = q.Until.Unix()
	}
	if q.Space != "" {
		query, args = query+" AND m.name = ?", append(args, q.Space)
	}
	if q.Source != "" {
		query, args = query+" AND c.source = ?", append(args, q.Source)
	}
	return func(yield func(care.Reading, error) bool) {
		rows, err := s.read.QueryContext(ctx, query+" ORDER BY m.name, c.source, c.quantity, r.at", args...)
		if err != nil {
			yield(care.Reading{}, err)
			return
		}
		defer rows.Close()
		for rows.Next() {
			var r care.Reading
			var at, value int64
			err := rows.Scan(&r.Space, &r.Source, &r.Quantity, &at, &value)
			r.At, r.Value = time.Unix(at, 0).UTC(), float64(value)/steps[r.Quantity]
			if !yield(r, err) || err != nil {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(care.Reading{}, err)
		}
	}
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
	rows, err := s.read.QueryContext(ctx, `SELECT m.name, c.source, c.quantity,
			(SELECT min(at) FROM reading WHERE channel = c.id), l.at, l.value
		FROM channel c JOIN measured_space m ON m.id = c.space
		JOIN reading l ON l.channel = c.id AND l.at = (SELECT max(at) FROM reading WHERE channel = c.id)
		ORDER BY m.name, c.source, c.quantity`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []Sensor
	for rows.Next() {
		var one Sensor
		var first, last, value int64
		if err := rows.Scan(&one.Space, &one.Source, &one.Quantity, &first, &last, &value); err != nil {
			return nil, err
		}
		one.First, one.Last = time.Unix(first, 0).UTC(), time.Unix(last, 0).UTC()
		one.Value = float64(value) / steps[one.Quantity]
		if !TakenBack(one.Source) {
			list = append(list, one)
		}
	}
	return list, rows.Err()
}

// RemoveSource takes everything back that a source measured: for what was
// invented.
func (s *Store) RemoveSource(ctx context.Context, source string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		for _, statement := range []string{
			`INSERT INTO climate_stale (space, hour) SELECT DISTINCT c.space, r.at / 3600 FROM channel c JOIN reading r ON r.channel = c.id WHERE c.source = ?
				ON CONFLICT DO NOTHING`,
			"DELETE FROM reading WHERE channel IN (SELECT id FROM channel WHERE source = ?)",
			"DELETE FROM channel WHERE source = ?",
		} {
			if _, err := tx.ExecContext(ctx, statement, source); err != nil {
				return fmt.Errorf("taking readings back: %w", err)
			}
		}
		return nil
	})
}

// takenBack ends the name of a source whose readings were taken back: they stay
// as they came, and count for nothing.
const takenBack = ", taken back"

// TakenBack reports whether the readings of a source were taken back.
func TakenBack(source string) bool { return strings.HasSuffix(source, takenBack) }

// TakeBackReadings takes back what a source measured in a space at one moment: for
// what was typed wrongly. The readings stay under a name that says so, and count
// for nothing.
func (s *Store) TakeBackReadings(ctx context.Context, space, source string, at time.Time) error {
	err := s.change(ctx, func(tx *sql.Tx) error {
		found, err := channelsAt(ctx, tx, space, source, at.Unix())
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return fmt.Errorf("a reading by %s in %s at %s: %w", source, space, at.Format(time.RFC3339), ErrNotFound)
		}
		for id, q := range found {
			name := source
			for moved := int64(0); moved == 0; { // what was taken back at this moment before stays, too
				name += takenBack
				back, err := channelOf(ctx, tx, channelKey{space, name, q})
				if err != nil {
					return err
				}
				result, err := tx.ExecContext(ctx, "UPDATE OR IGNORE reading SET channel = ? WHERE channel = ? AND at = ?", back[0], id, at.Unix())
				if err == nil {
					moved, err = result.RowsAffected()
				}
				if err != nil {
					return err
				}
			}
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO climate_stale (space, hour) SELECT id, ? FROM measured_space WHERE name = ? ON CONFLICT DO NOTHING`,
			floorHour(at.Unix()), space)
		return err
	})
	if err != nil {
		return fmt.Errorf("taking a reading back: %w", err)
	}
	return nil
}

// channelsAt returns the channels by which a source measured at a moment.
func channelsAt(ctx context.Context, tx *sql.Tx, space, source string, at int64) (map[int64]care.Quantity, error) {
	rows, err := tx.QueryContext(ctx, `SELECT c.id, c.quantity FROM channel c JOIN measured_space m ON m.id = c.space
		JOIN reading r ON r.channel = c.id AND r.at = ? WHERE m.name = ? AND c.source = ?`, at, space, source)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	found := map[int64]care.Quantity{}
	for rows.Next() {
		var id int64
		var q care.Quantity
		if err := rows.Scan(&id, &q); err != nil {
			return nil, err
		}
		found[id] = q
	}
	return found, rows.Err()
}
