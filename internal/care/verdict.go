package care

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/growth"
	"velamen/science/light"
)

// Verdict is how a plant that was repotted is doing on a day, and why.
type Verdict struct {
	Standing    string    `json:"verdict"` // rooting, holding, stalled, declining, too early to say
	On          time.Time `json:"on"`
	Day         int       `json:"day"` // since the repot
	Says        string    `json:"says"`
	For         []string  `json:"for"`     // what speaks for it
	Against     []string  `json:"against"` // what speaks against it, or is not known
	WouldChange []string  `json:"would_change"`

	Next   *NextLength `json:"next_reading,omitempty"` // the length worth measuring next
	Advice Advice      `json:"advice"`

	Emergency *Emergency `json:"emergency,omitempty"`

	Wilts  bool             `json:"wilts,omitempty"` // less firm than is normal by now
	Judged growth.Judgement `json:"-"`               // what it rests on, in figures
}

// NextLength is the reading worth taking next, and what it would say.
type NextLength struct {
	Root string    `json:"root"`
	On   time.Time `json:"on"`
	Why  string    `json:"why"`
	// From GrowsFromMM on it says that the root grows, up to StandsToMM that it
	// stands still; zero where no reading of that day can say so.
	GrowsFromMM float64 `json:"grows_from_mm,omitempty"`
	StandsToMM  float64 `json:"stands_to_mm,omitempty"`
}

// judging gathers what the verdicts on one plant rest on, on any day.
type judging struct {
	p        *PlantState
	s        *subject
	firstTip basis.Value
	tables   culture.Table
}

func newJudging(c Case, p *PlantState, tables culture.Table) (*judging, error) {
	if len(p.Repots) == 0 {
		return nil, fmt.Errorf("%s has not been repotted yet", p.Record.Label)
	}
	s, err := settle(c, p.Record, tables)
	if err != nil {
		return nil, err
	}
	j := &judging{p: p, s: s, tables: tables}
	j.firstTip, _ = s.rootTimes()
	return j, nil
}

// JudgePlant says how a plant is doing on a day, from what was noted up to the
// end of that day.
func JudgePlant(c Case, p *PlantState, tables culture.Table, on time.Time) (Verdict, error) {
	j, err := newJudging(c, p, tables)
	if err != nil {
		return Verdict{}, err
	}
	return j.verdict(on)
}

func (j *judging) verdict(on time.Time) (Verdict, error) {
	on = midnight(on)
	e, _, err := j.evidence(on)
	if err != nil {
		return Verdict{}, err
	}
	roots, err := RootGrowth(j.p, j.s.group, on)
	if err != nil {
		return Verdict{}, err
	}
	v := Verdict{On: on, Day: j.day(on), Judged: e.Judge()}
	v.Standing, v.Wilts = v.Judged.Standing.String(), v.Judged.Wilts
	v.Says = j.says(e, v.Judged)
	for _, r := range v.Judged.Reasons {
		text := j.reason(r, e)
		if speaksFor(r.Kind, v.Judged.Standing) {
			v.For = append(v.For, text)
		} else {
			v.Against = append(v.Against, text)
		}
	}
	if j.flowers(on) {
		v.Against = append(v.Against, "Flowers last on: that shows stored reserves and counts for nothing here.")
	}
	v.Next = nextLength(roots, on)
	v.Emergency = j.emergency(on)
	v.Advice = j.advice(e, v, on)
	v.WouldChange = j.wouldChange(v)
	return v, nil
}

// day counts from the repot to a calendar day.
func (j *judging) day(on time.Time) int { return daysBetween(midnight(j.s.plant.Repot.Date), on) }

// since reports whether something of a moment belongs to the recovery as it
// stands at the end of a day.
func (j *judging) since(at, on time.Time) bool {
	d := midnight(at)
	return !d.Before(midnight(j.s.plant.Repot.Date)) && !d.After(on)
}

// evidence gathers what was known at the end of a day.
func (j *judging) evidence(on time.Time) (growth.Evidence, Rooting, error) {
	never := math.NaN()
	e := growth.Evidence{Day: float64(j.day(on)), RootsDay: never, TipDay: never, FirstTip: j.firstTip, Rests: j.rests(on)}
	roots, _, err := followRoots(j.p, j.s.group, on)
	if err != nil {
		return e, roots, err
	}
	from := GrowthDay(midnight(j.s.plant.Repot.Date))
	e.Roots = roots.Verdict
	for _, root := range roots.Roots {
		if n := len(root.Track.Steps); n > 0 {
			e.RootsDay = laterDay(e.RootsDay, math.Floor(root.Track.Steps[n-1].Day)-from)
			e.Grew = e.Grew || root.Track.Lengthened()
		}
		for _, r := range root.Readings {
			// A tip that is measured speaks through its lengths.
			if r.Reading.Tip == "growing" && root.Track.RateReadings < 2 && j.since(r.At, on) {
				e.TipDay = laterDay(e.TipDay, math.Floor(GrowthDay(r.At))-from)
			}
		}
	}
	for _, sign := range j.p.Seen.Signs {
		if sign.Sign == NewRootTip && j.since(sign.At, on) {
			e.TipDay = laterDay(e.TipDay, math.Floor(GrowthDay(sign.At))-from)
		}
	}
	e.Turgor = j.turgor(on)
	e.Leaves, e.Bulbs = j.losses(on)
	_, e.Emergency = j.danger(on)
	return e, roots, nil
}

