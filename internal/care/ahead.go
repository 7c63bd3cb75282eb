package care

import (
	"fmt"
	"math"
	"time"
)

// Coming is something that is or will be due at a plant. Days count from the
// first day of the plan it is for.
type Coming struct {
	Task   Task
	Due    int // may lie before the first day
	First  int // the first day on which it can be done
	Latest int // after it, waiting costs something
	Last   int // the last day on which it can be done: from then on the next one is due

	Fed    bool // a flush whose last pour carries feed
	FeedBy int  // the day the feed is due
	ML     float64
	Water  string
	Feed   string // what is mixed for it

	// FeedML is how much of ML carries the feed, and FeedWater what it is mixed
	// with.
	FeedML    float64
	FeedWater string

	Wait *Delay
	// Sunk is what waiting has cost already, LeftOut what it costs to leave it
	// out, both from Latest on.
	Sunk, LeftOut float64
	FeedLeftOut   float64

	// Before says that it is done before days without anybody, and Return that it
	// is the first thing after them.
	Before, Return bool
}

// CostOn returns what it costs in stress days to do it on a day.
func (c *Coming) CostOn(day int) float64 { return math.Max(0, c.Wait.After(day-c.Latest)-c.Sunk) }

// Horizon is what a plan looks at.
type Horizon struct {
	From     time.Time
	Days     int
	Rains    []Rain
	Outdoors bool
	// Closed are days on which nobody looks after the plants; it may be nil.
	Closed []bool
}

func (h *Horizon) closed(day int) bool { return day >= 0 && day < len(h.Closed) && h.Closed[day] }

// reopens returns the first day from one on which somebody is there.
func (h *Horizon) reopens(day int) int {
	for h.closed(day) {
		day++
	}
	return day
}

// Ahead returns what is due at a plant on the first day of a plan, and what will
// be in the days that follow if everything is done when it is due. Each has a
// window of its own; the windows of one chain never overlap.
func (o *Outline) Ahead(p *PlantState, h Horizon) []Coming {
	a := &chain{o: o, p: p, h: h, repot: daysBetween(h.From, midnight(o.Repot))}
	a.looks()
	a.regular(MeasureRoots, 7, 3, latest(midnight(o.Repot), p.LastRootsRead), lateReading)
	every := int(photographEveryDays.Value)
	a.regular(Photograph, every, every-1, latest(midnight(o.Repot), p.LastPhotograph), latePicture)
	a.water()
	return a.list
}

// ComingOf makes what comes of jobs that are due on a day already.
func ComingOf(jobs []Job, from time.Time) []Coming {
	list := make([]Coming, len(jobs))
	for i := range jobs {
		j := &jobs[i]
		wait := j.Wait
		if wait == nil {
			wait = lateLook
		}
		due, latest := daysBetween(from, j.Due), daysBetween(from, j.Latest)
		c := Coming{Task: j.Task, Due: due, Latest: max(due, latest), Last: 14, Wait: wait}
		c.Sunk = wait.After(-c.Latest)
		c.LeftOut = math.Max(wait.After(c.Last+1-c.Latest)-c.Sunk, wait.After(1))
		list[i] = c
	}
	return list
}

// chain collects what comes at one plant.
type chain struct {
	o     *Outline
	p     *PlantState
	h     Horizon
	repot int
	list  []Coming
}

func (a *chain) dayOf(t time.Time) int {
	if t.IsZero() {
		return a.repot
	}
	return max(daysBetween(a.h.From, midnight(t)), a.repot)
}

func (a *chain) date(day int) time.Time { return a.h.From.AddDate(0, 0, day) }

// answered reports whether a job needs no answer any more, and whether it was
// skipped on the first day.
func (a *chain) answered(task Task, due int) (done, skippedToday bool) {
	if len(a.p.Done) == 0 {
		return false, false
	}
	answer, ok := a.p.Done[a.key(task, due)]
	if !ok {
		return false, false
	}
	return !answer.Skipped, answer.Skipped && !midnight(answer.At).Before(a.h.From)
}

func (a *chain) key(task Task, due int) string { return keyOf(a.p.ID, task, a.date(due)) }

func keyOf(plant string, task Task, due time.Time) string {
	return plant + "/" + string(task) + "/" + due.Format(time.DateOnly)
}

// add adds one of a chain, unless it was answered.
func (a *chain) add(c Coming) {
	if c.First >= a.h.Days || c.Last < 0 {
		return
	}
	done, skipped := a.answered(c.Task, c.Due)
	if done {
		return
	}
	c.First = max(0, c.First)
	if skipped {
		c.First = max(1, c.First)
		c.Last = max(c.Last, 1)
	}
	c.Sunk = c.Wait.After(-c.Latest)
	if c.LeftOut == 0 {
		// One day more than the last on which it could have been done.
		c.LeftOut = math.Max(c.Wait.After(c.Last+1-c.Latest), c.Wait.After(1)) - c.Sunk
		c.LeftOut = math.Max(c.LeftOut, c.Wait.After(1))
	}
	a.list = append(a.list, c)
}

