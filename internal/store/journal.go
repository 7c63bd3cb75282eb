package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"strings"
	"time"

	"velamen/internal/care"
)

// Append adds entries to the journal, all or none, and returns those that were
// new, as they are kept, with their time of recording. They are on the disk
// when it returns. An entry that is there already is passed over; with other
// content it is a *Conflict.
func (s *Store) Append(ctx context.Context, entries []care.Entry) (added []care.Entry, err error) {
	stamped := make([]care.Entry, len(entries))
	recorded := s.stamp()
	for i, e := range entries {
		e.Recorded = recorded
		stamped[i] = e
	}
	return s.add(ctx, stamped)
}

// Restore adds entries that were recorded elsewhere or before, and keeps their
// time of recording. Otherwise it is Append.
func (s *Store) Restore(ctx context.Context, entries []care.Entry) (added []care.Entry, err error) {
	stamped := make([]care.Entry, len(entries))
	recorded := s.stamp()
	for i, e := range entries {
		if e.Recorded.IsZero() {
			e.Recorded = recorded
		}
		stamped[i] = e
	}
	return s.add(ctx, stamped)
}

const insertEntry = `INSERT INTO entry (id, at, zone, recorded, kind, plant, corrects, who, detail, digest)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING`

func (s *Store) add(ctx context.Context, entries []care.Entry) (added []care.Entry, err error) {
	if len(entries) == 0 {
		return nil, nil
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		insert, err := tx.PrepareContext(ctx, insertEntry)
		if err != nil {
			return err
		}
		defer insert.Close()
		for _, e := range entries {
			fresh, err := addOne(ctx, tx, insert, e)
			if err != nil {
				return err
			}
			if fresh != nil {
				added = append(added, *fresh)
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("adding to the journal: %w", err)
	}
	return added, nil
}

// addOne adds one entry and returns it as it is kept, or nil when it was there.
func addOne(ctx context.Context, tx *sql.Tx, insert *sql.Stmt, e care.Entry) (*care.Entry, error) {
	r, err := rowOf(e)
	if err != nil {
		return nil, err
	}
	corrects := sql.NullString{String: r.corrects, Valid: r.corrects != ""}
	result, err := insert.ExecContext(ctx, r.id, r.at, r.zone, r.recorded, r.kind, r.plant, corrects, r.who, string(r.detail), r.digest)
	if err != nil {
		return nil, fmt.Errorf("entry %s: %w", e.ID, err)
	}
	n, err := result.RowsAffected()
	if err != nil {
		return nil, err
	}
	if n == 1 {
		kept, err := r.entry()
		return &kept, err
	}
	there, err := scanEntry(tx.QueryRowContext(ctx, "SELECT "+digestedColumns+" FROM entry WHERE id = ?", r.id))
	if err != nil {
		return nil, err
	}
	same, err := SameContent(e, there)
	if err == nil && !same {
		err = &Conflict{Entry: r.id}
	}
	return nil, err
}

const (
	entryColumns    = "id, at, zone, recorded, kind, plant, corrects, who, detail"
	digestedColumns = entryColumns + ", digest"
)

// scan reads the entry columns.
func (r *row) scan(from interface{ Scan(...any) error }, more ...any) error {
	var corrects sql.NullString
	err := from.Scan(append([]any{&r.id, &r.at, &r.zone, &r.recorded, &r.kind, &r.plant, &corrects, &r.who, &r.detail}, more...)...)
	r.corrects = corrects.String
	return err
}

// scanEntry reads an entry with its digest. One that is no longer what was
// recorded is never returned: that is a *Damaged.
func scanEntry(from interface{ Scan(...any) error }) (care.Entry, error) {
	var r row
	if err := r.scan(from, &r.digest); err != nil {
		return care.Entry{}, err
	}
	if !bytes.Equal(r.sum(), r.digest) {
		return care.Entry{}, &Damaged{What: "entry " + r.id, Why: changedSince + "; velamen verify lists what is damaged, and velamen restore brings back a backup"}
	}
	return r.entry()
}

// entries streams the result of a query.
func (s *Store) entries(ctx context.Context, query string, args ...any) iter.Seq2[care.Entry, error] {
	return func(yield func(care.Entry, error) bool) {
		rows, err := s.read.QueryContext(ctx, query, args...)
		if err != nil {
			yield(care.Entry{}, err)
			return
		}
		defer rows.Close()
		for rows.Next() {
			e, err := scanEntry(rows)
			if !yield(e, err) || err != nil {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(care.Entry{}, err)
		}
	}
}

// All streams the whole journal in the order of recording.
func (s *Store) All(ctx context.Context) iter.Seq2[care.Entry, error] {
	return s.entries(ctx, "SELECT "+digestedColumns+" FROM entry ORDER BY seq")
}

// Collection reads the whole journal and works out the collection it describes.
func (s *Store) Collection(ctx context.Context) (entries []care.Entry, c *care.Collection, err error) {
	for e, err := range s.All(ctx) {
		if err != nil {
			return nil, nil, fmt.Errorf("reading the journal: %w", err)
		}
		entries = append(entries, e)
	}
	endOfTime := time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
	return entries, care.Replay(entries, endOfTime), nil
}

// OfPlant returns everything needed to work a plant out, in the order of
// recording: the entries about it and, either way and however far, those that
// correct one of them or are corrected by one, whatever plant they name. Of no
// plant, "", it returns what concerns the collection as a whole.
func (s *Store) OfPlant(ctx context.Context, plant string) ([]care.Entry, error) {
	var found []care.Entry
	for e, err := range s.entries(ctx, `WITH RECURSIVE linked (id, corrects) AS (
			SELECT id, corrects FROM entry WHERE plant = ?
			UNION SELECT e.id, e.corrects FROM linked l JOIN entry e ON e.corrects = l.id
			UNION SELECT e.id, e.corrects FROM linked l JOIN entry e ON e.id = l.corrects
		)
		SELECT `+digestedColumns+` FROM entry WHERE id IN (SELECT id FROM linked) ORDER BY seq`, plant) {
		if err != nil {
			return nil, fmt.Errorf("reading the journal of a plant: %w", err)
		}
		found = append(found, e)
	}
	return found, nil
}

// Query selects entries. Fields that are left out select everything.
type Query struct {
	From, Until time.Time // of when it was done or seen; Until itself is left out
	Kinds       []care.Kind
	Plant       string
}

// Select streams entries in the order in which they happened.
func (s *Store) Select(ctx context.Context, q Query) iter.Seq2[care.Entry, error] {
	var where []string
	var args []any
	if !q.From.IsZero() {
		where, args = append(where, "at >= ?"), append(args, q.From.UnixMicro())
	}
	if !q.Until.IsZero() {
		where, args = append(where, "at < ?"), append(args, q.Until.UnixMicro())
	}
	if q.Plant != "" {
		where, args = append(where, "plant = ?"), append(args, q.Plant)
	}
	if len(q.Kinds) > 0 {
		where = append(where, "kind IN (?"+strings.Repeat(", ?", len(q.Kinds)-1)+")")
		for _, kind := range q.Kinds {
			args = append(args, string(kind))
		}
	}
	query := "SELECT " + digestedColumns + " FROM entry"
	if len(where) > 0 {
		query += " WHERE " + strings.Join(where, " AND ")
	}
	return s.entries(ctx, query+" ORDER BY at, id", args...)
}

// Count returns how many entries there are.
func (s *Store) Count(ctx context.Context) (int, error) {
	var n int
	err := s.read.QueryRowContext(ctx, "SELECT count(*) FROM entry").Scan(&n)
	return n, err
}

// Entry returns the entry with an id, or ErrNotFound.
func (s *Store) Entry(ctx context.Context, id string) (care.Entry, error) {
	e, err := scanEntry(s.read.QueryRowContext(ctx, "SELECT "+digestedColumns+" FROM entry WHERE id = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return care.Entry{}, fmt.Errorf("entry %s: %w", id, ErrNotFound)
	}
	return e, err
}
