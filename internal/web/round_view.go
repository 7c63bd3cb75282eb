package web

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// roundView is the day's work in walking order.
type roundView struct {
	frame
	Day, Date    string
	Preview      bool // of a day to come: nothing can be entered
	Before, Next string
	Tallies      []tally
	HasLimits    bool
	Off          bool   // no time at all
	Setup        string // minutes for going and mixing

	Outdoors bool // there is a space that rain reaches
	Rain     rainForm
	Rains    []rainView

	Pending      int    // plants that are still being worked out
	Part         bool   // of the round is shown one space alone
	Whole        string // where all of it is
	Open         bool   // something is still to be done
	Stops        []stopView
	Waits        []waitView
	WaitsCount   int
	WaitsMinutes string
	Rest         []partView // where the jobs are that are not shown here
	Reasons      []reason
	Done         []doneView
	MoreDone     int
	Troubles     []trouble
	MoreTroubles int

	By       string
	Measures string // how numbers are typed here, for the modules
}

// tally is what a day needs of one thing that runs short, against what it
// allows. The shares are of the bar's whole width.
type tally struct {
	Name, Need, Limit, Done                   string
	Short                                     bool // not everything fits
	DoneShare, FitsShare, WaitsShare, LimitAt float64
}

// stopView is the part of a round in one space.
type stopView struct {
	Space, Sum string
	Plants     []plantJobs
	More       int    // jobs that follow those shown
	All        string // where they are; empty where they come in sight as these are done
}

// plantJobs is what is to be done at one plant.
type plantJobs struct {
	Path, Label, Name string
	Jobs              []jobView
}

// jobView is one job with its form.
type jobView struct {
	ID, Key, Plant, Label string
	Entry                 string // id of the entry that will answer it
	Next                  string // id of the job to go on with
	Task, Amount, Minutes string
	Since                 string // since when it is due, if not today
	Late                  bool
	DueOn                 string // where it is done before it is due
	ML, Water             string // what is poured, and of which water
	Can, CanPath          string // of feed: the batch it is poured from, and where that stands
	Why                   string // id of its reasons
	Cost                  string // of waiting, where it waits

	Button string // what one tap says; empty where a value is needed
	More   string // what the part with the values is called
	Keep   string // the button at its end
	Value  string // what that button sends
	Fields []field
	Skips  []string

	Picture string // where a picture is taken

	Part  bool   // it stands on the page of one space, to be gone back to
	Space string // which
}

// waitView is a job that does not fit today.
type waitView struct {
	Path, Label, Name, Space string
	Job                      jobView
}

// reason is what stands behind one or several jobs.
type reason struct {
	ID  string
	Why *becauseView
}

// roundMaker turns the jobs of a round into what is shown.
type roundMaker struct {
	s        *Server
	on       time.Time
	part     part
	units    care.Units
	walk     []string // spaces
	outdoors bool
	reasons  []reason
	told     map[string]string // ids of reasons, by what they say
	known    map[*care.Because]string
}

// rootKnown is a marked root and when it was last measured.
type rootKnown struct{ Mark, Last string }

func (s *Server) newRoundMaker() *roundMaker {
	m := &roundMaker{s: s, told: map[string]string{}, known: map[*care.Because]string{}}
	s.Book.Read(func(c *care.Collection) {
		m.units = c.Settings.Units
		for _, space := range c.Spaces {
			m.walk = append(m.walk, space.Name)
		}
		m.outdoors = slices.ContainsFunc(c.Spaces, func(one care.Space) bool { return one.Kind == care.Terrace })
	})
	return m
}

// roots are the marked roots of a plant that may still be there.
func (m *roundMaker) roots(plant string) (list []rootKnown) {
	m.s.Book.Read(func(c *care.Collection) {
		p := c.Plants[plant]
		if p == nil {
			return
		}
		for mark, readings := range p.Roots {
			last := readings[len(readings)-1]
			if last.At.Before(p.Record.Repot.Date) {
				continue // it may have been cut off
			}
			list = append(list, rootKnown{mark, fmt.Sprintf("%s on %s", rootLength.inUnits(m.units, last.Reading.LengthMM), last.At.Format("2 Jan"))})
		}
	})
	slices.SortFunc(list, func(a, b rootKnown) int { return strings.Compare(a.Mark, b.Mark) })
	return list
}

