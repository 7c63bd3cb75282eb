package growth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/growth"
)

func newRandom(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }

// weekly returns a root that grows at a rate until a day and is read every week
// with the given error.
func weekly(random *rand.Rand, rate, untilDay, errorMM float64, weeks int) growth.Root {
	var root growth.Root
	for week := range weeks + 1 {
		day := float64(7 * week)
		length := 15 + rate*math.Min(day, untilDay) + errorMM*random.NormFloat64()
		root.Readings = append(root.Readings, growth.Reading{Day: day, LengthMM: max(0, length), ErrorMM: errorMM})
	}
	return root
}

// How often each state is given to plants of known truth, by the day. The
// bounds say what a grower may rely on; they leave room for the scatter of 300
// plants (at most 3 %).
func TestVerdictsOnKnownPlants(t *testing.T) {
	const forever = math.MaxFloat64
	for _, row := range []struct {
		name           string
		rates          []float64
		until, errorMM float64
		weeks          int
		state          growth.State
		least, most    float64
	}{
		{"one fast root, one week, ruler", []float64{1}, forever, 0.5, 1, growth.Growing, 0.95, 1},
		{"one slow root, one week, ruler", []float64{0.3}, forever, 0.5, 1, growth.Stopped, 0, 0.02},
		{"one slow root, five weeks, ruler", []float64{0.3}, forever, 0.5, 5, growth.Growing, 0.9, 1},
		{"one slow root, five weeks, ruler", []float64{0.3}, forever, 0.5, 5, growth.Stopped, 0, 0.02},
		{"one root at rest, six weeks, ruler", []float64{0}, forever, 0.5, 6, growth.Stopped, 0.4, 1},
		{"one root at rest, six weeks, ruler", []float64{0}, forever, 0.5, 6, growth.Growing, 0, 0.03},
		{"three slow roots, three weeks, ruler", []float64{0.3, 0.3, 0.3}, forever, 0.5, 3, growth.Growing, 0.95, 1},
		{"three slow roots in the pot, five weeks", []float64{0.3, 0.3, 0.3}, forever, 2, 5, growth.Growing, 0.5, 1},
		{"one growing of four, five weeks", []float64{1, 0, 0, 0}, forever, 0.5, 5, growth.Growing, 0.95, 1},
		{"one growing slowly of ten, eight weeks", []float64{0.5, 0, 0, 0, 0, 0, 0, 0, 0, 0}, forever, 0.5, 8, growth.Growing, 0.95, 1},
		{"roots at rest, three weeks, ruler", []float64{0, 0, 0}, forever, 0.5, 3, growth.Growing, 0, 0.03},
		{"roots at rest, six weeks, ruler", []float64{0, 0, 0}, forever, 0.5, 6, growth.Stopped, 0.5, 1},
		{"roots at rest in the pot, six weeks", []float64{0, 0, 0}, forever, 2, 6, growth.Growing, 0, 0.05},
		{"stopped for four weeks, ruler", []float64{1, 1, 1}, 28, 0.5, 8, growth.Growing, 0, 0.02},
		{"stopped for four weeks, ruler", []float64{1, 1, 1}, 28, 0.5, 8, growth.Stopped, 0.5, 1},
		{"stopped for three weeks, ruler", []float64{1, 1, 1}, 28, 0.5, 7, growth.Growing, 0, 0.1},
		{"one week into a stop nobody can know", []float64{1, 1, 1}, 28, 0.5, 5, growth.Stopped, 0, 0.02},
	} {
		random := newRandom(7)
		judge := judgeOf(t, growth.PhalaenopsisRate)
		const plants = 300
		given := 0
		for range plants {
			var roots []growth.Root
			for _, rate := range row.rates {
				roots = append(roots, weekly(random, rate, row.until, row.errorMM, row.weeks))
			}
			if must[growth.Verdict](t)(judge.Plant(roots, float64(7*row.weeks))).State == row.state {
				given++
			}
		}
		if share := float64(given) / plants; share < row.least || share > row.most {
			t.Errorf("%s: %q in %.0f %% of plants, want %.0f to %.0f %%",
				row.name, row.state, 100*share, 100*row.least, 100*row.most)
		} else {
			t.Logf("%s: %q in %.0f %%", row.name, row.state, 100*share)
		}
	}
}

