package book

import (
	"context"
	"sync"
	"time"

	"velamen/internal/plan"
)

// ComingDay is the work of one day to come, as it is planned.
type ComingDay struct {
	On    time.Time
	Round plan.Round
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

// Coming lays out the work of some days from a day on, within what each of them
// allows: its first days are those of the plan, and what comes after them is
// planned as far as was asked for. Plants whose courses are still being worked
// out or cannot be are left out, as in a round. The caller must not change it.
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
	p, err := b.Plan(ctx, Ask{From: from, Days: days})
	if err != nil {
		return nil, err
	}
	list := make([]ComingDay, days)
	for day := range list {
		list[day] = ComingDay{p.Days[day].On, p.Round(day)}
		b.fill(&list[day].Round)
	}
	if p.Pending == 0 && !p.Stopped {
		b.comings.all, b.comings.from, b.comings.list = all, from, list
	}
	return list, nil
}
