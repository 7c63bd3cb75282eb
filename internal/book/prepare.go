package book

import (
	"context"
	"time"
)

// Prepare works out ahead what a request would have to wait for: the courses of
// all recovering plants, the round, what was done today, the list of plants. It
// does so at once, after every change, and when a day begins, and returns when
// the context ends. A book works without it, too: then the first requests of a
// large collection go without some plants.
func (b *Book) Prepare(ctx context.Context) {
	const untilItMayBeTomorrow = time.Minute
	tick := time.NewTicker(untilItMayBeTomorrow)
	defer tick.Stop()
	b.preparing.Store(true)
	defer b.preparing.Store(false)
	settled := b.now()
	for {
		if now := b.now(); now.Sub(settled) > climateSettled {
			settled = now
			// What fails here fails again when the climate is asked for.
			_ = b.settleClimate(ctx)
		}
		b.prepare(ctx)
		select {
		case <-ctx.Done():
			return
		case <-b.changed:
		case <-tick.C:
		}
	}
}

// Pending returns how many plants recover today, and of how many of them the
// course is yet to be worked out.
func (b *Book) Pending() (pending, of int) {
	b.mu.RLock()
	list := b.recovering(b.Today(), false)
	b.mu.RUnlock()
	_, missing := b.courses.split(list, b.tables)
	return len(missing), len(list)
}

// prepare does it once. What fails here fails again when it is asked for, and is
// told then.
func (b *Book) prepare(ctx context.Context) {
	today := b.Today()
	b.mu.RLock()
	list := b.recovering(today, true)
	b.mu.RUnlock()
	b.courses.letGo(list)
	_, missing := b.courses.split(list, b.tables)
	// One hand fewer than there are, for those who ask meanwhile.
	if b.workOutAll(ctx, missing, max(1, allHands()-1)) != nil {
		return
	}
	_, _, _ = b.Round(ctx, today)
	_, _, _ = b.Done(ctx, today)
	_, _ = b.Find(ctx, Query{To: 1}, today)
}
