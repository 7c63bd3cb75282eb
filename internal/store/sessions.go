package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"time"
)

// Sessions keeps who is signed in. It has the methods that scs asks of a
// session store, with and without a context. Tokens are kept as hashes, so a
// copied file signs nobody in.
type Sessions struct{ s *Store }

// Sessions returns the sessions of the collection.
func (s *Store) Sessions() Sessions { return Sessions{s} }

func hashOfToken(token string) []byte {
	sum := sha256.Sum256([]byte(token))
	return sum[:]
}

// FindCtx returns the data of a session that has not expired.
func (k Sessions) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	err = k.s.read.QueryRowContext(ctx, "SELECT data FROM session WHERE token = ? AND expiry > ?",
		hashOfToken(token), k.s.now().UnixMicro()).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	return data, err == nil, err
}

// CommitCtx keeps a session until it expires.
func (k Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	if data == nil {
		data = []byte{}
	}
	return k.s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO session (token, data, expiry) VALUES (?, ?, ?)
			ON CONFLICT (token) DO UPDATE SET data = excluded.data, expiry = excluded.expiry`,
			hashOfToken(token), data, expiry.UnixMicro())
		return err
	})
}

// DeleteCtx ends a session; one that is not there is no error.
func (k Sessions) DeleteCtx(ctx context.Context, token string) error {
	return k.s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM session WHERE token = ?", hashOfToken(token))
		return err
	})
}

// Find is FindCtx for callers without a context.
func (k Sessions) Find(token string) ([]byte, bool, error) {
	return k.FindCtx(context.Background(), token)
}

// Commit is CommitCtx for callers without a context.
func (k Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return k.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx for callers without a context.
func (k Sessions) Delete(token string) error { return k.DeleteCtx(context.Background(), token) }

// Clean removes the sessions that have expired.
func (k Sessions) Clean(ctx context.Context) error {
	return k.s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM session WHERE expiry <= ?", k.s.now().UnixMicro())
		return err
	})
}

// EndAll ends every session, as when the passphrase changes.
func (k Sessions) EndAll(ctx context.Context) error {
	return k.s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM session")
		return err
	})
}
