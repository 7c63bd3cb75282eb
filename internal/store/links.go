package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Link is an address that was handed out: what it shows and until when. Whoever
// asks decides what Sort, Subject and Scope mean.
type Link struct {
	ID      string // UUID
	Name    string // whom it was made for
	Sort    string // round, plant or calendar
	Subject string // id of the plant, or name of the space; empty for everything
	Scope   string // read or tick
	Key     []byte // 32 random bytes that the address is signed with
	Made    time.Time
	Expires time.Time
}

// AddLink keeps a link. One whose id is taken is ErrExists.
func (s *Store) AddLink(ctx context.Context, l Link) error {
	made, _ := instant(s.stamp())
	expires, _ := instant(l.Expires)
	return s.change(ctx, func(tx *sql.Tx) error {
		result, err := tx.ExecContext(ctx, `INSERT INTO link (id, name, sort, subject, scope, key, made, expires) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT DO NOTHING`, l.ID, l.Name, l.Sort, l.Subject, l.Scope, l.Key, made, expires)
		if err != nil {
			return err
		}
		if n, err := result.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("link %s: %w", l.ID, ErrExists))
		}
		return nil
	})
}

const linkColumns = "id, name, sort, subject, scope, key, made, expires"

// LinkOf returns a link, whether it has expired or not, or ErrNotFound.
func (s *Store) LinkOf(ctx context.Context, id string) (Link, error) {
	l, err := scanLink(s.read.QueryRowContext(ctx, "SELECT "+linkColumns+" FROM link WHERE id = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return Link{}, fmt.Errorf("link: %w", ErrNotFound)
	}
	return l, err
}

// Links returns every link, the latest first.
func (s *Store) Links(ctx context.Context) ([]Link, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+linkColumns+" FROM link ORDER BY made DESC, id DESC")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var links []Link
	for rows.Next() {
		l, err := scanLink(rows)
		if err != nil {
			return nil, err
		}
		links = append(links, l)
	}
	return links, rows.Err()
}

func scanLink(from interface{ Scan(...any) error }) (Link, error) {
	var l Link
	var made, expires int64
	err := from.Scan(&l.ID, &l.Name, &l.Sort, &l.Subject, &l.Scope, &l.Key, &made, &expires)
	l.Made, l.Expires = moment(made, 0), moment(expires, 0)
	return l, err
}

// RemoveLink takes a link back, or returns ErrNotFound.
func (s *Store) RemoveLink(ctx context.Context, id string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		result, err := tx.ExecContext(ctx, "DELETE FROM link WHERE id = ?", id)
		if err != nil {
			return err
		}
		if n, err := result.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("link %s: %w", id, ErrNotFound))
		}
		return nil
	})
}
