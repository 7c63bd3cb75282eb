package growth_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/science/growth"
)

// ruler returns readings of a straight root, given as day, length, day, length.
func ruler(dayAndMM ...float64) []growth.Reading {
	var readings []growth.Reading
	for i := 0; i < len(dayAndMM); i += 2 {
		readings = append(readings, growth.Reading{Day: dayAndMM[i], LengthMM: dayAndMM[i+1], ErrorMM: growth.RulerStraightErrorMM.Value})
	}
	return readings
}

func track(t failer, root growth.Root, day float64) growth.Track {
	t.Helper()
	return must[growth.Track](t)(judgeOf(t, growth.PhalaenopsisRate).Root(root, day))
}

// A reading that cannot be of this root comes back as a question, and the belief
// is the one without it.
func TestImpossibleReadingsAreQuestioned(t *testing.T) {
	steady := ruler(0, 10, 7, 15, 14, 20)
	for _, row := range []struct {
		name    string
		root    growth.Root
		odd     growth.Reading
		kind    growth.QuestionKind
		against float64
		status  growth.Status
	}{
		{"shorter", growth.Root{Readings: steady}, ruler(21, 17)[0], growth.Shorter, 20, growth.InQuestion},
		{"typing mistake of ten times", growth.Root{Readings: steady}, ruler(21, 240)[0], growth.TooLong, 20, growth.InQuestion},
		{"far off on a day that was read twice", growth.Root{Readings: append(ruler(21, 25, 21, 25.2), steady...)}, ruler(21, 52)[0], growth.Disagrees, 25.2, growth.Followed},
		{"longer at rest", growth.Root{Readings: steady, Tips: []growth.TipEvent{{Day: 14, Change: growth.Capped}}}, ruler(28, 26)[0], growth.GrewAtRest, 20, growth.InQuestion},
		{"shorter at rest", growth.Root{Readings: steady, Tips: []growth.TipEvent{{Day: 14, Change: growth.Capped}}}, ruler(28, 14)[0], growth.Shorter, 20, growth.InQuestion},
		{"longer without a tip", growth.Root{Readings: append(ruler(16, 18), steady...), Tips: []growth.TipEvent{{Day: 15, Change: growth.Broken}}}, ruler(28, 24)[0], growth.GrewAtRest, 18, growth.InQuestion},
	} {
		without := track(t, row.root, 30)
		if len(without.Questions) != 0 {
			t.Errorf("%s: questions before the odd reading: %+v", row.name, without.Questions)
		}
		root := row.root
		root.Readings = append([]growth.Reading{row.odd}, root.Readings...)
		with := track(t, root, 30)
		if len(with.Questions) != 1 {
			t.Errorf("%s: %d questions, want one", row.name, len(with.Questions))
			continue
		}
		q := with.Questions[0]
		if q.Kind != row.kind || q.Reading != row.odd || math.Abs(q.AgainstMM-row.against) > 0.6 || q.LimitMM <= 0 {
			t.Errorf("%s: asked %+v", row.name, q)
		}
		if len(q.Kind.Causes()) < 2 {
			t.Errorf("%s: only %v can have caused it", row.name, q.Kind.Causes())
		}
		if with.Status != row.status {
			t.Errorf("%s: status %v, want %v", row.name, with.Status, row.status)
		}
		if diff := cmp.Diff(without.Steps, with.Steps); diff != "" {
			t.Errorf("%s: the reading was averaged in:\n%s", row.name, diff)
		}
		if _, known := with.ChanceGrowing(); known && row.status == growth.InQuestion {
			t.Errorf("%s: the root still speaks", row.name)
		}
	}
}

