package book

import (
	"context"
	"fmt"
	"time"

	"velamen/internal/care"
)

// courseOf works out a course, with what was learned from the plant's pot.
func (b *Book) courseOf(s *subject, on time.Time) (care.Course, error) {
	if s.state.PotReadings == 0 {
		return care.FollowCourse(s.basis.kase, s.state, b.tables, on, s.today)
	}
	// What is learned must not depend on the day or on steps, so that an outline
	// says the same as a course.
	planned, err := care.NewCourse(s.basis.kase, s.state.Record, b.tables, s.state.Record.Repot.Date)
	if err != nil {
		return planned, err
	}
	// The hours are read from the store of the book itself, which nobody who
	// waits for the course can call off.
	around, err := b.aroundUntil(context.Background(), s.state, b.now())
	if err != nil {
		return planned, err
	}
	l, err := care.Learn(s.basis.kase, s.state, b.tables, &planned, b.RainsOn(s.state), around)
	if err != nil {
		return planned, err
	}
	return care.FollowLearnedCourse(s.basis.kase, s.state, b.tables, l, on, s.today)
}

// RainsOn returns the rains that fell on a plant.
func (b *Book) RainsOn(p *care.PlantState) []care.Rain {
	b.mu.RLock()
	defer b.mu.RUnlock()
	if !b.collection.Outdoors(p.Record.Space) {
		return nil
	}
	var list []care.Rain
	for _, r := range b.collection.Rains {
		if r.FellOn(p.Record.Space) {
			list = append(list, r)
		}
	}
	return list
}

// aroundDays is how far back the climate is read: further than a pot is followed.
const aroundDays = 60

// Around returns the climate around a plant as far as it was measured.
func (b *Book) Around(ctx context.Context, p *care.PlantState) (care.Around, error) {
	return b.aroundUntil(ctx, p, b.now())
}

func (b *Book) aroundUntil(ctx context.Context, p *care.PlantState, until time.Time) (care.Around, error) {
	if p.Record.Space == "" {
		return care.Around{}, nil
	}
	hours, err := b.Hours(ctx, p.Record.Space, until.AddDate(0, 0, -aroundDays), until)
	if err != nil {
		return care.Around{}, fmt.Errorf("reading the climate of space %s: %w", p.Record.Space, err)
	}
	around := care.Around{Measured: hours}
	around.Ahead, around.AheadOf = b.ahead(p.Record.Space)
	return around, nil
}

// ahead returns the hours of a space from now on that a forecast was handed in
// for, by the clocks at the place, and when that was.
func (b *Book) ahead(space string) (hours []care.ClimateHour, of time.Time) {
	b.mu.RLock()
	f, ok := b.collection.ForeseenIn(space)
	b.mu.RUnlock()
	if !ok {
		return nil, of
	}
	zone := b.zone()
	return f.Hours(b.now().Truncate(time.Hour), zone), f.At.In(zone)
}
