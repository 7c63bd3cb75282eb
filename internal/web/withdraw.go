package web

import (
	"context"
	"fmt"

	"velamen/internal/care"
)

// withdrawAll withdraws every entry that still counts and that which picks.
func (s *Server) withdrawAll(ctx context.Context, which func(care.Entry) bool) error {
	standing, err := s.standing(ctx)
	if err != nil {
		return err
	}
	var entries []care.Entry
	for _, e := range standing {
		if !which(e) {
			continue
		}
		entries = append(entries, s.withdrawal(e))
	}
	_, err = s.Book.Append(ctx, entries...)
	return err
}

// withdrawal makes the entry that withdraws another.
func (s *Server) withdrawal(of care.Entry) care.Entry {
	e := s.newEntry(care.Withdrawn, of.Plant, care.Detail{})
	e.Corrects = of.ID
	return e
}

// standing returns the entries of the whole journal that still count.
func (s *Server) standing(ctx context.Context) ([]care.Entry, error) {
	var all []care.Entry
	for e, err := range s.Journal.All(ctx) {
		if err != nil {
			return nil, fmt.Errorf("reading the journal: %w", err)
		}
		all = append(all, e)
	}
	return care.Effective(all, s.Now().AddDate(1, 0, 0)), nil
}
