package book

import (
	"context"
	"slices"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// ComingDay is the work of one day to come, as it falls due if everything before
// it is done on its day.
type ComingDay struct {
	On    time.Time
	Round plan.Round // without limits: all that is due
}

// MostComingDays is how far ahead work is laid out at once.
const MostComingDays = 366

// comings remembers the days that were laid out last.
type comings struct {
	mu   sync.Mutex // held while they are laid out: others may be waiting for the same
	all  int
	from time.Time
	list []ComingDay
}

// Coming lays out the work of some days from a day on. What is overdue stands
// on the first of them. Plants whose courses are still being worked out or
// cannot be are left out, as in a round. The caller must not change it.
func (b *Book) Coming(ctx context.Context, from time.Time, days int) ([]ComingDay, error) {
	days = min(max(days, 0), MostComingDays)
	b.comings.mu.Lock()
	defer b.comings.mu.Unlock()
	b.mu.RLock()
	all := b.stamp.all
	b.mu.RUnlock()
	if last := &b.comings; last.all == all && last.from.Equal(from) && len(last.list) >= days {
		return last.list[:days:days], nil
	}
	list, pending, err := b.layOut(ctx, from, days)
	if err == nil && !pending {
		b.comings.all, b.comings.from, b.comings.list = all, from, list
	}
	return list, err
}

// layOut is Coming without a memory. pending says that some plants were left out
// that are still being worked out.
func (b *Book) layOut(ctx context.Context, from time.Time, days int) (coming []ComingDay, pending bool, err error) {
	b.mu.RLock()
	list, s := b.recovering(from, true), b.surroundings(from)
	others := b.others(list)
	b.mu.RUnlock()
	near, err := b.finds(ctx, append(others, states(list)...), from)
	if err != nil {
		return nil, false, err
	}
	_, missing := b.courses.split(list, b.tables)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return nil, false, err
	}
	outlines, missing := b.courses.split(list, b.tables)
	byDay := make([][]care.Job, days)
	for i, one := range outlines {
		if one.outline == nil {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, false, err
		}
		p := &list[i]
		future := care.NewCollection()
		state := p.state.Clone()
		future.Plants[p.id] = state
		beside, _ := near.at(state.Record.Space)
		outline, looked := one.outline, true
		for day := range days {
			on := from.AddDate(0, 0, day)
			if !state.Recovering(on) {
				continue
			}
			if looked { // the next looks follow from the last one
				looks, err := b.looks(ctx, state, beside, on)
				if err != nil {
					return nil, false, err
				}
				outline, looked = one.outline.WithLooks(looks), false
			}
			for _, job := range outline.Jobs(state, s.rains, s.outdoors[p.state.Record.Space], on, s.units) {
				byDay[day] = append(byDay[day], job)
				looked = looked || job.Task == care.LookForPests
				future.Apply(care.Entry{At: on.Add(12 * time.Hour), Kind: job.Task.Answers(), Plant: p.id, Detail: care.Detail{Job: job.Key}})
			}
		}
	}
	coming = make([]ComingDay, days)
	for day := range days {
		on := from.AddDate(0, 0, day)
		coming[day] = ComingDay{on, plan.Make(slices.Clone(byDay[day]), s.walk, on, plan.Limits{}, plan.Limits{})}
	}
	return coming, len(missing) > 0, nil
}
