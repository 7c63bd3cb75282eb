package web

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"velamen/internal/store"
)

// scope is what a machine's token covers. Writing includes reading.
type scope string

const (
	readScope  scope = "read"
	writeScope scope = "write"
	// sensorScope is for devices that stand about: it covers sending readings and
	// nothing else.
	sensorScope scope = "readings"
)

var scopes = []scope{readScope, writeScope, sensorScope}

// tokenPrefix lets a person and a scanner tell what a stray token belongs to.
const tokenPrefix = "vlm_"

// newToken makes the token of a machine. It is shown once and kept as a hash.
func newToken() (string, error) {
	random := make([]byte, 32)
	if _, err := rand.Read(random); err != nil {
		return "", fmt.Errorf("no randomness: %w", err)
	}
	return tokenPrefix + base64.RawURLEncoding.EncodeToString(random), nil
}

// tokenIn returns the token in a header: a bearer's, or the password of a program
// that knows names and passwords only (RFC 6750, RFC 7617).
func tokenIn(header string) (string, bool) {
	if token, ok := strings.CutPrefix(header, "Bearer "); ok {
		return token, true
	}
	r := http.Request{Header: http.Header{"Authorization": {header}}}
	_, password, ok := r.BasicAuth()
	return password, ok
}

// allowMachine returns nil if the token in a header covers a route. Machines
// read, and write entries; the settings are for people.
func (a *access) allowMachine(ctx context.Context, header string, rt route) error {
	token, ok := tokenIn(header)
	if !ok {
		return errSignIn
	}
	machine, err := a.secrets.MachineOf(ctx, strings.TrimSpace(token))
	switch {
	case errors.Is(err, store.ErrNotFound):
		return errSignIn
	case err != nil:
		return fmt.Errorf("looking up a token: %w", err)
	case scope(machine.Scope) == sensorScope:
		if rt.sensors {
			return nil
		}
		return fmt.Errorf("%w: this token may only send readings", errForbidden)
	case scope(machine.Scope) != readScope && scope(machine.Scope) != writeScope:
		return fmt.Errorf("%w: what this token covers is not known", errForbidden)
	case rt.people, rt.method != http.MethodGet && !rt.machines:
		return fmt.Errorf("%w: no token covers this", errForbidden)
	case rt.method != http.MethodGet && !rt.harmless && scope(machine.Scope) != writeScope:
		return fmt.Errorf("%w: this token may only read", errForbidden)
	}
	return nil
}
