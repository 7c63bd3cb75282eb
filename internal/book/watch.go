package book

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
)

// warmths remembers how warm each space was, as of one day.
type warmths struct {
	mu     sync.Mutex
	on     time.Time
	around int
	warm   int
	of     map[string]care.Warmth
}

// warmthDays is as far back as measured days count for a watch over pests.
const warmthDays = 120

// warmth returns how warm a space is and was.
func (b *Book) warmth(ctx context.Context, space string) (care.Warmth, error) {
	b.mu.RLock()
	described := care.Space{}
	for _, s := range b.collection.Spaces {
		if strings.EqualFold(s.Name, space) {
			described = s
		}
	}
	around, warm := b.stamp.around, b.stamp.warm
	b.mu.RUnlock()
	today := b.Today()
	b.warm.mu.Lock()
	defer b.warm.mu.Unlock()
	if !b.warm.on.Equal(today) || b.warm.around != around || b.warm.warm != warm {
		b.warm.on, b.warm.around, b.warm.warm, b.warm.of = today, around, warm, map[string]care.Warmth{}
	}
	if w, ok := b.warm.of[space]; ok {
		return w, nil
	}
	days, err := b.Days(ctx, space, today.AddDate(0, 0, -warmthDays), today)
	if err != nil {
		return care.Warmth{}, fmt.Errorf("reading how warm %s was: %w", space, err)
	}
	ahead, _ := b.ahead(space)
	w := care.NewWarmth(described, days, ahead)
	b.warm.of[space] = w
	return w, nil
}

// besides are the pests that were found and are still watched for, by space.
type besides map[string]*beside

type beside struct {
	finds []care.Nearby
	key   strings.Builder // tells one state of it from another
}

func (b besides) at(space string) ([]care.Nearby, string) {
	one := b[strings.ToLower(space)]
	if one == nil {
		return nil, ""
	}
	return one.finds, one.key.String()
}

// finds returns the pests that are watched for on plants that live here on a day,
// by space.
func (b *Book) finds(ctx context.Context, plants []*care.PlantState, on time.Time) (besides, error) {
	found := besides{}
	slices.SortFunc(plants, func(x, y *care.PlantState) int { return CompareLabels(x.Record.Label, y.Record.Label) })
	for _, p := range plants {
		if !p.Ended.IsZero() || !p.MayHavePests() {
			continue
		}
		w, err := b.warmth(ctx, p.Record.Space)
		if err != nil {
			return nil, err
		}
		watches, err := care.PestWatches(p, b.tables, w, nil, on)
		if err != nil {
			continue // its course tells of the same trouble
		}
		space := strings.ToLower(p.Record.Space)
		for _, one := range watches {
			if one.General() {
				continue
			}
			at := found[space]
			if at == nil {
				at = &beside{}
				found[space] = at
			}
			at.finds = append(at.finds, care.Nearby{Plant: p.ID, Label: p.Record.Label, Animal: one.Animal, Found: one.Found})
			fmt.Fprintf(&at.key, "%s %s %s;", p.ID, one.Animal.Key, one.Found.Format(time.DateOnly))
		}
	}
	return found, nil
}

// looks returns the looks for pests that are asked for at a plant.
func (b *Book) looks(ctx context.Context, p *care.PlantState, near []care.Nearby, on time.Time) ([]care.Mark, error) {
	w, err := b.warmth(ctx, p.Record.Space)
	if err != nil {
		return nil, err
	}
	watches, err := care.PestWatches(p, b.tables, w, near, on)
	if err != nil {
		return nil, err
	}
	looks := care.PestLooks(watches, p.Record.Repot.Date)
	// What follows from a look is laid out as if it were done when it is due, and
	// found nothing.
	var list []care.Mark
	then := p.Clone()
	for range mostLooksAhead {
		if len(looks) == 0 {
			return list, nil
		}
		next := looks[0].Date
		for _, m := range looks {
			if m.Date.Before(next) {
				next = m.Date
			}
		}
		if len(list) > 0 && !next.After(on) || next.After(on.AddDate(0, 0, PlanDays)) {
			break
		}
		on = later(on, next)
		for _, m := range looks {
			if !m.Date.After(on) {
				list = append(list, m)
			}
		}
		then.Seen.PestLooks = append(then.Seen.PestLooks, care.PestLookAt{At: on})
		if watches, err = care.PestWatches(then, b.tables, w, near, on); err != nil {
			return nil, err
		}
		looks = care.PestLooks(watches, p.Record.Repot.Date)
	}
	for _, m := range looks {
		if m.Date.After(on) {
			list = append(list, m)
		}
	}
	return list, nil
}

// mostLooksAhead is how many looks for pests are laid out one after the other.
const mostLooksAhead = 6

// Watched is one plant with what is watched for on it.
type Watched struct {
	Plant, Label, Name, Space string
	Watches                   []care.PestWatch
}

// Watches returns what plants are watched for today, general looks left out
// unless one plant is asked for: plant may be empty.
func (b *Book) Watches(ctx context.Context, plant string) ([]Watched, error) {
	today := b.Today()
	plants := b.everyPlant()
	near, err := b.finds(ctx, slices.Clone(plants), today)
	if err != nil {
		return nil, err
	}
	var list []Watched
	for _, p := range plants {
		if plant != "" && p.ID != plant || !p.Ended.IsZero() {
			continue
		}
		beside, _ := near.at(p.Record.Space)
		if plant == "" && len(beside) == 0 && !p.MayHavePests() {
			continue
		}
		w, err := b.warmth(ctx, p.Record.Space)
		if err != nil {
			return nil, err
		}
		watches, err := care.PestWatches(p, b.tables, w, beside, today)
		if err != nil {
			return nil, err
		}
		one := Watched{Plant: p.ID, Label: p.Record.Label, Name: p.Record.Name, Space: p.Record.Space}
		for _, watch := range watches {
			if plant != "" || !watch.General() {
				one.Watches = append(one.Watches, watch)
			}
		}
		if len(one.Watches) > 0 {
			list = append(list, one)
		}
	}
	return list, nil
}

// Looks returns the looks for pests that are asked for at a plant today.
func (b *Book) Looks(ctx context.Context, plant string) ([]care.Mark, error) {
	list, err := b.Watches(ctx, plant)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	s, ok := b.subject(plant)
	if !ok {
		return nil, fmt.Errorf("%w: %s", ErrUnknownPlant, plant)
	}
	return care.PestLooks(list[0].Watches, s.state.Record.Repot.Date), nil
}

// everyPlant returns all plants in the order of their labels.
func (b *Book) everyPlant() []*care.PlantState {
	l := b.list(b.Today())
	var list []*care.PlantState
	for _, one := range l.in(ByLabel) {
		list = append(list, one.state)
	}
	return list
}
