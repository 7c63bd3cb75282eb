package growth_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
	"velamen/science/growth"
)

// flat is a root that lies on the scale, square to the lens.
var flat = growth.Photograph{
	ScaleMM: 50, ScalePixels: 1000, RootPixels: 840,
	TiltDegrees:     basis.Exactly(0, "°", basis.Given, ""),
	ScaleDistanceMM: basis.Exactly(300, "mm", basis.Given, ""),
	RootInFrontMM:   basis.Exactly(0, "mm", basis.Given, ""),
}

// A pinhole camera is simulated: the root is projected, and its length must be
// found again from the projection.
func TestPhotographInvertsTheCamera(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trueMM := rapid.Float64Range(5, 200).Draw(t, "root")
		tilt := rapid.Float64Range(0, 60).Draw(t, "tilt")
		distance := rapid.Float64Range(150, 1000).Draw(t, "distance")
		front := rapid.Float64Range(-50, 50).Draw(t, "in front")
		const focalPixels = 3000
		p := growth.Photograph{
			ScaleMM: 50, ScalePixels: focalPixels * 50 / distance,
			RootPixels:      focalPixels * trueMM * math.Cos(tilt*math.Pi/180) / (distance - front),
			TiltDegrees:     basis.Assumed(tilt, tilt, tilt, "°"),
			ScaleDistanceMM: basis.Assumed(distance, distance, distance, "mm"),
			RootInFrontMM:   basis.Assumed(front, front, front, "mm"),
		}
		near(t, "length", must[basis.Value](t)(p.Length()).Value, trueMM, 1e-9*trueMM)
	})
}

func TestPhotographError(t *testing.T) {
	exact := must[basis.Value](t)(flat.Length())
	near(t, "length", exact.Value, 42, 1e-12)
	if err := exact.Check(); err != nil {
		t.Error(err)
	}
	// Two ends of 3 px each on 840 and on 1000 px: √2·3·√(1/840² + 1/1000²) of
	// 42 mm is 0.277 mm, to first order; placing adds 0.5 mm.
	reading := must[growth.Reading](t)(flat.Reading(12))
	near(t, "reading error", reading.ErrorMM, math.Hypot(0.277, 0.5), 0.001)

	// A tilt somewhere between 0 and 20° leaves the length open by 6 % upwards.
	tilted := flat
	tilted.TiltDegrees = basis.Assumed(0, 0, 20, "°")
	open := must[basis.Value](t)(tilted.Length())
	near(t, "upper end", open.High, 42/math.Cos(20*math.Pi/180), 0.15)
	if open.Grade != basis.Assumption {
		t.Errorf("a guessed tilt leaves the length %v", open.Grade)
	}
	if worse := must[growth.Reading](t)(tilted.Reading(12)); worse.ErrorMM <= reading.ErrorMM {
		t.Errorf("an unknown tilt leaves the error at %v mm", worse.ErrorMM)
	}
}

func TestPhotographRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*growth.Photograph){
		"no scale":             func(p *growth.Photograph) { p.ScaleMM = 0 },
		"scale of a few dots":  func(p *growth.Photograph) { p.ScalePixels = 5 },
		"negative root":        func(p *growth.Photograph) { p.RootPixels = -1 },
		"root that is no size": func(p *growth.Photograph) { p.RootPixels = math.NaN() },
		"root end on":          func(p *growth.Photograph) { p.TiltDegrees = basis.Assumed(80, 70, 90, "°") },
		"lens in the root":     func(p *growth.Photograph) { p.RootInFrontMM = basis.Assumed(290, 280, 300, "mm") },
		"no distance":          func(p *growth.Photograph) { p.ScaleDistanceMM = basis.Value{} },
		"root of many metres":  func(p *growth.Photograph) { p.RootPixels = 1e6 },
	} {
		p := flat
		spoil(&p)
		if _, err := p.Reading(1); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
	if _, err := flat.Reading(math.NaN()); err == nil {
		t.Error("a reading on no day is accepted")
	}
}

func TestReadingErrorsRefuse(t *testing.T) {
	for name, err := range map[string]error{
		"unknown method":    second(growth.Method(9).ErrorMM()),
		"no method":         second(growth.Method(0).ErrorMM()),
		"negative error":    second(growth.SmallestChangeMM(-1, 1)),
		"no second error":   second(growth.SmallestChangeMM(1, math.NaN())),
		"no rate":           second(growth.DaysToShow(0, 1)),
		"error of a metre":  second(growth.DaysToShow(1, 1000)),
		"rate that is none": second(growth.DaysToShow(math.NaN(), 1)),
	} {
		if err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
	for _, m := range []growth.Method{growth.RulerStraight, growth.RulerInPot, growth.FromPhotograph} {
		if _, err := growth.SmallestChangeMM(must[basis.Value](t)(m.ErrorMM()).Value, 0.5); err != nil {
			t.Errorf("%v: %v", m, err)
		}
	}
}