// Roots that follow the model, drawn from its own prior and noise: of those with
// a chance of growth of about p, a share p must truly grow.
func TestChancesAreHonest(t *testing.T) {
	random := newRandom(9)
	judge := judgeOf(t, growth.AnyOrchidRate)
	var sum, grew [10]float64
	for range 20_000 {
		rate := judge.Prior.MMPerDay + judge.Prior.SD()*random.NormFloat64()
		length := 0.0
		filter := growth.Filter{Trend: judge.Trend}
		e := entered{errorVars: repeat(0.25, 4)}
		for week := range 4 {
			e.days = append(e.days, float64(7*week))
			e.lengths = append(e.lengths, length+0.5*random.NormFloat64())
			if week == 3 {
				break
			}
			// Rate and length wander by the small steps of the model itself.
			for range 70 {
				length += 0.1 * rate
				rate += math.Sqrt(0.1*judge.Trend.RateNoise) * random.NormFloat64()
			}
		}
		if err := filter.Run(growth.Unmeasured(0, judge.Prior), e.days, e.lengths, e.errorVars); err != nil {
			t.Fatal(err)
		}
		chance := filter.Steps[3].ChanceFaster(growth.GrowingRate.Value)
		bin := min(9, int(10*chance))
		sum[bin]++
		if rate > growth.GrowingRate.Value {
			grew[bin]++
		}
	}
	for bin, n := range sum {
		// Three standard errors of the share, and the width of the bin.
		share := grew[bin] / n
		slack := 3 * math.Sqrt(0.25/n)
		if share < float64(bin)/10-slack || share > float64(bin+1)/10+slack {
			t.Errorf("of %v roots with a chance of %d to %d %%, %.0f %% grow", n, 10*bin, 10*bin+10, 100*share)
		}
	}
}

func TestVerdictWithoutEvidence(t *testing.T) {
	judge := judgeOf(t, growth.PhalaenopsisRate)
	for name, roots := range map[string][]growth.Root{
		"nothing marked":    nil,
		"marked, not read":  {{}},
		"read once":         {{Readings: ruler(0, 10)}},
		"tip lost":          {{Readings: ruler(0, 10, 7, 17), Tips: []growth.TipEvent{{Day: 8, Change: growth.Chewed}}}},
		"in question":       {{Readings: ruler(0, 10, 7, 17, 9, 9)}},
		"only disagreement": {{Readings: ruler(0, 10, 0, 30)}},
	} {
		v := must[growth.Verdict](t)(judge.Plant(roots, 10))
		if v.State != growth.NotYetClear || v.AtLeast != 0 || v.AtMost != 1 || !math.IsInf(v.Mean.Variance, 1) {
			t.Errorf("%s gives %+v", name, v)
		}
	}
}

// What the eye sees of a tip counts without a ruler.
func TestRestingPlant(t *testing.T) {
	judge := judgeOf(t, growth.VandaRate)
	capped := growth.Root{Readings: ruler(0, 40, 7, 47), Tips: []growth.TipEvent{{Day: 9, Change: growth.Capped}}}
	v := must[growth.Verdict](t)(judge.Plant([]growth.Root{capped, capped}, 10))
	if v.State != growth.Stopped || v.AtMost != 0 || v.Count(growth.Resting) != 2 {
		t.Errorf("two capped roots give %+v", v)
	}
	// A root that cannot be judged yet may be the one that grows.
	v = must[growth.Verdict](t)(judge.Plant([]growth.Root{capped, {Readings: ruler(9, 3)}}, 10))
	if v.State != growth.NotYetClear {
		t.Errorf("a new root beside a capped one is %v", v.State)
	}
	// A chewed tip is no standstill: what the others say stands.
	grows := growth.Root{Readings: ruler(0, 20, 7, 34, 14, 48)}
	chewed := growth.Root{Readings: ruler(0, 20, 7, 34), Tips: []growth.TipEvent{{Day: 8, Change: growth.Chewed}}}
	with := must[growth.Verdict](t)(judge.Plant([]growth.Root{grows, chewed}, 14))
	alone := must[growth.Verdict](t)(judge.Plant([]growth.Root{grows}, 14))
	if with.Mean != alone.Mean || with.AtLeast != alone.AtLeast || with.State != growth.Growing {
		t.Errorf("a chewed root changes %+v to %+v", alone, with)
	}
}

