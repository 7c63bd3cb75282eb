package store

import (
	"bytes"
	"errors"
	"path/filepath"
	"testing"
	"time"
)

func TestLinksComeAndGo(t *testing.T) {
	s, err := Create(t.Context(), filepath.Join(t.TempDir(), "orchids.velamen"), fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	made := Link{ID: "0190b5c2-7d3e-7000-8000-0123456789ab", Name: "Ada", Sort: "round", Subject: "shelf", Scope: "tick", Key: bytes.Repeat([]byte{7}, 32), Expires: fixedNow().AddDate(0, 0, 14)}
	if err := s.AddLink(t.Context(), made); err != nil {
		t.Fatal(err)
	}
	if err := s.AddLink(t.Context(), made); !errors.Is(err, ErrExists) {
		t.Errorf("the same id again: %v", err)
	}
	got, err := s.LinkOf(t.Context(), made.ID)
	if err != nil || got.Name != "Ada" || got.Subject != "shelf" || got.Scope != "tick" || !bytes.Equal(got.Key, made.Key) || !got.Expires.Equal(made.Expires) || got.Made.Sub(fixedNow()).Abs() > time.Second {
		t.Errorf("kept is %+v, %v", got, err)
	}
	for _, wrong := range []Link{{ID: "short"}, {ID: "0190b5c2-7d3e-7000-8000-0123456789ac", Sort: "all", Scope: "read", Key: made.Key}, {ID: "0190b5c2-7d3e-7000-8000-0123456789ac", Sort: "round", Scope: "write", Key: made.Key}, {ID: "0190b5c2-7d3e-7000-8000-0123456789ac", Sort: "round", Scope: "read", Key: []byte("short")}} {
		if err := s.AddLink(t.Context(), wrong); err == nil {
			t.Errorf("%+v was kept", wrong)
		}
	}
	if list, err := s.Links(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("listed are %v, %v", list, err)
	}
	if err := s.RemoveLink(t.Context(), made.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := s.LinkOf(t.Context(), made.ID); !errors.Is(err, ErrNotFound) {
		t.Errorf("taken back: %v", err)
	}
	if err := s.RemoveLink(t.Context(), made.ID); !errors.Is(err, ErrNotFound) {
		t.Errorf("taken back twice: %v", err)
	}
}