// Small steps down hide under the change limit one by one, but not together:
// 28 mm is 2 mm below the first of two earlier readings, and 2.24·√2·0.5 =
// 1.58 mm is what one of two may err in one case of 40.
func TestCreepingShrinkageIsQuestioned(t *testing.T) {
	root := track(t, growth.Root{Readings: ruler(0, 30, 7, 29, 14, 28)}, 14)
	if len(root.Questions) != 1 || root.Questions[0].Kind != growth.Shorter || root.Questions[0].AgainstDay != 0 {
		t.Fatalf("a root that shrank 2 mm in steps of 1 mm raised %+v", root.Questions)
	}
	// 2.2414 is the normal quantile of 1 − 0.025/2 (normal tables).
	near(t, "limit", root.Questions[0].LimitMM, 2.2414*math.Sqrt2*0.5, 0.00005)
}

func TestTwoReadingsOfOneDay(t *testing.T) {
	// The smallest real change between two ruler readings is 1.386 mm.
	if got := track(t, growth.Root{Readings: ruler(0, 20, 0, 21.3)}, 0); len(got.Questions) != 0 || len(got.Steps) != 1 {
		t.Errorf("1.3 mm apart: %+v", got)
	}
	if got := track(t, growth.Root{Readings: ruler(0, 20, 0, 21.5)}, 0); len(got.Questions) != 2 || len(got.Steps) != 0 {
		t.Errorf("1.5 mm apart: %+v", got)
	}
	confirmed := append(ruler(0, 20), growth.Reading{Day: 0, LengthMM: 30, ErrorMM: 0.5, Confirmed: true})
	got := track(t, growth.Root{Readings: confirmed}, 0)
	if len(got.Questions) != 0 || len(got.Steps) != 1 || got.Steps[0].LengthMM != 30 {
		t.Errorf("a confirmed reading beside another: %+v", got)
	}
}

// A root at rest read with honest error must rarely be questioned: the limit of
// one reading is exceeded downwards in one case of 40, and so is that of all the
// others together, hence at most one reading in 20.
func TestFalseQuestionsAreRare(t *testing.T) {
	random := newRandom(11)
	asked, read := 0, 0
	for range 400 {
		var root growth.Root
		for day := 0.0; day <= 56; day += 7 {
			root.Readings = append(root.Readings, growth.Reading{Day: day, LengthMM: 30 + 0.5*random.NormFloat64(), ErrorMM: 0.5})
		}
		asked += len(track(t, root, 56).Questions)
		read += len(root.Readings) - 1
	}
	if share := float64(asked) / float64(read); share > 0.05 || share < 0.005 {
		t.Errorf("%.1f %% of honest readings at rest are questioned", 100*share)
	}
}

func TestConfirmedReadingStartsAnew(t *testing.T) {
	readings := append(ruler(0, 10, 7, 15, 14, 20), growth.Reading{Day: 21, LengthMM: 8, ErrorMM: 0.5, Confirmed: true})
	root := track(t, growth.Root{Readings: append(readings, ruler(28, 12)...)}, 28)
	if len(root.Questions) != 0 || root.Status != growth.Followed {
		t.Fatalf("a confirmed reading leaves %+v, %v", root.Questions, root.Status)
	}
	if root.From != 3 || len(root.Steps) != 5 || root.RateReadings != 2 {
		t.Errorf("the present stretch starts at step %d of %d with %d readings", root.From, len(root.Steps), root.RateReadings)
	}
	near(t, "rate from the new stretch alone", root.Own.MMPerDay, 4.0/7, 1e-6)

	// Confirming a shorter length does not make a resting tip grow.
	resting := track(t, growth.Root{Readings: readings, Tips: []growth.TipEvent{{Day: 15, Change: growth.Capped}}}, 28)
	if resting.Status != growth.Resting || len(resting.Questions) != 0 {
		t.Errorf("a resting root that was confirmed shorter is %v with %+v", resting.Status, resting.Questions)
	}
	near(t, "its length", resting.Now.LengthMM, 8, 1e-12)
}

