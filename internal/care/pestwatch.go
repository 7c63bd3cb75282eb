package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pest"
)

// PestWatch is the watch for one pest at one plant, or the general look when none
// was seen. All days are calendar days.
type PestWatch struct {
	Animal  culture.Pest // without a key for the general look
	Beside  string       // label of the plant beside it on which it was found; empty for its own
	Found   time.Time    // when it was last found, here or beside
	Note    string       // what was said of that find
	Treated time.Time    // zero: not since it was found
	From    time.Time    // what the windows count from: the find or the treatment

	Earliest, Due, Latest time.Time // of the next look; Latest zero: not within a year
	Number, Of            int       // which repeat it is; 0 for looks between and after them
	Split                 bool      // no one day catches all: repeats follow closely
	Paused                bool      // too cold for a date: only the next look is dated
	Until                 time.Time // earliest end of the watch; zero when that cannot be promised

	CleanLooks       int     // since then, without it
	Gathered, Needed float64 // of a generation between the first and the last of them, °C·d or days
	ByDegreeDays     bool
	Over             bool // the watch may end

	Because *Because
}

// General reports whether nothing in particular is looked for.
func (w PestWatch) General() bool { return w.Animal.Key == "" }

// Nearby is a pest that was found on a plant of a space.
type Nearby struct {
	Plant, Label string
	Animal       culture.Pest
	Found        time.Time
}

// pestWatching is the common practice of looks.
var (
	generalEveryDays = basis.Exactly(14, "days", basis.CommonPractice, "")
	// besideDays is how soon the plants beside a find are looked at.
	besideDays = basis.Assumed(2, 1, 7, "days")
	cleanLooks = basis.Assumed(2, 2, 3, "looks")
)

// PestWatches returns what a plant is watched for on a day, the soonest first.
// What was found and has been gone for a generation is left out. recovering asks
// for the general looks of the six weeks after a repot; beside are the finds on
// the other plants of its space.
func PestWatches(p *PlantState, tables culture.Table, w Warmth, beside []Nearby, on time.Time) ([]PestWatch, error) {
	on = midnight(on)
	var list []PestWatch
	finds, err := p.pestFinds(tables, on)
	if err != nil {
		return nil, err
	}
	looked := lastLook(p, on)
	for _, find := range finds {
		one, err := p.watch(find, w, on)
		if err != nil {
			return nil, fmt.Errorf("%s, %s: %w", p.Record.Label, find.Animal.Name, err)
		}
		if !one.Over {
			list = append(list, one)
		}
	}
	for _, near := range beside {
		found := midnight(near.Found)
		own := slices.ContainsFunc(list, func(w PestWatch) bool { return w.Animal.Key == near.Animal.Key })
		if near.Plant == p.ID || own || found.After(on) || !looked.Before(found) {
			continue
		}
		list = append(list, PestWatch{
			Animal: near.Animal, Beside: near.Label, Found: found, From: found, Earliest: found,
			Due: found.AddDate(0, 0, int(besideDays.Value)), Latest: found.AddDate(0, 0, int(besideDays.High)),
			Because: &Because{Rule: "pests walk and are carried from plant to plant in one space: look at the plants beside a find soon", Inputs: []Input{{"after the find", besideDays}}},
		})
	}
	if general, due := p.generalLook(on, looked); due && len(list) == 0 {
		list = append(list, general)
	}
	slices.SortStableFunc(list, func(a, b PestWatch) int {
		return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Animal.Name, b.Animal.Name))
	})
	return list, nil
}

// pestFind is one kind of pest that was found on a plant, with the last find and
// the last treatment after it.
type pestFind struct {
	Animal         culture.Pest
	Found, Treated time.Time
	Note           string
}

// pestFinds returns what was found up to a day, each kind once; what is harmless
// is left out.
func (p *PlantState) pestFinds(tables culture.Table, on time.Time) ([]pestFind, error) {
	var list []pestFind
	find := func(at time.Time, name, note string) error {
		animal, err := tables.Pest(name)
		if err != nil || animal.Harmless || midnight(at).After(on) {
			return err
		}
		i := slices.IndexFunc(list, func(f pestFind) bool { return f.Animal.Key == animal.Key })
		if i < 0 {
			i = len(list)
			list = append(list, pestFind{Animal: animal})
		}
		if d := midnight(at); !d.Before(list[i].Found) {
			list[i].Found, list[i].Note = d, note
		}
		return nil
	}
	for _, r := range p.Repots {
		at := r.Repot.Date
		if at.IsZero() {
			at = r.At
		}
		for _, name := range r.Repot.Pests {
			if err := find(at, name, "seen at the repot"); err != nil {
				return nil, err
			}
		}
	}
	for _, look := range p.Seen.PestLooks {
		if look.Pest == "" {
			continue
		}
		if err := find(look.At, look.Pest, look.Note); err != nil {
			return nil, err
		}
	}
	for i := range list {
		for _, t := range p.Seen.Treatments {
			d := midnight(t.At)
			if d.Before(list[i].Found) || d.After(on) {
				continue
			}
			if t.Pest != "" {
				if animal, err := tables.Pest(t.Pest); err != nil || animal.Key != list[i].Animal.Key {
					continue
				}
			}
			list[i].Treated = latest(list[i].Treated, d)
		}
	}
	return list, nil
}