// looks adds the looks and reviews that stand in the course.
func (a *chain) looks() {
	week := 7
	for i := range a.o.marks {
		m := &a.o.marks[i]
		wait, answered := lateReview, a.p.LastReview
		if m.Task == LookForPests {
			wait, answered = lateLook, a.p.LastPestLook
		}
		// A watch knows of the looks there were.
		if m.Latest.IsZero() && !answered.IsZero() && !midnight(answered).Before(m.Date.AddDate(0, 0, -week+1)) {
			continue
		}
		due := daysBetween(a.h.From, m.Date)
		if n := len(a.list); n > 0 && a.list[n-1].Task == m.Task && a.list[n-1].Due == due {
			continue // two pests are one look
		}
		latest := due + 2
		if !m.Latest.IsZero() {
			latest = max(due, daysBetween(a.h.From, m.Latest))
		}
		a.add(Coming{Task: m.Task, Due: due, First: due, Latest: latest, Last: max(due, 0) + 14, Wait: wait})
	}
	a.oneLookAtATime()
}

// oneLookAtATime ends what is still to be looked for before the next look begins
// that follows from it.
func (a *chain) oneLookAtATime() {
	for i := range a.list {
		c := &a.list[i]
		for _, next := range a.list[i+1:] {
			if c.Task == LookForPests && next.Task == c.Task && next.First > c.First {
				c.Last = min(c.Last, next.First-1)
				break
			}
		}
	}
}

// regular adds a task that comes again after so many days, with some days of
// grace.
func (a *chain) regular(task Task, every, grace int, since time.Time, wait *Delay) {
	for due := a.dayOf(since) + every; due < a.h.Days; {
		at := a.h.reopens(max(due, 0))
		c := Coming{Task: task, Due: due, First: due, Latest: due + grace, Last: at + every - 1, Wait: wait}
		if at > due {
			c.First = at
		}
		a.add(c)
		due = at + every
	}
}

// water adds flushes with their feeds, waterings between them, and the further
// wettings of a mount.
func (a *chain) water() {
	last := a.dayOf(a.p.LastFlush)
	now := a.o.week(a.h.From).pouring
	if a.h.Outdoors {
		for _, rain := range a.h.Rains {
			if at := daysBetween(a.h.From, midnight(rain.At)); rain.MM >= now.rainMM && at > last && at <= 0 && rain.FellOn(a.o.Space) {
				last = at
			}
		}
	}
	feedEvery := max(1, int(math.Round(a.o.feedEveryDays)))
	feedDue := a.dayOf(a.p.LastFeed) + feedEvery
	watered := a.dayOf(a.p.LastWatered)
	if midnight(a.p.LastFlush).Equal(a.h.From) && feedDue <= 0 { // it was flushed already, and the feed is still to come
		c := Coming{Task: Feeding, Due: feedDue, First: 0, Latest: feedDue + 3, Last: max(0, feedDue) + feedEvery, Wait: lateFeed, Feed: a.feed(0)}
		c.FeedML, c.FeedWater = a.fed(0)
		c.ML, c.Water = c.FeedML, c.FeedWater
		a.add(c)
		feedDue = feedEvery
	}
	f := a.o.week(a.date(max(last, 0))).pouring
	if last < 0 {
		f = now
	}
	due := last + rhythmOf(f)
	if due > 0 {
		a.between(f, max(last, watered), last, due)
	}
	end := -1 // of the window before
	for due < a.h.Days {
		at := a.h.reopens(max(due, 0))
		f = a.o.week(a.date(at)).pouring
		every := rhythmOf(f)
		early := (every - 1) / 2
		c := Coming{
			Task: Flushing, Due: due, First: max(end+1, due-early), Latest: due, Last: at + every - 1 - early, ML: f.total.Value, Water: f.water, Wait: f.late,
		}
		if at > max(due, 0) {
			c.First, c.Return = at, true
			a.refresh(c, due, at, every, f)
		}
		fed, notToday := a.answered(Feeding, feedDue)
		switch {
		case feedDue > at || notToday && at == 0:
		case fed:
			feedDue = at + feedEvery
		default:
			c.Fed, c.FeedBy, c.FeedLeftOut, c.Feed = true, feedDue, lateFeed.After(feedEvery), a.feed(at)
			c.FeedML, c.FeedWater = a.fed(at)
			feedDue = at + feedEvery
		}
		a.add(c)
		end = c.Last
		next := at + every
		a.between(f, at, at, min(next, a.h.Days))
		due = next
	}
	a.wettings()
}

func rhythmOf(f *pouring) int { return max(1, int(f.every.Value.Value)) }

// refresh adds a flush on the day before nobody is there any more: it shortens
// the time for which the plant has to wait.
func (a *chain) refresh(c Coming, due, back, every int, f *pouring) {
	leave := due
	for leave > 0 && !a.h.closed(leave) {
		leave--
	}
	for leave > 0 && a.h.closed(leave-1) {
		leave--
	}
	leave-- // the last day with somebody
	if leave < 0 || leave >= due || leave+every <= due {
		return
	}
	c.First, c.Last, c.Latest, c.Before, c.Return = max(0, leave-1), leave, leave, true, false
	c.LeftOut = math.Max(0.001, f.late.After(back-due)-f.late.After(back-leave-every))
	a.add(c)
}

