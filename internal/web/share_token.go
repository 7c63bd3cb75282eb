package web

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"

	"velamen/internal/store"
)

// What a link shows, and what may be done with it.
const (
	linkRound    = "round"
	linkPlant    = "plant"
	linkCalendar = "calendar" // of a space by its name, or of a plant by linkPlant:id

	linkReads = "read"
	linkTicks = "tick"
)

// errLinkEnded is told whoever follows a link that does not hold any more.
var errLinkEnded = fmt.Errorf("%w: this link has ended, or was taken back; ask for another", errForbidden)

// signedLink is the token of a link: its id and its end, and a signature over
// everything it says with the key of its own row (HMAC with SHA-256, RFC 2104).
// Nothing of it can be changed without the key, which never leaves the store.
func signedLink(l store.Link) (string, error) {
	id, err := uuid.Parse(l.ID)
	if err != nil {
		return "", err
	}
	token := binary.BigEndian.AppendUint64(id[:], uint64(l.Expires.Unix()))
	return base64.RawURLEncoding.EncodeToString(append(token, signature(l)...)), nil
}

func signature(l store.Link) []byte {
	sum := hmac.New(sha256.New, l.Key)
	fmt.Fprintf(sum, "velamen link 1\n%s\n%d\n%q\n%q\n%q", l.ID, l.Expires.Unix(), l.Sort, l.Subject, l.Scope)
	return sum.Sum(nil)
}

const linkTokenBytes = 16 + 8 + sha256.Size

// linkOf returns the link that a token stands for, if it is whole, kept, and has
// not ended. It does not tell a forged one from one that was taken back.
func (s *Server) linkOf(ctx context.Context, token, sort string) (store.Link, error) {
	content, err := base64.RawURLEncoding.DecodeString(token)
	// Written otherwise, with line breaks or other bits at its end, it is not ours.
	if err != nil || len(content) != linkTokenBytes || base64.RawURLEncoding.EncodeToString(content) != token {
		return store.Link{}, errLinkEnded
	}
	id, err := uuid.FromBytes(content[:16])
	if err != nil {
		return store.Link{}, errLinkEnded
	}
	l, err := s.Secrets.LinkOf(ctx, id.String())
	if errors.Is(err, store.ErrNotFound) {
		return l, errLinkEnded
	}
	if err != nil {
		return l, fmt.Errorf("looking up a link: %w", err)
	}
	if int64(binary.BigEndian.Uint64(content[16:24])) != l.Expires.Unix() || !hmac.Equal(content[24:], signature(l)) {
		return store.Link{}, errLinkEnded
	}
	if !s.Now().Before(l.Expires) || sort != "" && l.Sort != sort {
		return store.Link{}, errLinkEnded
	}
	return l, nil
}

// newLink makes a link with a key of its own and keeps it.
func (s *Server) newLink(ctx context.Context, l store.Link) (store.Link, error) {
	l.ID, l.Key = newID(), make([]byte, sha256.Size)
	l.Expires = l.Expires.UTC().Truncate(time.Second)
	if _, err := rand.Read(l.Key); err != nil {
		return l, fmt.Errorf("no randomness: %w", err)
	}
	if err := s.Secrets.AddLink(ctx, l); err != nil {
		return l, fmt.Errorf("keeping a link: %w", err)
	}
	return l, nil
}