// lastLook is the day of the last look up to a day. Whoever repots a plant sees
// all of it, roots too.
func lastLook(p *PlantState, on time.Time) time.Time {
	var last time.Time
	for _, r := range p.Repots {
		if d := midnight(r.At); !d.After(on) {
			last = latest(last, d)
		}
	}
	for _, look := range p.Seen.PestLooks {
		if d := midnight(look.At); !d.After(on) {
			last = latest(last, d)
		}
	}
	return last
}

// generalLook is the look that is due when nothing was seen: every two weeks in
// the six weeks after a repot.
func (p *PlantState) generalLook(on, looked time.Time) (PestWatch, bool) {
	if len(p.Repots) == 0 || !p.Ended.IsZero() {
		return PestWatch{}, false
	}
	repot := midnight(p.Record.Repot.Date)
	every := int(generalEveryDays.Value)
	from := latest(repot, looked)
	due := from.AddDate(0, 0, every)
	if daysBetween(repot, due) > 3*every {
		return PestWatch{}, false
	}
	return PestWatch{
		From: from, Earliest: from.AddDate(0, 0, every/2), Due: due, Latest: due.AddDate(0, 0, 2),
		Because: &Because{Rule: "every two weeks in the six weeks after a repot, though no pest was seen: what survived as eggs has hatched by then", Inputs: []Input{{"look every", generalEveryDays}}},
	}, true
}

// visit is one look of a plan.
type visit struct {
	earliest, due, latest time.Time
	number                int
	split                 bool
}

// watch plans the looks for one pest and says which is next.
func (p *PlantState) watch(f pestFind, w Warmth, on time.Time) (PestWatch, error) {
	one := PestWatch{Animal: f.Animal, Found: f.Found, Note: f.Note, Treated: f.Treated, From: latest(f.Found, f.Treated)}
	var clean []time.Time // days of looks since, without it
	for _, look := range p.Seen.PestLooks {
		d := midnight(look.At)
		if d.After(one.From) && !d.After(on) && (len(clean) == 0 || d.After(clean[len(clean)-1])) {
			clean = append(clean, d)
		}
	}
	one.CleanLooks = len(clean)
	temperatures := w.from(one.From)
	plan, err := one.plan(w, temperatures)
	if err != nil {
		return one, err
	}
	if err := one.clear(clean, temperatures); err != nil {
		return one, err
	}
	// Each clean look does the first look that is still open and may be done by
	// then.
	next := 0
	for _, d := range clean {
		if next < len(plan) && !d.Before(plan[next].earliest) {
			next++
		}
	}
	last := one.From
	if len(clean) > 0 {
		last = clean[len(clean)-1]
	}
	fortnight := last.AddDate(0, 0, int(generalEveryDays.Value))
	if next < len(plan) {
		v := plan[next]
		one.Earliest, one.Due, one.Latest, one.Number, one.Split = v.earliest, v.due, v.latest, v.number, v.split
		if v.number == 0 && fortnight.Before(v.due) {
			one.Due = fortnight
		}
	} else {
		one.Earliest, one.Due = last.AddDate(0, 0, 1), fortnight
	}
	if one.Earliest.After(one.Due) {
		one.Earliest = one.Due
	}
	if one.Latest.IsZero() && one.Number == 0 {
		one.Latest = one.Due.AddDate(0, 0, 2)
	}
	return one, nil
}

