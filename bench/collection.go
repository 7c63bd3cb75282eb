package main

import (
	"context"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
)

// benchSpace is the space in which the logger's file was measured.
const benchSpace = "shelf"

// sampleCollection makes a collection with a space and nothing else.
func (b *bench) sampleCollection(ctx context.Context, path string) error {
	s, err := store.Create(ctx, path, time.Now)
	if err != nil {
		return err
	}
	e := care.Entry{ID: storetest.ID(1), At: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC), Kind: care.SpaceSet}
	e.Detail.Space = &care.Space{Name: benchSpace}
	if _, err := s.Append(ctx, []care.Entry{e}); err != nil {
		return err
	}
	return s.Close()
}
