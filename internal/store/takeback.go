package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"
)

// markBlocks marks the hours of all blocks of some channels.
const markBlocks = `INSERT INTO climate_stale (space, hour) SELECT DISTINCT c.space, b.start / 3600 + h.column1
	FROM channel c JOIN reading_block b ON b.channel = c.id CROSS JOIN (VALUES (0), (1), (2), (3)) h WHERE c.`

// RemoveSource takes everything back that a source measured: for what was
// invented.
func (s *Store) RemoveSource(ctx context.Context, source string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		for _, statement := range []string{
			markBlocks + "source = ? ON CONFLICT DO NOTHING",
			"DELETE FROM reading_block WHERE channel IN (SELECT id FROM channel WHERE source = ?)",
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
		k, err := newKeeper(ctx, tx)
		if err != nil {
			return err
		}
		defer k.close()
		channels, err := channelsBy(ctx, tx, space, source)
		if err != nil {
			return err
		}
		found := false
		for _, c := range channels {
			r, there, err := k.take(ctx, c, at.Unix())
			if err != nil {
				return err
			}
			for name := c.measures; there; { // what was taken back at this moment before stays, too
				found = true
				name.source += takenBack
				back, err := channelOf(ctx, tx, name)
				if err != nil {
					return err
				}
				before := k.kept.Added
				if err := k.merge(ctx, back, blockOf(r.at), []readingAt{r}); err != nil {
					return err
				}
				there = k.kept.Added == before
			}
		}
		if !found {
			return fmt.Errorf("a reading by %s in %s at %s: %w", source, space, at.Format(time.RFC3339), ErrNotFound)
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

// take takes the reading of a moment out of its block.
func (k *keeper) take(ctx context.Context, from channel, at int64) (r readingAt, there bool, err error) {
	start := blockOf(at)
	list, err := k.block(ctx, from, start)
	if err != nil {
		return r, false, err
	}
	i := slices.IndexFunc(list, func(one readingAt) bool { return one.at == at })
	if i < 0 {
		return r, false, nil
	}
	r = list[i]
	if len(list) == 1 {
		_, err = k.tx.ExecContext(ctx, "DELETE FROM reading_block WHERE channel = ? AND start = ?", from.id, start)
		return r, true, err
	}
	return r, true, k.write(ctx, from, start, slices.Delete(list, i, i+1))
}

// channelsBy returns the channels by which a source measures in a space.
func channelsBy(ctx context.Context, tx *sql.Tx, space, source string) ([]channel, error) {
	rows, err := tx.QueryContext(ctx, "SELECT c.id, c.space, m.name, c.source, c.quantity FROM channel c JOIN measured_space m ON m.id = c.space WHERE m.name = ? AND c.source = ?", space, source)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []channel
	for rows.Next() {
		var c channel
		if err := rows.Scan(&c.id, &c.space, &c.measures.space, &c.source, &c.quantity); err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	return list, rows.Err()
}