// between adds the waterings between a flush and the next.
func (a *chain) between(f *pouring, since, flushed, next int) {
	if f.between == nil {
		return
	}
	every := max(1, f.waterEvery)
	for due := max(since, flushed) + every; due < next && due < a.h.Days; {
		at := a.h.reopens(max(due, 0))
		if at >= next {
			return
		}
		early := (every - 1) / 2
		a.add(Coming{
			Task: Watering, Due: due, First: max(due-early, 0), Latest: due, Last: min(at+every-1-early, next-1),
			ML: f.between.Value.Value, Water: f.water, Wait: f.lateBetween,
		})
		due = at + every
	}
}

// wettings adds what a mount is wetted further on a day. It cannot be made up
// for on the next.
func (a *chain) wettings() {
	for day := range a.h.Days {
		f := a.o.week(a.date(day)).pouring
		if f.wettings <= 1 || a.h.closed(day) {
			continue
		}
		missed := float64(f.wettings-1) / float64(f.wettings)
		a.add(Coming{Task: Misting, Due: day, First: day, Latest: day, Last: day, ML: 0.2 * f.total.Value, Water: f.water, Wait: f.late, LeftOut: missed * math.Max(f.late.After(1), 0.1)})
	}
}

func (a *chain) feed(day int) string {
	if d := a.o.week(a.date(max(0, day))).dose; d != nil {
		return d.Feed + "\x00" + d.Water
	}
	return ""
}

// fed is what the feed of a day pours, mL, and of which water it is.
func (a *chain) fed(day int) (mL float64, of string) {
	week := a.o.week(a.date(max(0, day)))
	of = week.pouring.water
	if week.dose != nil {
		of = week.dose.Water
	}
	return week.pouring.total.Value / max(1, week.pouring.pours), of
}

// JobsOf puts one thing that comes into words, for the day on which it is done:
// a flush may bring its feed with it.
func (o *Outline) JobsOf(p *PlantState, c *Coming, from, on time.Time, u Units) []Job {
	week := o.week(on)
	f := week.pouring
	due := from.AddDate(0, 0, c.Due)
	job := Job{
		Key: keyOf(p.ID, c.Task, due), Plant: p.ID, Label: p.Record.Label, Name: p.Record.Name, Space: o.Space, Task: c.Task,
		Earliest: from.AddDate(0, 0, min(c.First, c.Due)), Due: due, Latest: from.AddDate(0, 0, c.Latest), ML: c.ML, Water: c.Water, Minutes: minutesFor[c.Task], Wait: c.Wait,
	}
	switch c.Task {
	case Flushing:
		job.Amount, job.Because = f.amount(u), f.every.Because
		if !c.Fed {
			break
		}
		fed := f.total.Value / max(1, f.pours)
		job.Amount += ", the last pour fed"
		job.ML = f.total.Value - fed
		by := from.AddDate(0, 0, c.FeedBy)
		feed := job
		feed.Key, feed.Task, feed.Earliest, feed.Due, feed.Latest = keyOf(p.ID, Feeding, by), Feeding, by, by, by.AddDate(0, 0, 3)
		feed.Amount, feed.ML, feed.Minutes, feed.Because, feed.Wait = "at "+u.Show(week.feeding.Value), fed, minutesFor[Feeding], week.feeding.Because, lateFeed
		if week.dose != nil {
			feed.Water, feed.Dose = week.dose.Water, week.dose
		}
		return []Job{job, feed}
	case Feeding:
		job.Amount, job.Because, job.Dose = "at "+u.Show(week.feeding.Value), week.feeding.Because, week.dose
		job.ML = f.total.Value / max(1, f.pours)
	case Watering:
		if f.between != nil {
			job.Amount, job.Because = u.Show(f.between.Value)+" of plain water", f.between.Because
		}
	case Misting:
		job.Amount, job.Because = f.further(), f.every.Because
	case MeasureRoots:
		job.Amount, job.Because = "two or three marked tips", measureWeekly
	case Photograph:
		job.Amount, job.Because = "the same side, with a scale", pictureFortnightly
	case LookForPests, Review:
		for i := range o.marks {
			if m := &o.marks[i]; m.Task == c.Task && m.Date.Equal(due) {
				if job.Amount != "" {
					job.Amount += "; "
				}
				job.Amount += m.What
				if job.Because == nil {
					job.Because = m.Because
				}
			}
		}
	}
	return []Job{job}
}

// amount is what a flush pours, in the reader's units.
func (f *pouring) amount(u Units) string {
	text := u.Show(f.total)
	if f.pours > 1 {
		text += fmt.Sprintf(" in %.0f pours, %.0f min between", f.pours, f.waitMinutes)
	}
	return text
}

// further says how often a mount is wetted again on a day.
func (f *pouring) further() string {
	if f.wettings == 2 {
		return "one more wetting today, hours later"
	}
	return fmt.Sprintf("%d more wettings today, hours apart", f.wettings-1)
}