// laterDay is the later of two days, of which the first may be none.
func laterDay(a, b float64) float64 {
	if a > b {
		return a
	}
	return b
}

// turgor are the looks at wrinkles and at limp leaves.
func (j *judging) turgor(on time.Time) []growth.TurgorLook {
	stored := false
	switch j.s.group.Storage.Is {
	case culture.PseudobulbStore, culture.CaneStore, culture.ThickLeafStore:
		stored = true
	}
	var looks []growth.TurgorLook
	before, known := 0, false
	const rightAfterDays = 3
	for _, c := range j.p.Seen.Counts {
		if c.Wrinkle == nil || !j.since(c.At, on) {
			continue
		}
		day := float64(j.day(midnight(c.At)))
		if !known && day <= rightAfterDays {
			before, known = *c.Wrinkle, true
		}
		looks = append(looks, growth.TurgorLook{Day: day, Grade: *c.Wrinkle, Allowed: growth.WrinkleAllowed(day, before, stored)})
	}
	for _, sign := range j.p.Seen.Signs {
		if sign.Sign == LimpLeaves && j.since(sign.At, on) {
			day := float64(j.day(midnight(sign.At)))
			allowed := growth.WrinkleAllowed(day, before, stored)
			grade := allowed // limp for two weeks is normal, and after that one grade too much
			if day > course.SettlingDays.Value {
				grade++
			}
			looks = append(looks, growth.TurgorLook{Day: day, Grade: grade, Allowed: allowed})
		}
	}
	slices.SortStableFunc(looks, func(a, b growth.TurgorLook) int {
		if a.Day != b.Day {
			return int(a.Day - b.Day)
		}
		return a.Grade - b.Grade
	})
	return looks
}

// losses compares counts with what stood there after the repot: the first count
// of its first days, or the record.
func (j *judging) losses(on time.Time) (leaves, bulbs []growth.LossLook) {
	count := func(of func(CountAt) *int, record basis.Value, kept float64, allowed func(day, before float64) float64) []growth.LossLook {
		before := math.NaN()
		if record.Grade == basis.Given || record.Grade == basis.Measured {
			before = math.Round(record.Value * kept)
		}
		var list []growth.LossLook
		const firstDays = 3
		for _, c := range j.p.Seen.Counts {
			n := of(c)
			if n == nil || !j.since(c.At, on) {
				continue
			}
			day := float64(j.day(midnight(c.At)))
			if len(list) == 0 && (day <= firstDays || math.IsNaN(before)) {
				before = float64(*n)
			}
			list = append(list, growth.LossLook{Day: day, Lost: before - float64(*n), Allowed: allowed(day, before)})
		}
		return list
	}
	plant := j.s.plant
	if !shedsLeaves(j.s.group) {
		leaves = count(func(c CountAt) *int { return c.Leaves }, plant.Leaves, plant.Repot.LeavesKept.Value, growth.LeavesAllowed)
	}
	bulbs = count(func(c CountAt) *int { return c.Pseudobulbs }, plant.Pseudobulbs, 1, func(_, before float64) float64 { return growth.BulbsAllowed(before) })
	return leaves, bulbs
}

// danger returns the last emergency sign that is not over: a later look found
// the plant dry and firm, the plant was repotted, or a review says where it
// stands.
func (j *judging) danger(on time.Time) (SignAt, bool) {
	var last SignAt
	for _, sign := range j.p.Seen.Signs {
		switch {
		case !j.since(sign.At, on):
		case sign.Sign.Emergency():
			last = sign
		case sign.Sign == RotGone:
			last = SignAt{}
		}
	}
	if last.Sign == "" {
		return last, false
	}
	for _, r := range j.p.Seen.Reviews {
		if r.Stage != "" && r.At.After(last.At) && j.since(r.At, on) {
			return SignAt{}, false
		}
	}
	for _, r := range j.p.Repots {
		if r.At.After(last.At) && !midnight(r.At).After(on) {
			return SignAt{}, false
		}
	}
	return last, true
}

// shedsLeaves reports whether plants of a group lose their leaves to a rest, so
// that lost leaves say nothing.
func shedsLeaves(g culture.Group) bool {
	return slices.ContainsFunc([]string{"leafless", "dies back", "leaves yellow", "dormancy", "tuber rest", "deciduous", "leaf maturity"}, func(word string) bool {
		return strings.Contains(g.Rest.Is, word)
	})
}

// flowers reports whether the plant carries flowers or a spike, as far as was
// said.
func (j *judging) flowers(on time.Time) bool {
	if j.s.plant.Repot.Flowers != InSpike && j.s.plant.Repot.Flowers != InBloom {
		return false
	}
	for _, spike := range j.p.Seen.Spikes {
		if spike.Cut && j.since(spike.At, on) {
			return false
		}
	}
	return true
}

// rests reports whether a plant in daylight is in the dark half of its year.
func (j *judging) rests(on time.Time) bool {
	if j.s.place.LatitudeDeg.Grade == 0 || j.s.lighting.Shape != light.ClearDayPeak {
		return false
	}
	day, err := light.OnDayOfYear(j.s.place.LatitudeDeg.Value, on.YearDay())
	return err == nil && day.DaylightHours < shortDayHours
}
