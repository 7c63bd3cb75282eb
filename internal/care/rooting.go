package care

import (
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/growth"
)

// Rooting is what the marked roots of a plant say since its last repot.
type Rooting struct {
	Verdict growth.Verdict
	Roots   []MarkedRoot // in the order of their marks
	Prior   basis.Value  // rate of roots in full growth that is believed of the group
	Judge   growth.Judge
}

// MarkedRoot is one root with its readings and what they come to.
type MarkedRoot struct {
	Mark     string
	Readings []RootAt // since the last repot up to the day, in order of time
	Track    growth.Track
	Evidence growth.RootEvidence
}

// rootRates are the rates of roots in full growth by family. Groups that only
// borrow a family's figures get the range of all orchids.
var rootRates = map[culture.Family]basis.Value{
	culture.PhalaenopsisFamily:  growth.PhalaenopsisRate,
	culture.VandaFamily:         growth.VandaRate,
	culture.CattleyaFamily:      growth.CattleyaRate,
	culture.DendrobiumFamily:    growth.DendrobiumRate,
	culture.OncidiumFamily:      growth.DendrobiumRate,
	culture.PaphiopedilumFamily: growth.PaphiopedilumRate,
}

// RootGrowth judges the marked roots of a plant on a day, from what was measured
// up to its end.
func RootGrowth(p *PlantState, g culture.Group, on time.Time) (Rooting, error) {
	out, tracks, err := followRoots(p, g, on)
	if err != nil {
		return out, err
	}
	out.Judge.Ahead(&out.Verdict, tracks)
	for i := range out.Roots {
		out.Roots[i].Evidence = out.Verdict.Roots[i]
	}
	return out, nil
}

// followRoots judges the marked roots without the readings worth taking next,
// which take most of the time.
func followRoots(p *PlantState, g culture.Group, on time.Time) (Rooting, []growth.Track, error) {
	out := Rooting{Prior: growth.AnyOrchidRate}
	if rate, ok := rootRates[g.Kin.Is.Family]; ok && !g.Kin.Is.Near {
		out.Prior = rate
	}
	var err error
	if out.Judge, err = growth.NewJudge(out.Prior); err != nil {
		return out, nil, err
	}
	on = midnight(on)
	var since time.Time
	if len(p.Repots) > 0 {
		since = midnight(p.Record.Repot.Date) // what was marked before may have been cut off
	}
	for mark, readings := range p.Roots {
		one := MarkedRoot{Mark: mark}
		for _, r := range readings {
			if d := midnight(r.At); !d.Before(since) && !d.After(on) {
				one.Readings = append(one.Readings, r)
			}
		}
		if len(one.Readings) > 0 {
			out.Roots = append(out.Roots, one)
		}
	}
	slices.SortFunc(out.Roots, func(a, b MarkedRoot) int { return strings.Compare(a.Mark, b.Mark) })
	day := GrowthDay(on) + 1 - 1e-9 // the whole day counts
	tracks := make([]growth.Track, len(out.Roots))
	for i := range out.Roots {
		root, err := growthRoot(out.Roots[i].Readings)
		if err != nil {
			return out, nil, err
		}
		if tracks[i], err = out.Judge.Root(root, day); err != nil {
			return out, nil, err
		}
		out.Roots[i].Track = tracks[i]
	}
	out.Verdict = out.Judge.Together(tracks, day)
	for i := range out.Roots {
		out.Roots[i].Evidence = out.Verdict.Roots[i]
	}
	return out, tracks, nil
}

// growthEpoch is the fixed day from which package growth counts.
var growthEpoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// GrowthDay returns a moment as package growth counts it: the whole part is the
// calendar day on which the grower lived it.
func GrowthDay(at time.Time) float64 {
	h, m, s := at.Clock()
	return math.Round(midnight(at).Sub(growthEpoch).Hours()/24) + (float64(h)+float64(m)/60+float64(s)/3600)/24
}

// GrowthDate is the calendar day of a day as package growth counts it.
func GrowthDate(day float64) time.Time { return growthEpoch.AddDate(0, 0, int(math.Floor(day))) }

// tipChanges maps the words for a tip to what they say happened to it.
var tipChanges = map[string]growth.TipChange{
	"growing": growth.Renewed, "resting": growth.Capped, "chewed": growth.Chewed, "broken": growth.Broken,
}

// growthRoot turns readings into the record of a root. A reading of unknown
// method counts as one of a root in its pot.
func growthRoot(readings []RootAt) (growth.Root, error) {
	var root growth.Root
	usual, err := growth.RulerInPot.ErrorMM()
	if err != nil {
		return root, err
	}
	for _, r := range readings {
		one := growth.Reading{Day: GrowthDay(r.At), LengthMM: r.Reading.LengthMM, ErrorMM: r.Reading.HowMM, Confirmed: r.Reading.Confirmed}
		if one.ErrorMM <= 0 {
			one.ErrorMM = usual.Value
		}
		root.Readings = append(root.Readings, one)
		if change, ok := tipChanges[r.Reading.Tip]; ok {
			root.Tips = append(root.Tips, growth.TipEvent{Day: one.Day, Change: change})
		}
	}
	return root, nil
}
