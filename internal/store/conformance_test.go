package store_test

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"

	"velamen/internal/store"
	"velamen/internal/store/storetest"
)

var _ scs.CtxStore = store.Sessions{}

func TestSQLiteDoesWhatEveryStoreDoes(t *testing.T) {
	storetest.Run(t, func(t *testing.T, now func() time.Time) (storetest.Collection, storetest.Sessions) {
		s := create(t, filepath.Join(t.TempDir(), "orchids.velamen"), now)
		return s, s.Sessions()
	})
}

func TestMemoryDoesWhatEveryStoreDoes(t *testing.T) {
	storetest.Run(t, func(t *testing.T, now func() time.Time) (storetest.Collection, storetest.Sessions) {
		m := storetest.NewMemory(now)
		return m, m.Sessions()
	})
}

// create makes a collection that is closed at the end of the test.
func create(t testing.TB, path string, now func() time.Time) *store.Store {
	t.Helper()
	s, err := store.Create(t.Context(), path, now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func atStart() time.Time { return storetest.Start }
