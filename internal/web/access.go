package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"

	"velamen/internal/store"
)

// access decides who may use the pages. On an address that only this machine
// reaches everyone may; elsewhere people sign in and machines carry tokens.
type access struct {
	required bool
	secrets  Secrets
	sessions *scs.SessionManager
	attempts *attempts
	hashing  chan struct{} // as many hashes at a time as it holds
}

// stayDays is how long a sign-in lasts. It is not prolonged by visits, so that
// reading a page writes nothing.
const stayDays = 90

// signedInKey is where a session keeps the mark of the passphrase it was opened
// with.
const signedInKey = "passphrase"

func newAccess(c Config, required bool) (*access, error) {
	_, err := c.Secrets.PassphraseHash(context.Background())
	switch {
	case errors.Is(err, store.ErrNotFound):
		if required {
			return nil, fmt.Errorf("%w: others can reach %s, so one has to be set first", ErrNoPassphrase, c.Address)
		}
	case err != nil:
		return nil, fmt.Errorf("reading the passphrase: %w", err)
	}
	sessions := scs.New()
	sessions.Store = c.Sessions
	sessions.Lifetime = stayDays * 24 * time.Hour
	sessions.Cookie.Name = "velamen"
	if c.HTTPS {
		sessions.Cookie.Name = "__Host-velamen"
	}
	sessions.Cookie.HttpOnly = true
	sessions.Cookie.SameSite = http.SameSiteLaxMode
	sessions.Cookie.Secure = c.HTTPS
	return &access{
		required: required, secrets: c.Secrets, sessions: sessions,
		attempts: newAttempts(c.Now), hashing: make(chan struct{}, 2),
	}, nil
}

// host refuses names that another site could point at this machine. Where
// people sign in, the session cookie does that.
func (a *access) host(r *http.Request) error {
	if a.required {
		return nil
	}
	name := r.Host
	if host, _, err := net.SplitHostPort(r.Host); err == nil {
		name = host
	}
	ip := net.ParseIP(trimBrackets(name))
	if name == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	return fmt.Errorf("%w: these pages answer to localhost only; to reach them from elsewhere, serve them on another address with a passphrase", errForbidden)
}

func trimBrackets(host string) string {
	if len(host) > 1 && host[0] == '[' && host[len(host)-1] == ']' {
		return host[1 : len(host)-1]
	}
	return host
}

// allow returns nil if a request may do what a route does.
func (a *access) allow(r *http.Request, rt route) error {
	if header := r.Header.Get("Authorization"); header != "" {
		return a.allowMachine(r.Context(), header, rt)
	}
	if a.signedIn(r) || !a.required {
		return nil
	}
	return errSignIn
}

// signedIn reports whether the session was opened with the passphrase that
// holds now.
func (a *access) signedIn(r *http.Request) bool { return noteOf(r).signedIn }

func (a *access) sessionHolds(ctx context.Context) bool {
	mark := a.sessions.GetString(ctx, signedInKey)
	if !a.required || mark == "" {
		return false
	}
	hash, err := a.secrets.PassphraseHash(ctx)
	return err == nil && mark == markOf(hash)
}

// markOf tells one passphrase hash from another without giving it away.
func markOf(hash string) string {
	sum := sha256.Sum256([]byte("session of " + hash))
	return hex.EncodeToString(sum[:])
}
