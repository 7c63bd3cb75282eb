package photo_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/photo"
	"velamen/science/basis"
	"velamen/science/growth"
)

func exactly(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }

// flat is a straight root of 420 px beside 50 mm of scale, 1000 px long, in its
// plane: 21 mm.
func flat() photo.Marks {
	return photo.Marks{
		Width: 2048, Height: 1536,
		Scale: [2]photo.Point{{X: 100, Y: 1400}, {X: 1100, Y: 1400}}, ScaleMM: 50,
		Root:            []photo.Point{{X: 300, Y: 300}, {X: 300, Y: 720}},
		TiltDegrees:     exactly(0, "°"),
		ScaleDistanceMM: exactly(300, "mm"),
		InFrontMM:       exactly(0, "mm"),
	}
}

func measured(tb testing.TB, m photo.Marks) photo.Length {
	tb.Helper()
	l, err := m.Length()
	if err != nil {
		tb.Fatal(err)
	}
	if err := l.MM.Check(); err != nil {
		tb.Error(err)
	}
	return l
}

// failer is a test or a draw of a property.
type failer interface {
	Helper()
	Errorf(format string, args ...any)
}

func near(tb failer, what string, got, want, tolerance float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		tb.Errorf("%s is %v, want %v ± %v", what, got, want, tolerance)
	}
}

// The expected figures follow from similar triangles and the law of propagation,
// worked out by hand beside each row.
func TestLengthOfARoot(t *testing.T) {
	const rule = 0.5 // growth.RulerStraightErrorMM, placing a ruler
	// Both ends of root and scale are off by 3 px: 3·√2·√(1/420² + 1/1000²).
	ends := 3 * math.Sqrt2 * math.Hypot(1.0/420, 1.0/1000)
	for _, c := range []struct {
		name            string
		change          func(*photo.Marks)
		lengthMM, error float64
		tolerance       float64 // of the error, mm: second-order terms
	}{
		{"flat", func(m *photo.Marks) {}, 21, math.Hypot(rule, 21*ends), 1e-3},
		// The same with a mark halfway: nothing changes.
		{"three marks", func(m *photo.Marks) { m.Root = []photo.Point{{X: 300, Y: 300}, {X: 300, Y: 500}, {X: 300, Y: 720}} }, 21, math.Hypot(rule, 21*ends), 1e-3},
		{"two marks on one spot", func(m *photo.Marks) { m.Root = append(m.Root, m.Root[1]) }, 21, math.Hypot(rule, 21*ends), 1e-3},
		// cos 60° = ½.
		{"leaning by 60°", func(m *photo.Marks) { m.TiltDegrees = exactly(60, "°") }, 42, math.Hypot(rule, 42*ends), 1e-2},
		// A tenth nearer than the scale looks a ninth longer: 21·0.9.
		{"in front", func(m *photo.Marks) { m.InFrontMM = exactly(30, "mm") }, 18.9, math.Hypot(rule, 18.9*ends), 1e-3},
		// ±10 mm of 300 mm, taken as two standard errors: 1/60 of the length.
		{"perhaps in front", func(m *photo.Marks) { m.InFrontMM = photo.UsualInFrontMM }, 21, math.Hypot(rule, 21*math.Hypot(ends, 1.0/60)), 1e-3},
		// Shown at a third, the same finger is off by three times as many pixels.
		{"shown small", func(m *photo.Marks) { m.Zoom = 1.0 / 3 }, 21, math.Hypot(rule, 3*21*ends), 0.02},
		// Shown at three times, by a third; at nine times no better.
		{"shown large", func(m *photo.Marks) { m.Zoom = 3 }, 21, math.Hypot(rule, 21*ends/3), 1e-3},
		{"shown larger than it is sharp", func(m *photo.Marks) { m.Zoom = 9 }, 21, math.Hypot(rule, 21*ends/3), 1e-3},
	} {
		m := flat()
		c.change(&m)
		l := measured(t, m)
		near(t, c.name+": length", l.MM.Value, c.lengthMM, 1e-9)
		near(t, c.name+": standard error", l.ErrorMM, c.error, c.tolerance)
		near(t, c.name+": upper end", l.MM.High, l.MM.Value+2*l.ErrorMM, 1e-12)
		r, err := l.Reading(12.5)
		if err != nil || r != (growth.Reading{Day: 12.5, LengthMM: l.MM.Value, ErrorMM: l.ErrorMM}) {
			t.Errorf("%s: reading %+v (%v)", c.name, r, err)
		}
	}
}