func (m *roundMaker) job(job care.Job) jobView {
	v := m.form(job.Key, job.Plant, job.Task)
	v.Label, v.Amount, v.Minutes = job.Label, job.Amount, shownMinutes(job.Minutes.Value)
	if job.ML > 0 {
		v.ML, v.Water = strconv.FormatFloat(job.ML, 'f', 0, 64), job.Water
	}
	if job.Batch != "" && m.on.Equal(m.s.Book.Today()) {
		v.Can, v.CanPath = job.Batch, "/water#"+batchID(job.Batch)
	}
	switch {
	case job.Due.Before(m.on):
		v.Since = job.Due.Format("2 Jan")
	case job.Due.After(m.on):
		v.DueOn = job.Due.Format("Mon 2 Jan")
	}
	v.Late = job.Latest.Before(m.on)
	v.Why = m.why(job.Because)
	v.Part, v.Space = m.part.alone, m.part.space
	return v
}

// why returns the id of a job's reasons, each of which is told once.
func (m *roundMaker) why(b *care.Because) string {
	if b == nil {
		return ""
	}
	if id, ok := m.known[b]; ok {
		return id
	}
	shown := newBecause(m.units, b, 0, "")
	says := fmt.Sprintf("%q", *shown)
	id, ok := m.told[says]
	if !ok {
		id = fmt.Sprintf("why%d", len(m.reasons))
		m.told[says] = id
		m.reasons = append(m.reasons, reason{id, shown})
	}
	m.known[b] = id
	return id
}

// elementID is the id of a job on its page: the same however often the page is
// made.
func elementID(key string) string {
	sum := fnv.New32a()
	sum.Write([]byte(key))
	return fmt.Sprintf("j%08x", sum.Sum32())
}

// linkNext lets every job know which one follows, to go on there.
func linkNext(v *roundView) {
	var all []*jobView
	for i := range v.Stops {
		for j := range v.Stops[i].Plants {
			jobs := v.Stops[i].Plants[j].Jobs
			for k := range jobs {
				all = append(all, &jobs[k])
			}
		}
	}
	for i := range v.Waits {
		all = append(all, &v.Waits[i].Job)
	}
	for i, job := range all {
		job.Next = "done"
		if i+1 < len(all) {
			job.Next = all[i+1].ID
		}
	}
}

func (m *roundMaker) minutes(day plan.Round) tally {
	return newTally("Minutes", day.Done.Minutes, day.Fits.Minutes, day.Need.Minutes, day.Limits.Minutes, shownMinutes)
}

func (m *roundMaker) litres(day plan.Round) tally {
	return newTally("Water", day.Done.Litres, day.Fits.Litres, day.Need.Litres, day.Limits.Litres, func(l float64) string { return shownLitres(m.units, l) })
}

func newTally(name string, done, fits, need, limit float64, show func(float64) string) tally {
	t := tally{Name: name, Need: show(need)}
	if limit > 0 {
		t.Limit = show(limit)
	}
	if done > 0 {
		t.Done = show(done)
	}
	waits := need - fits
	t.Short = waits > 1e-9
	whole := max(done+need, limit)
	if whole > 0 {
		share := func(x float64) float64 { return math.Round(1000*x/whole) / 10 }
		t.DoneShare, t.FitsShare, t.WaitsShare = share(done), share(fits), share(waits)
		if limit > 0 {
			t.LimitAt = share(limit)
		}
	}
	return t
}

// shownMinutes writes a time as it can be planned with.
func shownMinutes(minutes float64) string {
	switch {
	case minutes <= 0:
		return "0 min"
	case minutes < 9.95:
		return strconv.FormatFloat(math.Round(10*minutes)/10, 'f', -1, 64) + " min"
	case minutes < 90:
		return fmt.Sprintf("%.0f min", minutes)
	}
	whole := int(math.Round(minutes))
	return fmt.Sprintf("%d h %02d min", whole/60, whole%60)
}

// shownLitres writes an amount of water as it is carried: in litres, or in
// gallons.
func shownLitres(u care.Units, litres float64) string {
	unit := " L"
	if w, ok := dayLitres.writing("gal"); ok && u.Inches {
		litres, unit = litres/w.factor, " gal"
	}
	if litres != 0 && litres < 9.95 {
		return strconv.FormatFloat(math.Round(10*litres)/10, 'f', -1, 64) + unit
	}
	return fmt.Sprintf("%.0f", litres) + unit
}

// inUnits writes a kept value in the grower's unit.
func (m measure) inUnits(u care.Units, value float64) string {
	w, ok := m.writing(m.usual(u))
	if !ok {
		w = m.writings[0]
	}
	return m.show(value, w)
}

func orWord(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}