func TestTipEvents(t *testing.T) {
	readings := ruler(0, 10, 7, 15, 14, 20)
	for _, row := range []struct {
		name         string
		tips         []growth.TipEvent
		more         []growth.Reading
		status       growth.Status
		rateReadings int
	}{
		{"nothing happens", nil, nil, growth.Followed, 3},
		{"chewed", []growth.TipEvent{{Day: 16, Change: growth.Chewed}}, nil, growth.Lost, 0},
		{"broken, the rest is measured", []growth.TipEvent{{Day: 16, Change: growth.Broken}}, ruler(17, 8, 24, 8), growth.Lost, 2},
		{"broken on the day of a reading of the whole, then the rest", []growth.TipEvent{{Day: 14, Change: growth.Broken}}, ruler(21, 8), growth.Lost, 1},
		{"broken, a branch grows", []growth.TipEvent{{Day: 16, Change: growth.Broken}, {Day: 30, Change: growth.Renewed}}, ruler(31, 3, 38, 7), growth.Followed, 2},
		{"broken, a branch is measured when it is seen", []growth.TipEvent{{Day: 16, Change: growth.Broken}, {Day: 30, Change: growth.Renewed}}, ruler(30, 3, 37, 7), growth.Followed, 2},
		{"broken, a branch is not yet read", []growth.TipEvent{{Day: 16, Change: growth.Broken}, {Day: 30, Change: growth.Renewed}}, nil, growth.Followed, 0},
		{"capped", []growth.TipEvent{{Day: 14, Change: growth.Capped}}, ruler(21, 20.3), growth.Resting, 4},
		{"capped, grows again", []growth.TipEvent{{Day: 14, Change: growth.Capped}, {Day: 25, Change: growth.Renewed}}, ruler(32, 24), growth.Followed, 2},
		{"capped when lost", []growth.TipEvent{{Day: 15, Change: growth.Broken}, {Day: 16, Change: growth.Capped}}, nil, growth.Lost, 0},
		{"new tip seen on a growing root", []growth.TipEvent{{Day: 10, Change: growth.Renewed}}, nil, growth.Followed, 3},
	} {
		root := track(t, growth.Root{Readings: append(row.more, readings...), Tips: row.tips}, 40)
		if root.Status != row.status || root.RateReadings != row.rateReadings || len(root.Questions) != 0 {
			t.Errorf("%s: %v with %d lengths for the rate, %d questions; want %v with %d and none",
				row.name, root.Status, root.RateReadings, len(root.Questions), row.status, row.rateReadings)
		}
		if root.Status == growth.Resting && (root.Now.RateMMPerDay != 0 || root.Now.RateVar != 0) {
			t.Errorf("%s: a resting root moves: %+v", row.name, root.Now)
		}
	}
}

// The length at rest is where renewed growth starts from: one reading after it
// already gives a rate.
func TestGrowthAfterRest(t *testing.T) {
	root := growth.Root{
		Readings: ruler(0, 10, 7, 15, 14, 20, 20, 20, 26, 20, 44, 30),
		Tips:     []growth.TipEvent{{Day: 14, Change: growth.Capped}, {Day: 34, Change: growth.Renewed}},
	}
	got := track(t, root, 44)
	// Three readings of 0.5 mm hold the resting length to within 0.3 mm.
	near(t, "rate since the new tip", got.Own.MMPerDay, 1, 0.03)
	if smoothed := growth.Smooth(nil, got.Steps[got.From:]); len(smoothed) != 1 || smoothed[0] != got.Steps[got.From].Belief {
		t.Errorf("the present stretch is %+v", smoothed)
	}
}

