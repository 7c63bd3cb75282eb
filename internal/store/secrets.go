package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"time"
)

// passphraseName is the row of the passphrase; machines cannot take it.
const passphraseName = "passphrase"

// PassphraseHash returns the hash of the grower's passphrase, in whatever form
// it was set, or ErrNotFound when there is none.
func (s *Store) PassphraseHash(ctx context.Context) (string, error) {
	var hash string
	err := s.read.QueryRowContext(ctx, "SELECT hash FROM secret WHERE name = ? AND sort = 'passphrase'", passphraseName).Scan(&hash)
	if errors.Is(err, sql.ErrNoRows) {
		return "", fmt.Errorf("passphrase: %w", ErrNotFound)
	}
	return hash, err
}

// SetPassphraseHash keeps the hash of the grower's passphrase and ends every
// session. An empty hash removes the passphrase.
func (s *Store) SetPassphraseHash(ctx context.Context, hash string) error {
	made, _ := instant(s.stamp())
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "DELETE FROM session"); err != nil {
			return err
		}
		if hash == "" {
			_, err := tx.ExecContext(ctx, "DELETE FROM secret WHERE name = ?", passphraseName)
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO secret (name, sort, hash, made) VALUES (?, 'passphrase', ?, ?)
			ON CONFLICT (name) DO UPDATE SET hash = excluded.hash, made = excluded.made`, passphraseName, hash, made)
		return err
	})
}

// Machine is a program that may call in with a token.
type Machine struct {
	Name  string
	Scope string // what it may do, in the words of whoever asks
	Made  time.Time
}

// hashOfMachineToken needs no slow hash: a machine's token is long and random.
func hashOfMachineToken(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// AddMachine lets a machine in with a token, which is kept as a hash only. A
// name that is taken is ErrExists.
func (s *Store) AddMachine(ctx context.Context, name, scope, token string) error {
	const shortest = 20 // letters; below that a token can be guessed
	switch {
	case name == "" || name == passphraseName:
		return fmt.Errorf("a machine cannot be called %q", name)
	case len(token) < shortest:
		return fmt.Errorf("a machine's token has %d letters or more", shortest)
	}
	made, _ := instant(s.stamp())
	return s.change(ctx, func(tx *sql.Tx) error {
		result, err := tx.ExecContext(ctx, `INSERT INTO secret (name, sort, hash, scope, made) VALUES (?, 'machine', ?, ?, ?)
			ON CONFLICT DO NOTHING`, name, hashOfMachineToken(token), scope, made)
		if err != nil {
			return err
		}
		if n, err := result.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("machine %q: the name or the token is taken: %w", name, ErrExists))
		}
		return nil
	})
}

// MachineOf returns the machine that a token belongs to, or ErrNotFound.
func (s *Store) MachineOf(ctx context.Context, token string) (Machine, error) {
	m, err := scanMachine(s.read.QueryRowContext(ctx,
		"SELECT name, scope, made FROM secret WHERE sort = 'machine' AND hash = ?", hashOfMachineToken(token)))
	if errors.Is(err, sql.ErrNoRows) {
		return Machine{}, fmt.Errorf("machine: %w", ErrNotFound)
	}
	return m, err
}

// Machines returns every machine that may call in, by name.
func (s *Store) Machines(ctx context.Context) ([]Machine, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT name, scope, made FROM secret WHERE sort = 'machine' ORDER BY name")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var machines []Machine
	for rows.Next() {
		m, err := scanMachine(rows)
		if err != nil {
			return nil, err
		}
		machines = append(machines, m)
	}
	return machines, rows.Err()
}

func scanMachine(from interface{ Scan(...any) error }) (Machine, error) {
	var m Machine
	var made int64
	err := from.Scan(&m.Name, &m.Scope, &made)
	m.Made = moment(made, 0)
	return m, err
}

// RemoveMachine shuts a machine out, or returns ErrNotFound.
func (s *Store) RemoveMachine(ctx context.Context, name string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		result, err := tx.ExecContext(ctx, "DELETE FROM secret WHERE name = ? AND sort = 'machine'", name)
		if err != nil {
			return err
		}
		if n, err := result.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("machine %q: %w", name, ErrNotFound))
		}
		return nil
	})
}
