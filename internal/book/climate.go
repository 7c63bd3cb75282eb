package book

import (
	"context"
	"fmt"
	"reflect"
	"strings"
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

// Hours returns what was measured in a space, hour by hour, by the clocks at the
// place. A store that keeps no readings measured nothing.
func (b *Book) Hours(ctx context.Context, space string, from, until time.Time) ([]care.ClimateHour, error) {
	kept, ok := b.store.(Climate)
	if !ok {
		return nil, nil
	}
	hours, err := kept.ClimateHours(ctx, space, from, until)
	zone := b.zone()
	for i := range hours {
		hours[i].Start = hours[i].Start.In(zone)
	}
	return hours, err
}

// zone is the time zone of the place.
func (b *Book) zone() *time.Location {
	b.mu.RLock()
	name := b.collection.Place.Zone
	b.mu.RUnlock()
	if zone, err := time.LoadLocation(name); err == nil && name != "" {
		return zone
	}
	return b.now().Location()
}

// Measured tells the book that measured climate changed. What had been made of it
// is made anew: the usual climate, how warm days were that are watched for pests,
// and what pots were taught by readings that fell on changed hours.
func (b *Book) Measured(ctx context.Context, changed care.Changed) error {
	if len(changed) == 0 {
		return nil
	}
	today := b.now()
	began := time.Date(today.Year(), today.Month(), today.Day(), 0, 0, 0, 0, today.Location())
	b.mu.Lock()
	late := false // the day under way is none of those that pests are reckoned by
	for _, from := range changed {
		late = late || from.Before(began)
	}
	for id, p := range b.collection.Plants {
		from, here := changed[strings.ToLower(p.Record.Space)]
		if taught := p.Taught(); here && len(taught) > 0 && from.Before(taught[len(taught)-1].At) {
			b.records[id]++
			late = true
		}
	}
	if late {
		b.stamp.all, b.stamp.warm, b.stamp.past = b.stamp.all+1, b.stamp.warm+1, b.stamp.past+1
	}
	b.mu.Unlock()
	if !late {
		return nil
	}
	err := b.settleClimate(ctx)
	b.tellChanged()
	return err
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

// settleClimate works out the usual climate of all spaces of which there are
// readings; where it changed, all courses rest on the new one.
func (b *Book) settleClimate(ctx context.Context) error {
	if _, keeps := b.store.(Climate); !keeps {
		return nil
	}
	from, until := care.ProfileSpan(b.now())
	var spaces []care.Space
	b.Read(func(c *care.Collection) { spaces = c.Spaces })
	fresh := map[string]care.ClimateProfile{}
	for _, s := range spaces {
		hours, err := b.Hours(ctx, s.Name, from, until)
		if err != nil {
			return fmt.Errorf("reading the climate of space %s: %w", s.Name, err)
		}
		if p, ok := care.NewClimateProfile(hours); ok {
			fresh[strings.ToLower(s.Name)] = p
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if !reflect.DeepEqual(b.climate, fresh) && len(b.climate)+len(fresh) > 0 {
		b.climate = fresh
		b.stamp.all, b.stamp.kase, b.stamp.past = b.stamp.all+1, b.stamp.kase+1, b.stamp.past+1
	}
	return nil
}

// Usual returns the usual climate of spaces as it was measured, by their names
// in small letters. It is not to be changed.
func (b *Book) Usual() map[string]care.ClimateProfile {
	b.mu.RLock()
	defer b.mu.RUnlock()
	return b.climate
}

// climateSettled is how often the readings are looked through.
const climateSettled = 10 * time.Minute
