package web

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"velamen/internal/store"
)

// Whoever sends what cannot be kept learns what was wrong, what was kept and what
// to do, and nothing of the machine.
func TestWhatCannotBeKeptIsTold(t *testing.T) {
	for kind, want := range map[error]struct {
		status int
		words  string
	}{
		store.ErrDiskFull:     {http.StatusInsufficientStorage, "Make room"},
		store.ErrDiskReadOnly: {http.StatusServiceUnavailable, "can be written"},
		store.ErrDiskFails:    {http.StatusServiceUnavailable, "velamen backup"},
		store.ErrLocked:       {http.StatusServiceUnavailable, "Close the other program"},
	} {
		p := problemOf(fmt.Errorf("adding to the journal: %w: /home/grower/orchids.velamen", kind))
		if p.Status != want.status || !strings.HasPrefix(p.Detail, keptNothing) || !strings.Contains(p.Detail, want.words) || strings.Contains(p.Detail, "/home") {
			t.Errorf("%v: %+v", kind, p)
		}
	}
}
