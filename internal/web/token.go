package web

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"
)

// tokenPrefix lets a person and a scanner tell what a stray token belongs to.
const tokenPrefix = "vlm_"

// newToken makes a token. Its secret is returned once and kept nowhere.
func newToken(name string, scope Scope, now time.Time) (t Token, secret string, err error) {
	random := make([]byte, 32)
	if _, err := rand.Read(random); err != nil {
		return t, "", fmt.Errorf("no randomness: %w", err)
	}
	secret = tokenPrefix + base64.RawURLEncoding.EncodeToString(random)
	return Token{ID: uuid.NewString(), Name: name, Scope: scope, Hash: hashToken(secret), Made: now}, secret, nil
}

// hashToken needs no salt and no cost: the secret is 256 random bits.
func hashToken(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// allowMachine returns nil if the token in a header covers a route. Machines
// read, and write entries; the settings are for people.
func (a *access) allowMachine(ctx context.Context, header string, rt route) error {
	secret, ok := strings.CutPrefix(header, "Bearer ")
	if !ok {
		return errSignIn
	}
	tokens, err := a.secrets.Tokens(ctx)
	if err != nil {
		return fmt.Errorf("reading the tokens: %w", err)
	}
	hash := []byte(hashToken(strings.TrimSpace(secret)))
	for _, t := range tokens {
		if subtle.ConstantTimeCompare(hash, []byte(t.Hash)) != 1 {
			continue
		}
		switch {
		case rt.people, rt.method != http.MethodGet && !rt.machines:
			return fmt.Errorf("%w: no token covers this", errForbidden)
		case rt.method != http.MethodGet && t.Scope != WriteScope:
			return fmt.Errorf("%w: this token may only read", errForbidden)
		}
		return nil
	}
	return errSignIn
}
