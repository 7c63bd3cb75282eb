package web

import (
	"context"
	"io"
	"iter"
	"time"

	"github.com/alexedwards/scs/v2"

	"velamen/internal/care"
	"velamen/internal/store"
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

// Secrets keeps the hashed passphrase, machines' tokens by their hashes, and the
// links that were handed out. A
// store.Store is one, and the errors are its own.
type Secrets interface {
	PassphraseHash(ctx context.Context) (string, error)
	AddMachine(ctx context.Context, name, scope, token string) error
	MachineOf(ctx context.Context, token string) (store.Machine, error)
	Machines(ctx context.Context) ([]store.Machine, error)
	RemoveMachine(ctx context.Context, name string) error

	AddLink(ctx context.Context, l store.Link) error
	LinkOf(ctx context.Context, id string) (store.Link, error)
	Links(ctx context.Context) ([]store.Link, error)
	RemoveLink(ctx context.Context, id string) error
}

// Photos keeps pictures by the hash of their content. A store.Store is one.
type Photos interface {
	PutPhoto(ctx context.Context, p store.Photo, content []byte) (store.Photo, error)
	Photo(ctx context.Context, hash string) (store.Photo, []byte, error)
}

// Export writes everything that is kept, as one file.
type Export func(ctx context.Context, to io.Writer) error
