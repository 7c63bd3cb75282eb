package store

import (
	"errors"
	"fmt"
	"syscall"
	"testing"

	"velamen/internal/care"
)

// What the disk or another program does not allow is told apart, nothing of it is
// kept, and it can be sent again when there is room.
func TestWhyNothingWasKeptIsToldApart(t *testing.T) {
	entry := care.Entry{ID: "0190c000-0000-7000-8000-000000000000", At: fixedNow(), Kind: care.Noted, Plant: plantID}
	for range 2000 {
		entry.Detail.Note += "as long as a page "
	}
	for name, c := range map[string]struct {
		strike, end string
		want        error
	}{
		"full":      {"PRAGMA max_page_count = 1", "PRAGMA max_page_count = 1000000", ErrDiskFull}, // no less than there are
		"read only": {"PRAGMA query_only = 1", "PRAGMA query_only = 0", ErrDiskReadOnly},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := Open(t.Context(), made(t), fixedNow)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if _, err := s.write.ExecContext(t.Context(), c.strike); err != nil {
				t.Fatal(err)
			}
			if _, err := s.Append(t.Context(), []care.Entry{entry}); !errors.Is(err, c.want) {
				t.Errorf("got %v, want %v", err, c.want)
			}
			if n, err := s.Count(t.Context()); err != nil || n != 0 {
				t.Errorf("%d entries are kept, %v", n, err)
			}
			if _, err := s.write.ExecContext(t.Context(), c.end); err != nil {
				t.Fatal(err)
			}
			if _, err := s.Append(t.Context(), []care.Entry{entry}); err != nil {
				t.Error(err)
			}
		})
	}
	t.Run("locked", func(t *testing.T) {
		path := made(t)
		s, err := Open(t.Context(), path, fixedNow)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		if _, err := s.write.ExecContext(t.Context(), "PRAGMA busy_timeout = 1"); err != nil {
			t.Fatal(err)
		}
		other, err := connect(path, writing, 1)
		if err != nil {
			t.Fatal(err)
		}
		defer other.Close()
		tx, err := other.BeginTx(t.Context(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Append(t.Context(), []care.Entry{entry}); !errors.Is(err, ErrLocked) {
			t.Errorf("got %v", err)
		}
		if err := tx.Rollback(); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Append(t.Context(), []care.Entry{entry}); err != nil {
			t.Error(err)
		}
	})
	for system, want := range map[syscall.Errno]error{syscall.ENOSPC: ErrDiskFull, syscall.EROFS: ErrDiskReadOnly, syscall.EIO: ErrDiskFails} {
		if err := unkept(fmt.Errorf("writing a picture: %w", system)); !errors.Is(err, want) || !errors.Is(err, system) {
			t.Errorf("%v is %v", system, err)
		}
	}
	if err := unkept(nil); err != nil {
		t.Error(err)
	}
}