// plan lays out the looks: by degree-days where egg and generation are known, by
// the days known for three temperatures otherwise.
func (one *PestWatch) plan(w Warmth, t pest.Temperatures) ([]visit, error) {
	mean := w.mean(t, int(generalEveryDays.Value))
	one.Because = &Because{Inputs: []Input{{"mean of the first two weeks", mean}, {"a look at least every", generalEveryDays}, {"clean looks, a generation apart", cleanLooks}}}
	if cycle, ok := lifeCycle(one.Animal); ok {
		one.ByDegreeDays = true
		return one.degreeDays(cycle, t)
	}
	s := one.Animal.Schedule
	if !s.Known {
		one.Because.Rule = "nothing is known of its pace: the general look"
		return nil, nil
	}
	if lower, known := coldest(one.Animal); known && mean.Value < lower+2 {
		one.Paused = true
		one.Because.Rule = "too near the temperature below which it does not develop: it rests or crawls, and no date is promised"
		return nil, nil
	}
	first, watch := daysAt(s.FirstRecheck, mean.Value), daysAt(s.KeepWatching, mean.Value)
	one.Because.Rule = "each day counts for its share of the time that a look back takes at its temperature, between the days known for 15, 20 and 25 °C"
	one.Because.Inputs = append(one.Because.Inputs, Input{"look back after", first}, Input{"watch for", watch})
	one.Needed = watch.Value
	var plan []visit
	from := 0
	for number := 1; number <= int(math.Round(s.Passes.High)); number++ {
		v := visit{number: number}
		early, due, late := paceDays(s.FirstRecheck, t, from, soonest), paceDays(s.FirstRecheck, t, from, usually), paceDays(s.FirstRecheck, t, from, latestEnd)
		due = min(due, from+int(generalEveryDays.Value))
		v.earliest, v.due, v.latest = t.Start.AddDate(0, 0, min(early, due)), t.Start.AddDate(0, 0, due), t.Start.AddDate(0, 0, max(late, due)+1)
		plan = append(plan, v)
		from = due
	}
	one.Of = len(plan)
	end := t.Start.AddDate(0, 0, paceDays(s.KeepWatching, t, 0, usually))
	one.Until = end
	for due := t.Start.AddDate(0, 0, from+int(generalEveryDays.Value)); due.Before(end); due = due.AddDate(0, 0, int(generalEveryDays.Value)) {
		plan = append(plan, visit{earliest: due.AddDate(0, 0, -int(generalEveryDays.Value)/2), due: due})
	}
	if last := plan[len(plan)-1]; end.After(last.due) {
		plan = append(plan, visit{earliest: end, due: end})
	}
	return plan, nil
}

// degreeDays lays out the looks by package pest.
func (one *PestWatch) degreeDays(cycle pest.LifeCycle, t pest.Temperatures) ([]visit, error) {
	r, err := pest.AfterTreatment(cycle, t)
	if err != nil {
		return nil, err
	}
	one.Paused, one.Until, one.Of = r.Paused, r.WatchUntil, len(r.Passes)
	one.Because.Rule = "a look back lies after most eggs have hatched, at 1.1 times their degree-days, and before the first survivor lays; single sine with a horizontal cut-off"
	if one.Paused {
		one.Because.Rule = "too near the temperature below which it does not develop: it rests or crawls, and no date is promised"
	}
	one.Because.Inputs = append(one.Because.Inputs, Input{"degree-days of the egg", cycle.Egg.DegreeDays}, Input{"above", cycle.Egg.LowerC},
		Input{"degree-days of a generation", cycle.Generation.DegreeDays})
	var plan []visit
	for i, p := range r.Passes {
		plan = append(plan, visit{earliest: p.Earliest, due: p.Due, latest: p.Latest, number: i + 1, split: p.Split})
	}
	for _, look := range r.Looks {
		plan = append(plan, visit{earliest: look.AddDate(0, 0, -3), due: look})
	}
	slices.SortStableFunc(plan, func(a, b visit) int { return a.due.Compare(b.due) })
	return plan, nil
}

// clear says whether the watch may end: clean looks in a row that span a
// generation.
func (one *PestWatch) clear(clean []time.Time, t pest.Temperatures) error {
	if one.ByDegreeDays {
		cycle, _ := lifeCycle(one.Animal)
		var checks []pest.Sighting
		for _, d := range clean {
			if daysBetween(t.Start, d) >= warmthDays { // so long after it is over by any measure
				one.Over = len(clean) >= int(cleanLooks.Value)
				return nil
			}
			checks = append(checks, pest.Sighting{Day: d})
		}
		c, err := pest.Cleared(checks, cycle.Generation, t)
		if err != nil {
			return err
		}
		one.Over, one.Gathered, one.Needed = c.Cleared, c.GatheredDegreeDays, c.NeededDegreeDays
		return nil
	}
	if len(clean) > 0 {
		one.Gathered = float64(daysBetween(clean[0], clean[len(clean)-1]))
	}
	if one.Needed == 0 {
		one.Needed = generalEveryDays.Value
	}
	one.Over = !one.Paused && len(clean) >= int(cleanLooks.Value) && one.Gathered >= one.Needed
	return nil
}

// The ends of a band.
const (
	soonest = iota
	usually
	latestEnd
)

// paceDays returns the day on which what takes so many days at each temperature
// is done, from a day on: each day counts for its share.
func paceDays(by culture.ByTemperature, t pest.Temperatures, from, end int) int {
	done := 0.0
	for day := from; ; day++ {
		i := min(day, len(t.MinC)-1)
		v := daysAt(by, (t.MinC[i]+t.MaxC[i])/2)
		done += 1 / math.Max(1, [...]float64{v.Low, v.Value, v.High}[end])
		if done >= 1-1e-9 || day-from >= 365 {
			return day + 1
		}
	}
}

// coldest is the highest temperature below which any stage of an animal does not
// develop.
func coldest(animal culture.Pest) (lowerC float64, known bool) {
	for _, s := range animal.Stages {
		if s.ThresholdC.Known && (!known || s.ThresholdC.Value.Value > lowerC) {
			lowerC, known = s.ThresholdC.Value.Value, true
		}
	}
	return lowerC, known
}