func TestAssumptionsAreStated(t *testing.T) {
	m := flat()
	m.TiltDegrees, m.ScaleDistanceMM, m.InFrontMM = basis.Value{}, basis.Value{}, basis.Value{}
	l := measured(t, m)
	want := growth.Photograph{ScaleMM: 50, ScalePixels: 1000, RootPixels: 420,
		TiltDegrees: photo.UsualTiltDegrees, ScaleDistanceMM: photo.UsualScaleDistanceMM, RootInFrontMM: photo.UsualInFrontMM}
	if diff := cmp.Diff(want, l.Photograph); diff != "" {
		t.Errorf("worked out from (-want +got):\n%s", diff)
	}
	if l.MM.Grade != basis.Assumption {
		t.Errorf("a length that rests on assumptions is %v", l.MM.Grade)
	}
	near(t, "length", l.MM.Value, 21/math.Cos(7.5*math.Pi/180), 1e-9)
	for _, v := range []basis.Value{photo.UsualTiltDegrees, photo.UsualScaleDistanceMM, photo.UsualInFrontMM, photo.EdgePixels} {
		if err := v.Check(); err != nil {
			t.Error(err)
		}
	}
	// What the comment on UsualTiltDegrees says of the mean shortening.
	random := rand.New(rand.NewPCG(1, 2))
	var sum float64
	const n = 100_000
	for range n {
		sum += growth.TiltShortening(7.5 * random.NormFloat64())
	}
	// The mean over n draws of a shortening that scatters by 1.2 % is known to
	// 0.004 %.
	near(t, "mean shortening", sum/n, growth.TiltShortening(photo.UsualTiltDegrees.Value), 1.2e-4)
}

// A root bent to an arc of a circle: its marks lie on the arc, straight lines
// between them are too short, and arcs through them are right.
func TestBentRoots(t *testing.T) {
	for _, c := range []struct {
		turnDegrees float64
		marks       int
	}{{30, 3}, {90, 3}, {90, 5}, {180, 4}, {270, 8}, {350, 30}} {
		m := flat()
		const radius = 200
		turn := c.turnDegrees * math.Pi / 180
		m.Root = nil
		for i := range c.marks {
			a := turn * float64(i) / float64(c.marks-1)
			m.Root = append(m.Root, photo.Point{X: 700 + radius*math.Cos(a), Y: 700 + radius*math.Sin(a)})
		}
		arc := radius * turn / 20 // mm
		segment := turn / float64(c.marks-1)
		straight := arc * math.Sin(segment/2) / (segment / 2)
		l := measured(t, m)
		near(t, "length in the middle", l.MM.Value, (arc+straight)/2, 1e-9*arc)
		near(t, "error between marks", l.BetweenMM, (arc-straight)/math.Sqrt(12), 1e-9*arc)
		// 3 px at 20 px/mm, at each mark inside; the length per pixel is that of
		// the middle. Within 1e-9 as it is the same sum.
		bends := 3.0 / 20 * math.Sqrt(float64(c.marks-2)*2*(1-math.Cos(segment)))
		near(t, "error of bends", l.BendsMM, bends, 1e-9)
	}
}

