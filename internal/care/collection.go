package care

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// Collection is everything the journal says, as of the last entry applied.
type Collection struct {
	Place      Place
	Spaces     []Space // in walking order
	Spots      []SpotState
	EarlyLight []EarlyLight // readings at spots that are not described yet
	Foreseen   []ForeseenAt // the last forecast of each space
	Waters     []Water
	Feeds      []Feed
	Routine    Routine
	Settings   Settings
	Rains      []Rain      // in order of time
	Cases      []KeptCase  // in order of time
	Cleaned    []CleanedAt // blades, in order of time

	Tanks     []Tank
	Stocks    []Stock      // the last reading of each
	Batches   []MixedAt    // of the last weeks, in order of time
	Membranes []MembraneAt // in order of time
	Mixing    Mixing

	Aways []AwayAt // in the order in which they were told

	PlannedAnew Noting // when a new plan was last asked for
	Relimited   Noting // when it was last said what days allow

	Plants map[string]*PlantState
}

// Noting is when something was noted, and in which entry.
type Noting struct {
	At    time.Time
	Entry string
}

// Compare tells which of two comes first: of one instant, the entry that was made
// first.
func (n Noting) Compare(other Noting) int {
	return cmp.Or(n.At.Compare(other.At), strings.Compare(n.Entry, other.Entry))
}

// KeptCase is somebody else's case that was kept.
type KeptCase struct {
	Entry string
	At    time.Time
	CaseText
}

// Rain is one fall of rain on the outdoor spaces, or on one of them.
type Rain struct {
	Entry string
	At    time.Time
	MM    float64
	Where string // empty: every outdoor space
	By    string
}

// FellOn reports whether the rain reached an outdoor space.
func (r Rain) FellOn(space string) bool { return r.Where == "" || strings.EqualFold(r.Where, space) }

// Outdoors reports whether a space lies under the open sky.
func (c *Collection) Outdoors(space string) bool {
	return slices.ContainsFunc(c.Spaces, func(s Space) bool { return s.Kind == Terrace && strings.EqualFold(s.Name, space) })
}

// PlantState is what the journal says of one plant.
type PlantState struct {
	ID     string
	Record Plant // with the last repot
	Added  time.Time

	Repots     []Repotting // in order of time; the last one is in Record too
	Aftermaths []Aftermath // what followed each of them, but for the roots

	LastFlush, LastWatered, LastFeed, LastMist, LastWeighed time.Time
	LastRootsRead, LastPestLook, LastPhotograph             time.Time
	LastReview                                              time.Time
	Roots                                                   map[string][]RootAt // per marked root, in order of time
	Seen                                                    Seen                // what else was seen and decided
	Pot                                                     []PotEvent          // since the repot, in order of time; the oldest are let go
	PotReadings                                             int                 // since the repot: how often something was read off the pot
	Done                                                    map[string]Answer   // per job key: what was done about it, as long as it matters
	Pours                                                   []Pour              // of the last weeks, in order of time
	PlannedRepot                                            time.Time           // the day set for its next repot, if one is

	Ended    time.Time // zero while it lives here
	EndedHow Kind      // PlantLost or PlantLeft
	Entries  int       // how many entries speak of it
	Latest   time.Time // of the last of them
}

// Repotting is one repot with the time it was done.
type Repotting struct {
	At    time.Time
	Repot Repot
}

// RootAt is one reading of a root.
type RootAt struct {
	At      time.Time
	Entry   string
	Reading RootReading
}

// Answer is what an entry said about a job.
type Answer struct {
	Entry    string
	At       time.Time
	By       string
	Skipped  bool
	Reason   string
	VolumeML float64 // what was poured, as far as it was entered
	Others   int     // further entries that answer the same job
}

// NewCollection returns an empty collection.
func NewCollection() *Collection { return &Collection{Plants: map[string]*PlantState{}} }

// Recovering reports whether a plant is alive, here, and was disturbed within
// the last year before a day.
func (p *PlantState) Recovering(on time.Time) bool {
	if !p.Ended.IsZero() || len(p.Repots) == 0 {
		return false
	}
	since := on.Sub(p.Record.Repot.Date)
	return since >= 0 && since < 366*24*time.Hour
}

// Case returns the collection as the course engine reads it.
func (c *Collection) Case() Case {
	return Case{Place: c.Place, Spaces: c.Spaces, Spots: c.Spots, Waters: c.Waters, Feeds: c.Feeds, Routine: c.Routine}
}

// Replay returns the collection that entries describe up to a time, the
// entries of that instant included. The order of the argument does not matter.
func Replay(entries []Entry, until time.Time) *Collection {
	c := NewCollection()
	for _, e := range Effective(entries, until) {
		c.Apply(e)
	}
	return c
}