// Before any reading, and for tips seen on roots nobody measured.
func TestRootsWithoutReadings(t *testing.T) {
	for _, row := range []struct {
		tips   []growth.TipEvent
		status growth.Status
	}{
		{nil, growth.Unread},
		{[]growth.TipEvent{{Day: 3, Change: growth.Capped}}, growth.Resting},
		{[]growth.TipEvent{{Day: 3, Change: growth.Chewed}}, growth.Lost},
		{[]growth.TipEvent{{Day: 3, Change: growth.Renewed}}, growth.Unread},
		{[]growth.TipEvent{{Day: 3, Change: growth.Capped}, {Day: 9, Change: growth.Renewed}}, growth.Followed},
	} {
		root := track(t, growth.Root{Tips: row.tips}, 10)
		if root.Status != row.status || root.Now != (growth.Belief{}) || !math.IsInf(root.Own.Variance, 1) {
			t.Errorf("%v gives %+v, want %v and nothing known", row.tips, root, row.status)
		}
		if _, known := root.ChanceGrowing(); known {
			t.Errorf("%v: an unmeasured root speaks", row.tips)
		}
	}
	// A single day of readings that disagree is a question too.
	odd := track(t, growth.Root{Readings: ruler(-5, 12, -5, 21)}, 0)
	if odd.Status != growth.InQuestion || len(odd.Questions) != 2 {
		t.Errorf("two readings that disagree give %v with %d questions", odd.Status, len(odd.Questions))
	}
}

// However often a root is read in one day, the error that its readings share
// stays; and reading it more often never makes it less certain.
func TestReadingsOfOneDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 1000).Draw(t, "readings")
		errorMM := rapid.Float64Range(0.3, 3).Draw(t, "error")
		var root growth.Root
		for i := range n {
			root.Readings = append(root.Readings, growth.Reading{Day: 5 + float64(i)/2000, LengthMM: 20, ErrorMM: errorMM})
		}
		got := track(t, root, 6)
		if len(got.Steps) != 1 || len(got.Questions) != 0 {
			t.Fatalf("%d readings of one day make %d steps and %d questions", n, len(got.Steps), len(got.Questions))
		}
		shared := growth.SharedErrorShare.Value
		near(t, "error variance", got.Steps[0].ErrorVar, errorMM*errorMM*(shared+(1-shared)/float64(n)), 1e-9)
		near(t, "length", got.Steps[0].LengthMM, 20, 0)

		// A worse look beside them does not spoil them.
		root.Readings = append(root.Readings, growth.Reading{Day: 5.9, LengthMM: 20.1, ErrorMM: 3 * errorMM})
		if worse := track(t, root, 6); worse.Steps[0].ErrorVar > got.Steps[0].ErrorVar*(1+1e-12) {
			t.Fatalf("a worse reading raised the error variance from %v to %v", got.Steps[0].ErrorVar, worse.Steps[0].ErrorVar)
		}
	})
}

func drawRoot(t *rapid.T) growth.Root {
	var root growth.Root
	length := rapid.Float64Range(2, 50).Draw(t, "length")
	day := 0.0
	for range rapid.IntRange(0, 12).Draw(t, "readings") {
		hop := float64(rapid.IntRange(0, 14).Draw(t, "days later"))
		day += hop
		length += hop * rapid.Float64Range(0, 2).Draw(t, "rate")
		shift := rapid.SampledFrom([]float64{0, 0, 0, 0.4, -0.4, -9, 60}).Draw(t, "error")
		root.Readings = append(root.Readings, growth.Reading{
			Day: day, LengthMM: max(0, length+shift), ErrorMM: rapid.SampledFrom([]float64{0.5, 1, 2}).Draw(t, "sd"),
			Confirmed: rapid.IntRange(0, 9).Draw(t, "confirmed") == 0,
		})
	}
	for range rapid.IntRange(0, 3).Draw(t, "events") {
		root.Tips = append(root.Tips, growth.TipEvent{
			Day:    float64(rapid.IntRange(0, 100).Draw(t, "event day")),
			Change: growth.TipChange(rapid.IntRange(int(growth.Chewed), int(growth.Renewed)).Draw(t, "change")),
		})
	}
	return root
}

func TestOrderOfEntriesDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := drawRoot(t)
		shuffled := growth.Root{
			Readings: rapid.Permutation(root.Readings).Draw(t, "readings"),
			Tips:     rapid.Permutation(root.Tips).Draw(t, "tips"),
		}
		if diff := cmp.Diff(track(t, root, 120), track(t, shuffled, 120)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// What is recorded for later days changes nothing on this day.
func TestNoLookAhead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := drawRoot(t)
		today := float64(rapid.IntRange(0, 120).Draw(t, "today"))
		var known growth.Root
		for _, r := range root.Readings {
			if r.Day <= today {
				known.Readings = append(known.Readings, r)
			}
		}
		for _, e := range root.Tips {
			if e.Day <= today {
				known.Tips = append(known.Tips, e)
			}
		}
		now := track(t, known, today)
		if diff := cmp.Diff(now, track(t, root, today)); diff != "" {
			t.Fatalf("later entries changed today:\n%s", diff)
		}
		// Nor do they change the steps that led to it.
		later := track(t, root, 200)
		if diff := cmp.Diff(now.Steps, later.Steps[:min(len(now.Steps), len(later.Steps))]); diff != "" {
			t.Fatalf("later entries changed earlier steps:\n%s", diff)
		}
	})
}

// Whatever is entered, no figure that comes out is NaN, and the state is a
// possible one.
func TestTrackIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := drawRoot(t)
		got := track(t, root, 120)
		days := map[float64]bool{}
		for _, r := range root.Readings {
			days[math.Floor(r.Day)] = true
		}
		if len(got.Steps) > len(days) || got.From > len(got.Steps) {
			t.Fatalf("%d steps from %d days, the present stretch from %d", len(got.Steps), len(days), got.From)
		}
		for _, s := range got.Steps {
			if !(s.LengthVar > 0) || !(s.RateVar >= 0) || s.Covariance*s.Covariance > s.LengthVar*s.RateVar*(1+1e-9) ||
				math.IsNaN(s.LengthMM+s.RateMMPerDay) || math.IsInf(s.LengthVar, 0) {
				t.Fatalf("impossible step %+v", s)
			}
		}
		if chance, known := got.ChanceGrowing(); known && !(chance >= 0 && chance <= 1) {
			t.Fatalf("chance %v", chance)
		}
		next := judgeOf(t, growth.PhalaenopsisRate).Next(got)
		if next.Rule != 0 && !(next.Day >= 120) {
			t.Fatalf("next reading in the past: %+v", next)
		}
	})
}

func TestRootRefuses(t *testing.T) {
	judge := judgeOf(t, growth.PhalaenopsisRate)
	nan := math.NaN()
	for name, root := range map[string]growth.Root{
		"negative length": {Readings: ruler(0, -1)},
		"no length":       {Readings: ruler(0, nan)},
		"endless length":  {Readings: ruler(0, math.Inf(1))},
		"metres of root":  {Readings: ruler(0, 5001)},
		"no day":          {Readings: ruler(nan, 1)},
		"no error":        {Readings: []growth.Reading{{Day: 1, LengthMM: 2}}},
		"negative error":  {Readings: []growth.Reading{{Day: 1, LengthMM: 2, ErrorMM: -1}}},
		"no event":        {Tips: []growth.TipEvent{{Day: 1}}},
		"unknown event":   {Tips: []growth.TipEvent{{Day: 1, Change: 99}}},
		"event on no day": {Tips: []growth.TipEvent{{Day: nan, Change: growth.Chewed}}},
		// Wrong in any case, also when the day has not come yet.
		"negative length to come": {Readings: ruler(50, -1)},
	} {
		if _, err := judge.Root(root, 10); err == nil {
			t.Errorf("%s is accepted", name)
		}
		if _, err := judge.Plant([]growth.Root{root}, 10); err == nil {
			t.Errorf("%s is accepted in a plant", name)
		}
	}
	if _, err := judge.Plant(nil, nan); err == nil {
		t.Error("a verdict on no day is given")
	}
}