// The longer nobody looks, the less is known.
func TestOldEvidenceFades(t *testing.T) {
	judge := judgeOf(t, growth.PhalaenopsisRate)
	plant := []growth.Root{{Readings: ruler(0, 20, 7, 22.5, 14, 25, 21, 27.5)}}
	before := must[growth.Verdict](t)(judge.Plant(plant, 21))
	if before.State != growth.Growing {
		t.Fatalf("a root at 0.36 mm/day is %v", before.State)
	}
	for day := 22.0; day < 400; day++ {
		v := must[growth.Verdict](t)(judge.Plant(plant, day))
		if v.AtLeast > before.AtLeast {
			t.Fatalf("on day %v the chance rises to %v without a reading", day, v.AtLeast)
		}
		before = v
	}
	if before.State != growth.NotYetClear {
		t.Errorf("after a year without a reading it is still %v", before.State)
	}
}

func TestVerdictLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		judge := judgeOf(t, growth.PhalaenopsisRate)
		var roots []growth.Root
		for range rapid.IntRange(0, 5).Draw(t, "roots") {
			roots = append(roots, drawRoot(t))
		}
		day := float64(rapid.IntRange(0, 150).Draw(t, "day"))
		v := must[growth.Verdict](t)(judge.Plant(roots, day))
		if !(0 <= v.AtLeast && v.AtLeast <= v.AtMost && v.AtMost <= 1) {
			t.Fatalf("chances %v to %v", v.AtLeast, v.AtMost)
		}
		clear := growth.ClearChance.Value
		if (v.State == growth.Growing) != (v.AtLeast >= clear) || (v.State == growth.Stopped) && v.AtMost > 1-clear {
			t.Fatalf("%v at %v to %v", v.State, v.AtLeast, v.AtMost)
		}
		if none := 1.0; v.AtMost < 1 {
			for _, r := range v.Roots {
				none *= 1 - r.Chance
			}
			near(t, "at most", v.AtMost, max(1-none, v.AtLeast), 1e-12)
		}
		if len(v.Roots) != len(roots) {
			t.Fatalf("%d reasons for %d roots", len(v.Roots), len(roots))
		}
		if v.Next.Rule != 0 && v.Next.Day < day {
			t.Fatalf("next reading %+v before day %v", v.Next, day)
		}
		// Neither the order of the roots nor a root without a tip matters.
		order := rapid.Permutation(indices(len(roots))).Draw(t, "order")
		again := must[growth.Verdict](t)(judge.Plant(pick(roots, order), day))
		lost := growth.Root{Tips: []growth.TipEvent{{Day: 0, Change: growth.Broken}}}
		more := must[growth.Verdict](t)(judge.Plant(append([]growth.Root{lost}, roots...), day))
		for _, other := range []growth.Verdict{again, more} {
			near(t, "at least", other.AtLeast, v.AtLeast, 1e-9)
			near(t, "at most", other.AtMost, v.AtMost, 1e-9)
			near(t, "next day", other.Next.Day, v.Next.Day, 0)
		}
	})
}

// A root alone in its plant: its readings and the group's prior by their
// precisions, and nothing else.
func TestPlantOfOneRoot(t *testing.T) {
	judge := judgeOf(t, growth.PhalaenopsisRate)
	root := growth.Root{Readings: ruler(0, 20, 7, 21, 14, 22.5)}
	own := must[growth.Track](t)(judge.Root(root, 14)).Own
	v := must[growth.Verdict](t)(judge.Plant([]growth.Root{root}, 14))
	precision := 1/own.Variance + 1/judge.Prior.Variance
	near(t, "rate", v.Mean.MMPerDay, (own.MMPerDay/own.Variance+judge.Prior.MMPerDay/judge.Prior.Variance)/precision, 1e-12)
	near(t, "variance", v.Mean.Variance, 1/precision, 1e-12)
	near(t, "chance", v.AtLeast, v.Mean.ChanceFaster(growth.GrowingRate.Value), 1e-12)
	near(t, "at most", v.AtMost, v.AtLeast, 1e-12)
}

// One root whose weekly ruler reading never changes is shown to stand still, but
// not after a single week.
func TestOneRootAtRestIsShown(t *testing.T) {
	judge := judgeOf(t, growth.PhalaenopsisRate)
	root := growth.Root{}
	for day := 0.0; day <= 84; day += 7 {
		root.Readings = append(root.Readings, ruler(day, 20)...)
		v := must[growth.Verdict](t)(judge.Plant([]growth.Root{root}, day))
		if day <= 7 && v.State == growth.Stopped || day >= 28 && v.State != growth.Stopped {
			t.Errorf("on day %v it is %v, chance %.3f", day, v.State, v.AtMost)
		}
	}
}