// Effective returns the entries that count up to a time, in the order in which
// they happened: each corrected entry has given way to the last correction of
// it, and withdrawn ones are gone. A correction counts from when it was
// recorded on, whatever time it speaks of, so a past state is what is now known
// of it.
func Effective(entries []Entry, until time.Time) []Entry {
	replacedBy := map[string]Entry{}
	for _, e := range entries {
		if e.Corrects == "" {
			continue
		}
		// Ids are made in order of time: of two corrections the later wins.
		if other, ok := replacedBy[e.Corrects]; !ok || e.ID > other.ID {
			replacedBy[e.Corrects] = e
		}
	}
	var list []Entry
	seen := map[string]bool{}
	for _, e := range entries {
		if e.Corrects != "" || seen[e.ID] {
			continue
		}
		seen[e.ID] = true
		for hops := 0; hops <= len(entries); hops++ {
			next, ok := replacedBy[e.ID]
			if !ok {
				break
			}
			e = next
		}
		if e.Kind == Withdrawn || e.At.After(until) {
			continue
		}
		list = append(list, e)
	}
	slices.SortStableFunc(list, func(a, b Entry) int {
		return cmp.Or(a.At.Compare(b.At), strings.Compare(a.ID, b.ID))
	})
	return list
}

// Apply adds one entry, which must not be older than those applied before it
// and must not be a correction. Entries about plants that are not known are
// passed over: their plant may arrive later, from another device.
func (c *Collection) Apply(e Entry) {
	d := e.Detail
	switch e.Kind {
	case PlaceSet:
		c.Place = *d.Place
	case SpaceSet:
		c.Spaces = replace(c.Spaces, *d.Space, func(s Space) string { return s.Name })
	case SpotSet, LightReadAt:
		c.applySpot(e)
	case ForecastIn:
		c.applyForeseen(e)
	case WaterSet:
		c.Waters = replace(c.Waters, *d.Water, func(w Water) string { return w.Name })
	case FeedSet:
		c.Feeds = replace(c.Feeds, *d.Feed, func(f Feed) string { return f.Name })
	case RoutineSet:
		c.Routine = *d.Routine
	case SettingsSet:
		if !d.Settings.allowsAs(&c.Settings) {
			c.Relimited = Noting{e.At, e.ID}
		}
		c.Settings = *d.Settings
	case TankSet:
		c.Tanks = replace(c.Tanks, *d.Tank, func(t Tank) string { return t.Water })
	case StockRead:
		c.stockRead(e)
	case BatchMade:
		c.mixed(e)
	case MixingSet:
		c.Mixing = *d.Mixing
	case MembraneRead:
		c.Membranes = append(slices.Clip(c.Membranes), MembraneAt{d.WaterName, *d.Membrane, e.At, e.ID})
	case CaseKept:
		c.Cases = append(slices.Clip(c.Cases), KeptCase{Entry: e.ID, At: e.At, CaseText: *d.Case})
	case AwaySet:
		c.Aways = append(slices.Clip(c.Aways), AwayAt{*e.Detail.Away, e.ID})
		c.Relimited = Noting{e.At, e.ID}
	case PlanAnew:
		c.PlannedAnew = Noting{e.At, e.ID}
	case RainFell:
		c.Rains = append(c.Rains, Rain{Entry: e.ID, At: e.At, MM: *d.RainMM, Where: d.Where, By: e.By})
	case BladeCleaned:
		c.Cleaned = append(c.Cleaned, CleanedAt{e.At, e.ID, d.Blade, d.How})
	case PlantSet:
		c.setPlant(e)
	default:
		if p := c.Plants[e.Plant]; p != nil {
			p.apply(e)
		}
	}
}

// replace puts one in the place of the element with the same name, or at the
// end.
func replace[T any](list []T, one T, name func(T) string) []T {
	i := slices.IndexFunc(list, func(t T) bool { return strings.EqualFold(name(t), name(one)) })
	if i < 0 {
		return append(slices.Clip(list), one)
	}
	list = slices.Clone(list)
	list[i] = one
	return list
}

// setPlant adds a plant or changes its record. What is under way stays: the
// repot and, unless the new record names one, the space.
func (c *Collection) setPlant(e Entry) {
	id := e.Plant
	p := c.Plants[id]
	if p == nil {
		p = &PlantState{ID: id, Added: e.At, Roots: map[string][]RootAt{}, Done: map[string]Answer{}}
		c.Plants[id] = p
	}
	repot, space, spot := p.Record.Repot, p.Record.Space, p.Record.Spot
	p.Record = *e.Detail.Plant
	p.Record.Repot = repot
	if p.Record.Space == "" {
		p.Record.Space = space
	}
	if p.Record.Spot == "" && strings.EqualFold(p.Record.Space, space) {
		p.Record.Spot = spot
	}
	p.Entries++
	p.Latest = e.At
}

