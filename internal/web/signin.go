package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
)

func signInRoutes(on *router) {
	on.get("/sign-in", (*Server).showSignIn, anyone)
	on.post("/sign-in", (*Server).signIn, anyone, upTo(4<<10))
	on.post("/sign-out", (*Server).signOut)
}

// signInView asks for the passphrase.
type signInView struct {
	frame
	Passphrase field
	Then       string // page to go on to
}

// signInPath leads to the sign-in page and back.
func signInPath(r *http.Request) string {
	if r.Method != http.MethodGet || r.URL.Path == "/" {
		return "/sign-in"
	}
	return "/sign-in?then=" + url.QueryEscape(r.URL.Path)
}

// ownPath returns a path of this server, whatever was asked for.
func ownPath(path string) string {
	u, err := url.Parse(path)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(path, "/") || strings.HasPrefix(path, "//") || strings.Contains(path, `\`) {
		return "/"
	}
	return path
}

func (s *Server) showSignIn(w http.ResponseWriter, r *http.Request) error {
	if !s.access.required || s.access.signedIn(r) {
		return seeOther(w, r, ownPath(r.URL.Query().Get("then")))
	}
	return s.askPassphrase(w, r, http.StatusOK, ownPath(r.URL.Query().Get("then")), "")
}

func (s *Server) askPassphrase(w http.ResponseWriter, r *http.Request, status int, then, problem string) error {
	v := &signInView{Then: then, Passphrase: field{
		Name: "passphrase", Label: "Passphrase", Type: "password", Complete: "current-password", Required: true, Error: problem,
	}}
	v.Title = "Sign in"
	return s.render(w, r, status, "sign-in.html", v)
}

func (s *Server) signIn(w http.ResponseWriter, r *http.Request) error {
	if !s.access.required {
		return seeOther(w, r, "/")
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	then := ownPath(f.text("then"))
	if !s.access.attempts.allow(r) {
		return s.askPassphrase(w, r, http.StatusTooManyRequests, then, "Too many attempts. Wait a minute, then try again.")
	}
	err = s.access.open(r.Context(), r.PostForm.Get("passphrase"))
	switch {
	case errors.Is(err, errPassphrase):
		return s.askPassphrase(w, r, http.StatusUnprocessableEntity, then, "This is not the passphrase.")
	case err != nil:
		return err
	}
	return seeOther(w, r, then)
}

// open signs the session in.
func (a *access) open(ctx context.Context, passphrase string) error {
	hash, err := a.secrets.PassphraseHash(ctx)
	if err != nil {
		return fmt.Errorf("reading the passphrase: %w", err)
	}
	if len(passphrase) > longestPassphrase {
		return errPassphrase
	}
	select {
	case a.hashing <- struct{}{}:
		defer func() { <-a.hashing }()
	case <-ctx.Done():
		return ctx.Err()
	}
	if err := checkPassphrase(hash, passphrase); err != nil {
		return err
	}
	// A fresh token: one known from before the sign-in must not gain from it.
	if err := a.sessions.RenewToken(ctx); err != nil {
		return fmt.Errorf("opening the session: %w", err)
	}
	a.sessions.Put(ctx, signedInKey, markOf(hash))
	return nil
}

func (s *Server) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := s.access.sessions.Destroy(r.Context()); err != nil {
		return fmt.Errorf("ending the session: %w", err)
	}
	return seeOther(w, r, "/sign-in")
}
