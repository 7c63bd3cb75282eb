package web

import (
	"context"
	"io"
	"iter"
	"time"

	"github.com/alexedwards/scs/v2"

	"velamen/internal/care"
)

// Journal is every entry that was ever kept; a book.Store is one.
type Journal interface {
	All(ctx context.Context) iter.Seq2[care.Entry, error]
}

// Sample makes an invented collection whose dates are relative to a day, and
// the units it is shown in.
type Sample func(today time.Time) (care.Case, care.Units, error)

// Sessions keeps who is signed in, by token.
type Sessions = scs.Store

// Secrets keeps the hashed passphrase and the hashed machine tokens.
type Secrets interface {
	// Passphrase returns the hash that SetPassphrase was given, or nothing.
	Passphrase(ctx context.Context) (hash string, err error)
	SetPassphrase(ctx context.Context, hash string) error
	Tokens(ctx context.Context) ([]Token, error)
	AddToken(ctx context.Context, t Token) error
	RevokeToken(ctx context.Context, id string) error
}

// Token lets a machine read, or read and write, without a passphrase.
type Token struct {
	ID    string // shown and used to revoke it
	Name  string // what the grower calls the machine
	Scope Scope
	Hash  string // SHA-256 of the secret, in hexadecimal digits
	Made  time.Time
}

// Scope is what a request may do.
type Scope string

// The scopes. Writing includes reading.
const (
	ReadScope  Scope = "read"
	WriteScope Scope = "write"
)

// Photos keeps pictures by the hash of their content.
type Photos interface {
	Put(ctx context.Context, content []byte) (hash string, err error)
	Get(ctx context.Context, hash string) ([]byte, error)
}

// Exporter writes everything that is kept as one file; nil where the store
// offers none.
type Exporter interface {
	Export(ctx context.Context, w io.Writer) error
}