func (p *PlantState) apply(e Entry) {
	p.Entries++
	p.Latest = e.At
	p.Seen.apply(e)
	p.follow(e)
	defer p.notePot(e)
	d := e.Detail
	switch e.Kind {
	case RepotPlanned:
		p.PlannedRepot = d.PlannedFor
	case RepotDone:
		p.PlannedRepot = time.Time{}
		p.Repots = append(p.Repots, Repotting{At: e.At, Repot: *d.Repot})
		p.Record.Repot = *d.Repot
		if p.Record.Repot.Date.IsZero() {
			p.Record.Repot.Date = midnight(e.At)
		}
		p.LastFlush = p.Record.Repot.Date
	case WaterGiven:
		p.LastWatered = e.At
		p.pour(e)
	case FlushDone:
		p.LastFlush = e.At
		p.pour(e)
	case FeedDone:
		p.LastFeed, p.LastFlush = e.At, e.At // it runs through like any watering
		p.pour(e)
	case MistDone:
		p.LastMist = e.At
		p.pour(e)
	case Weighed:
		p.LastWeighed = e.At
	case RootsRead:
		p.LastRootsRead = e.At
		for _, r := range d.Roots {
			p.Roots[r.Root] = append(p.Roots[r.Root], RootAt{At: e.At, Entry: e.ID, Reading: r})
		}
	case PestLook:
		p.LastPestLook = e.At
		if d.Pest != "" && !slices.Contains(p.Record.Repot.Pests, d.Pest) {
			p.Record.Repot.Pests = append(slices.Clip(p.Record.Repot.Pests), d.Pest)
		}
	case Photographed:
		p.LastPhotograph = e.At
	case Moved:
		p.Record.Space, p.Record.Spot = d.ToSpace, d.ToSpot
	case Reviewed:
		p.LastReview = e.At
	case PlantLost, PlantLeft:
		p.Ended, p.EndedHow = e.At, e.Kind
	}
	if d.Job != "" {
		answer := Answer{Entry: e.ID, At: e.At, By: e.By, Skipped: e.Kind == Skipped, Reason: d.Reason}
		if d.VolumeML != nil {
			answer.VolumeML = *d.VolumeML
		}
		if before, ok := p.Done[d.Job]; ok {
			answer.Others = before.Others + 1
		}
		p.Done[d.Job] = answer
		p.forget(e.At)
	}
}

// answersKept is how long an answer is kept that no job can ask for any more.
const answersKept = 14 * 24 * time.Hour

// forget drops what was answered long ago and cannot be asked again, so that the
// state of a plant does not grow with its journal: the next flush is due after
// the last one, so whatever was answered about an earlier one has had its day.
func (p *PlantState) forget(at time.Time) {
	for key, a := range p.Done {
		if at.Sub(a.At) < answersKept {
			continue
		}
		task, due, ok := taskDue(key)
		if a.Skipped || ok && !due.After(p.passed(task, at)) {
			delete(p.Done, key)
		}
	}
}

// passed is the day from which on a task can no more be due up to that day.
func (p *PlantState) passed(task Task, at time.Time) time.Time {
	switch task {
	case Flushing:
		return midnight(p.LastFlush)
	case Watering:
		return midnight(latest(p.LastFlush, p.LastWatered))
	case Feeding:
		return midnight(p.LastFeed)
	case MeasureRoots:
		return midnight(p.LastRootsRead)
	case Photograph:
		return midnight(p.LastPhotograph)
	case Misting: // due on its day alone
		return midnight(at).AddDate(0, 0, -1)
	}
	return time.Time{}
}

// Clone returns a copy to which entries can be applied without changing p.
func (p *PlantState) Clone() *PlantState {
	c := *p
	c.Repots = slices.Clip(p.Repots)
	c.Aftermaths = cloneAftermaths(p.Aftermaths)
	c.Roots = make(map[string][]RootAt, len(p.Roots))
	for mark, readings := range p.Roots {
		c.Roots[mark] = slices.Clip(readings)
	}
	c.Done = maps.Clone(p.Done)
	c.Seen = p.Seen.clip()
	c.Pot = slices.Clip(p.Pot)
	return &c
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// ByLabel returns the plant with a label, or an error that says so.
func (c *Collection) ByLabel(label string) (*PlantState, error) {
	for _, p := range c.Plants {
		if strings.EqualFold(p.Record.Label, label) {
			return p, nil
		}
	}
	return nil, fmt.Errorf("no plant has the label %q", label)
}
