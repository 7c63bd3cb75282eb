package book

import (
	"context"
	"time"

	"velamen/internal/care"
)

// Climate is where summaries of measured climate are kept: of a space, from a
// time until another, that one left out, in order of time. Hours and days in
// which nothing was measured are left out.
type Climate interface {
	ClimateHours(ctx context.Context, space string, from, until time.Time) ([]care.ClimateHour, error)
	ClimateDays(ctx context.Context, space string, from, until time.Time) ([]care.ClimateDay, error)
}

// Hours returns what was measured in a space, hour by hour. A store that keeps
// no readings measured nothing.
func (b *Book) Hours(ctx context.Context, space string, from, until time.Time) ([]care.ClimateHour, error) {
	kept, ok := b.store.(Climate)
	if !ok {
		return nil, nil
	}
	return kept.ClimateHours(ctx, space, from, until)
}

// Days returns what was measured in a space, day by day; from and until are
// calendar days.
func (b *Book) Days(ctx context.Context, space string, from, until time.Time) ([]care.ClimateDay, error) {
	kept, ok := b.store.(Climate)
	if !ok {
		return nil, nil
	}
	return kept.ClimateDays(ctx, space, from, until)
}
