package growth

import "math"

// State is what the marked roots say.
type State uint8

const (
	// NotYetClear: the readings allow growth and standstill.
	NotYetClear State = iota
	// Growing: at least one marked root grows.
	Growing
	// Stopped: no marked root grows.
	Stopped
)

// String returns the words shown to the grower.
func (s State) String() string {
	switch s {
	case NotYetClear:
		return "not yet clear"
	case Growing:
		return "growing"
	case Stopped:
		return "stopped"
	}
	return "unknown state"
}

// Verdict is what the marked roots of one plant say on one day, and why.
type Verdict struct {
	Day   float64
	State State
	// AtLeast and AtMost enclose the probability that at least one marked root
	// grows faster than GrowingRate. The verdict is Growing when AtLeast reaches
	// ClearChance, and Stopped when AtMost has fallen to its complement.
	AtLeast, AtMost float64
	// Mean is the mean rate of the roots that speak, pooled; its variance is
	// +Inf when none does. ChanceMean is the probability that it exceeds
	// GrowingRate.
	Mean       Rate
	ChanceMean float64
	// Between is the variance of rates between these roots, mm²/day².
	Between float64
	// Roots are the reasons, in the order the roots were given.
	Roots []RootEvidence
	// Next is the reading worth taking first.
	Next NextReading
}

// RootEvidence is one root's part in a verdict.
type RootEvidence struct {
	Status Status
	// Readings counts the accepted reading days, RateReadings those that speak
	// about the present rate, Questions the readings set aside.
	Readings, RateReadings, Questions int
	// LastDay is that of the last accepted reading; zero without one.
	LastDay float64
	// Own is the rate from this root's readings alone, Pooled the rate in the
	// light of the plant's other roots and the group. Both have infinite
	// variance when the root does not speak.
	Own, Pooled Rate
	// Chance that the root grows faster than GrowingRate: by the pooled rate
	// for a root that speaks, zero for one at rest or without a tip, and by the
	// group's prior for one that cannot be judged yet.
	Chance float64
	// Next reading of this root.
	Next NextReading
}

// Speaks reports whether the root has a rate of its own.
func (e RootEvidence) Speaks() bool { return !math.IsInf(e.Own.Variance, 1) }

// Count returns how many roots have the given status.
func (v Verdict) Count(status Status) int {
	n := 0
	for _, r := range v.Roots {
		if r.Status == status {
			n++
		}
	}
	return n
}

// Plant judges the marked roots of one plant on the given day, from what was
// recorded up to then. Errors: as for Root.
//
// Roots of one plant share its fate, so their chances cannot be multiplied as
// if they were independent. AtLeast is the largest of the chances that each
// imply growth (of each root, and of their mean), which holds however they
// depend on each other; AtMost is the chance of independent roots, 1 − Π(1−P),
// which is too high for roots that share their fate, and so errs on the side of
// "not yet clear".
func (j Judge) Plant(roots []Root, day float64) (Verdict, error) {
	if err := checkDay("day of the verdict", day); err != nil {
		return Verdict{}, err
	}
	tracks := make([]Track, len(roots))
	for i, root := range roots {
		var err error
		if tracks[i], err = j.Root(root, day); err != nil {
			return Verdict{}, err
		}
	}
	v := j.Together(tracks, day)
	j.Ahead(&v, tracks)
	return v, nil
}

// Ahead fills in the readings worth taking next.
func (j Judge) Ahead(v *Verdict, tracks []Track) {
	for i, t := range tracks {
		v.Roots[i].Next = j.Next(t)
		v.Next = sooner(v.Next, v.Roots[i].Next)
	}
}

// Together is the verdict on roots that were followed up to a day, without the
// readings worth taking next.
func (j Judge) Together(tracks []Track, day float64) Verdict {
	unknown := Rate{Variance: math.Inf(1)}
	v := Verdict{Day: day, Mean: unknown, Roots: make([]RootEvidence, 0, len(tracks))}
	rates := make([]Rate, 0, len(tracks))
	for _, t := range tracks {
		e := RootEvidence{
			Status: t.Status, Readings: len(t.Steps), RateReadings: t.RateReadings, Questions: len(t.Questions),
			Own: unknown, Pooled: unknown,
		}
		if len(t.Steps) > 0 {
			e.LastDay = t.Steps[len(t.Steps)-1].Day
		}
		if t.speaks() {
			e.Own = t.Own
			rates = append(rates, t.Own)
		}
		v.Roots = append(v.Roots, e)
	}

	pool := PoolRates(j.Prior, rates)
	if len(rates) > 0 {
		v.Mean, v.Between = pool.MeanOf(rates), pool.Between
		v.ChanceMean = v.Mean.ChanceFaster(GrowingRate.Value)
		v.AtLeast = v.ChanceMean
	}
	noneGrows, judged := 1.0, false
	for i := range v.Roots {
		e := &v.Roots[i]
		switch {
		case e.Speaks():
			e.Pooled = pool.Root(e.Own)
			e.Chance = e.Pooled.ChanceFaster(GrowingRate.Value)
			v.AtLeast = max(v.AtLeast, e.Chance)
			judged = true
		case e.Status == Resting:
			judged = true
		case e.Status != Lost:
			e.Chance = j.Prior.ChanceFaster(GrowingRate.Value)
		}
		noneGrows *= 1 - e.Chance
	}
	v.AtMost = max(1-noneGrows, v.AtLeast)
	switch {
	case !judged:
		// No root that can be judged: the plant may grow roots that nobody
		// marked.
		v.AtMost = 1
	case v.AtLeast >= ClearChance.Value:
		v.State = Growing
	case v.AtMost <= 1-ClearChance.Value:
		v.State = Stopped
	}
	return v
}

// sooner returns the reading that comes first; of two on one day, the one that
// was there first. A zero reading is none.
func sooner(a, b NextReading) NextReading {
	if a.Rule == 0 || b.Rule != 0 && b.Day < a.Day {
		return b
	}
	return a
}