// The error of the marks is found again by placing them many times, each off by
// 3 px in any direction.
func TestErrorOfMarksBySimulation(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	m := flat()
	m.Root = []photo.Point{{X: 300, Y: 300}, {X: 500, Y: 320}, {X: 640, Y: 470}, {X: 610, Y: 700}, {X: 420, Y: 790}}
	l := measured(t, m)
	off := func(p photo.Point) photo.Point {
		return photo.Point{X: p.X + 3*random.NormFloat64(), Y: p.Y + 3*random.NormFloat64()}
	}
	const n = 20_000
	var sum, squares float64
	for range n {
		moved := m
		moved.Scale = [2]photo.Point{off(m.Scale[0]), off(m.Scale[1])}
		moved.Root = nil
		for _, p := range m.Root {
			moved.Root = append(moved.Root, off(p))
		}
		v := measured(t, moved).MM.Value
		sum, squares = sum+v, squares+v*v
	}
	scatter := math.Sqrt(squares/n - (sum/n)*(sum/n))
	// What is not the scatter of marks: 0.5 mm of placing, and the way between.
	predicted := math.Sqrt(l.ErrorMM*l.ErrorMM - 0.25 - l.BetweenMM*l.BetweenMM)
	// A standard deviation from 20 000 draws is known to 0.5 %; the arcs between
	// the marks, which the law of propagation leaves out, move with them too.
	near(t, "scatter of the length", predicted, scatter, 0.05*scatter)
}

// drawn is a root of two to eight marks that stays inside when it is made up
// to three times as large, or turned.
func drawn(t *rapid.T) photo.Marks {
	m := flat()
	place := rapid.Custom(func(t *rapid.T) photo.Point {
		return photo.Point{X: rapid.Float64Range(250, 450).Draw(t, "x"), Y: rapid.Float64Range(250, 450).Draw(t, "y")}
	})
	m.Scale = [2]photo.Point{{X: 260, Y: 300}, {X: rapid.Float64Range(400, 450).Draw(t, "end of scale"), Y: 310}}
	m.Root = append([]photo.Point{{X: 250, Y: 300}}, rapid.SliceOfN(place, 0, 6).Draw(t, "root")...)
	m.Root = append(m.Root, photo.Point{X: 450, Y: rapid.Float64Range(250, 450).Draw(t, "tip")})
	m.TiltDegrees, m.ScaleDistanceMM, m.InFrontMM = basis.Value{}, basis.Value{}, basis.Value{}
	return m
}

func TestSizeOfThePictureDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawn(t)
		before, err := m.Length()
		if err != nil {
			t.Fatal(err)
		}
		// The same picture in k times as many pixels, shown as large as before.
		k := rapid.Float64Range(0.5, 3).Draw(t, "k")
		larger := m
		larger.Zoom = 1 / k
		larger.Scale = [2]photo.Point{times(m.Scale[0], k), times(m.Scale[1], k)}
		larger.Root = nil
		for _, p := range m.Root {
			larger.Root = append(larger.Root, times(p, k))
		}
		after, err := larger.Length()
		if err != nil {
			t.Fatal(err)
		}
		// Sums of a few terms of double precision, with room for a turn of nearly
		// 180°, whose angle loses half its digits.
		near(t, "length", after.MM.Value, before.MM.Value, 3e-9*before.MM.Value)
		near(t, "standard error", after.ErrorMM, before.ErrorMM, 3e-9*before.ErrorMM)
		// Without enlarging it on the screen: the same length, and marks that are
		// relatively better the larger it is.
		larger.Zoom = 0
		after, err = larger.Length()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "length", after.MM.Value, before.MM.Value, 3e-9*before.MM.Value)
		if (k > 1.01 && after.ErrorMM >= before.ErrorMM) || (k < 0.99 && after.ErrorMM <= before.ErrorMM) {
			t.Fatalf("in %v times the pixels the error goes from %v to %v mm", k, before.ErrorMM, after.ErrorMM)
		}
	})
}

func times(p photo.Point, k float64) photo.Point { return photo.Point{X: k * p.X, Y: k * p.Y} }

func TestDirectionsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawn(t)
		before, err := m.Length()
		if err != nil {
			t.Fatal(err)
		}
		angle := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "angle")
		turn := func(p photo.Point) photo.Point { // about the middle of where roots are drawn
			x, y := p.X-350, p.Y-350
			return photo.Point{X: 350 + x*math.Cos(angle) - y*math.Sin(angle), Y: 350 + x*math.Sin(angle) + y*math.Cos(angle)}
		}
		turned := m
		turned.Scale = [2]photo.Point{turn(m.Scale[1]), turn(m.Scale[0])}
		turned.Root = nil
		for i := range m.Root { // and from tip to base
			turned.Root = append(turned.Root, turn(m.Root[len(m.Root)-1-i]))
		}
		after, err := turned.Length()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "length", after.MM.Value, before.MM.Value, 1e-6*before.MM.Value)
		near(t, "standard error", after.ErrorMM, before.ErrorMM, 1e-6*before.ErrorMM)
	})
}

func TestMarksThatAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name, field string
		change      func(*photo.Marks)
	}{
		{"no picture", "size", func(m *photo.Marks) { m.Width = 0 }},
		{"scale marks on one spot", "scale", func(m *photo.Marks) { m.Scale[1] = m.Scale[0] }},
		{"scale of 19.9 px", "scale", func(m *photo.Marks) { m.Scale[1].X = m.Scale[0].X + 19.9 }},
		{"scale mark outside", "scale", func(m *photo.Marks) { m.Scale[1].X = 2048.5 }},
		{"scale mark that is no number", "scale", func(m *photo.Marks) { m.Scale[0].Y = nan }},
		{"scale of no length", "scale_mm", func(m *photo.Marks) { m.ScaleMM = 0 }},
		{"scale of no number", "scale_mm", func(m *photo.Marks) { m.ScaleMM = nan }},
		{"scale of endless length", "scale_mm", func(m *photo.Marks) { m.ScaleMM = inf }},
		{"no root", "root", func(m *photo.Marks) { m.Root = nil }},
		{"one mark", "root", func(m *photo.Marks) { m.Root = m.Root[:1] }},
		{"root of one spot", "root", func(m *photo.Marks) { m.Root[1] = m.Root[0] }},
		{"101 marks", "root", func(m *photo.Marks) { m.Root = make([]photo.Point, 101) }},
		{"mark left of the picture", "root", func(m *photo.Marks) { m.Root[1].X = -0.1 }},
		{"mark below the picture", "root", func(m *photo.Marks) { m.Root[1].Y = 1536.1 }},
		{"endless mark", "root", func(m *photo.Marks) { m.Root[1].Y = inf }},
		{"mark that is no number", "root", func(m *photo.Marks) { m.Root[0].X = nan }},
		{"negative zoom", "zoom", func(m *photo.Marks) { m.Zoom = -1 }},
		{"zoom of no number", "zoom", func(m *photo.Marks) { m.Zoom = nan }},
		{"endless zoom", "zoom", func(m *photo.Marks) { m.Zoom = inf }},
		// Refused by growth.Photograph.
		{"root end on", "", func(m *photo.Marks) { m.TiltDegrees = exactly(80, "°") }},
		{"lens in the scale", "", func(m *photo.Marks) { m.ScaleDistanceMM = exactly(1, "mm") }},
		{"scale too short on the screen", "", func(m *photo.Marks) { m.Scale[1].X, m.Zoom = m.Scale[0].X+25, 1 }},
		{"root of many metres", "", func(m *photo.Marks) { m.ScaleMM, m.Scale[1].X, m.Zoom = 5000, m.Scale[0].X+25, 3 }},
	} {
		m := flat()
		c.change(&m)
		_, err := m.Length()
		var mark *photo.MarkError
		switch {
		case err == nil:
			t.Errorf("%s is accepted", c.name)
		case errors.As(err, &mark) != (c.field != "") || mark != nil && mark.Field != c.field:
			t.Errorf("%s: %v", c.name, err)
		}
	}
	edge := flat()
	edge.Root = []photo.Point{{X: 0, Y: 0}, {X: 2048, Y: 1536}}
	measured(t, edge) // the very corners belong to the picture
}
