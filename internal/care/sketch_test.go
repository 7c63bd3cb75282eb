package care_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
)

// tables are the embedded culture tables, read once for all tests.
var tables = func() culture.Table {
	loaded, err := culture.Load()
	if err != nil {
		panic(err)
	}
	return loaded
}()

// leftOut marks a quantity that the grower does not tell.
const leftOut = -999.0

// sketch is a case of one plant in plain figures, to be varied and written as a
// case file. An empty text or leftOut is not written.
type sketch struct {
	latitude, altitude float64

	kind, air                    string
	dayC, nightC, dayRH, nightRH float64
	light, lightFrom             string // light with its unit
	lampHours                    float64

	waterECmS, hardness float64
	label, strength     string // of the feed
	feedEvery           float64
	waterEvery          float64

	group, vigour                 string
	leaves, lengthCm, widthCm     float64
	areaCm2, bulbs                float64
	date, work, flowers           string
	roots, leavesKept, tips, soak float64
	pests                         []string
	from, to                      homeSketch
}

// homeSketch is a pot of a mix or a mount.
type homeSketch struct {
	potCm    float64
	material string
	medium   []string // in equal parts
	mount    string
	size     [2]float64
	mossCm   float64
}

// ordinary is an unremarkable plant on a balcony: what the tests vary.
func ordinary() sketch {
	pot := homeSketch{potCm: 12, material: "plastic", medium: []string{"medium bark"}}
	return sketch{
		latitude: -37.8, altitude: 60,
		kind: "glazed balcony", air: "gentle", dayC: 27, nightC: 17, dayRH: 50, nightRH: 65, light: "1500 fc", lightFrom: "sun",
		waterECmS: 0.03, hardness: leftOut, label: "13-3-15", strength: "0.8 g/L", feedEvery: 7, waterEvery: 4,
		group: "cattleya-standard", vigour: "ordinary", leaves: 6, lengthCm: 20, widthCm: 5, areaCm2: leftOut, bulbs: leftOut,
		date: "2026-10-18", work: "repotted", flowers: "none", roots: 0.65, leavesKept: 1, tips: leftOut, soak: 12,
		from: pot, to: pot, lampHours: leftOut,
	}
}

// toml writes the sketch as a case file.
func (s sketch) toml() string {
	var b strings.Builder
	number := func(key string, v float64, unit string) {
		switch {
		case v == leftOut:
		case unit == "":
			fmt.Fprintf(&b, "%s = %g\n", key, v)
		default:
			fmt.Fprintf(&b, "%s = \"%g %s\"\n", key, v, unit)
		}
	}
	text := func(key, v string) {
		if v != "" {
			fmt.Fprintf(&b, "%s = %q\n", key, v)
		}
	}
	fmt.Fprintln(&b, "[place]")
	number("latitude", s.latitude, "")
	number("altitude", s.altitude, "m")
	fmt.Fprintln(&b, "[[space]]\nname = \"spot\"")
	text("kind", s.kind)
	text("air", s.air)
	number("day", s.dayC, "°C")
	number("night", s.nightC, "°C")
	number("day_humidity", s.dayRH, "%")
	number("night_humidity", s.nightRH, "%")
	text("light", s.light)
	text("light_from", s.lightFrom)
	number("light_hours", s.lampHours, "h")
	if s.waterECmS != leftOut {
		fmt.Fprintln(&b, "[[water]]\nname = \"barrel\"")
		number("ec", s.waterECmS, "mS/cm")
		number("hardness", s.hardness, "mg/L CaCO3")
	}
	if s.label != "" {
		fmt.Fprintf(&b, "[[feed]]\nname = \"bag\"\nlabel = %q\n", s.label)
	}
	fmt.Fprintln(&b, "[routine]")
	text("strength", s.strength)
	number("feed_every", s.feedEvery, "days")
	number("water_every", s.waterEvery, "days")
	fmt.Fprintln(&b, "[[plant]]\nlabel = \"T-1\"")
	text("group", s.group)
	text("vigour", s.vigour)
	number("leaves", s.leaves, "")
	number("leaf_length", s.lengthCm, "cm")
	number("leaf_width", s.widthCm, "cm")
	number("leaf_area", s.areaCm2, "cm2")
	number("pseudobulbs", s.bulbs, "")
	fmt.Fprintf(&b, "[plant.repot]\ndate = %s\n", s.date)
	text("work", s.workDone())
	text("flowers", s.flowers)
	number("roots_kept", s.roots, "")
	number("leaves_kept", s.leavesKept, "")
	number("root_tips", s.tips, "")
	number("soaked", s.soak, "h")
	if len(s.pests) > 0 {
		fmt.Fprintf(&b, "pests = [%s]\n", quoted(s.pests))
	}
	s.from.write(&b, "from")
	s.to.write(&b, "to")
	return b.String()
}

// workDone is the work that leads to the new home: a case file must not
// contradict itself.
func (s sketch) workDone() string {
	switch {
	case s.to.mount != "":
		return "mounted"
	case s.work == "mounted" && s.to.potCm > 0:
		return "repotted"
	}
	return s.work
}

func (h homeSketch) write(b *strings.Builder, key string) {
	var parts []string
	if h.mount != "" {
		parts = append(parts, fmt.Sprintf("mount = { material = %q, size = \"%g x %g cm\", moss = \"%g cm\" }", h.mount, h.size[0], h.size[1], h.mossCm))
	}
	if h.potCm > 0 {
		parts = append(parts, fmt.Sprintf("pot = \"%g cm\"", h.potCm))
	}
	if h.material != "" {
		parts = append(parts, fmt.Sprintf("material = %q", h.material))
	}
	if len(h.medium) > 0 {
		var mix []string
		for _, m := range h.medium {
			mix = append(mix, fmt.Sprintf("%q = 1", m))
		}
		parts = append(parts, "medium = { "+strings.Join(mix, ", ")+" }")
	}
	if len(parts) > 0 {
		fmt.Fprintf(b, "%s = { %s }\n", key, strings.Join(parts, ", "))
	}
}

func quoted(texts []string) string {
	var list []string
	for _, t := range texts {
		list = append(list, fmt.Sprintf("%q", t))
	}
	return strings.Join(list, ", ")
}

// failer is what testing.TB and rapid.T have in common here.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// read reads the sketch as a case file.
func (s sketch) read(t failer) care.Case {
	t.Helper()
	kase, _, err := casefile.Read(strings.NewReader(s.toml()), "sketch.toml", tables)
	if err != nil {
		t.Fatalf("%v\nin the case\n%s", err, s.toml())
	}
	return kase
}

// on returns the course as it stands so many days after the repot.
func (s sketch) on(t failer, days int) care.Course {
	t.Helper()
	kase := s.read(t)
	c, err := care.NewCourse(kase, kase.Plants[0], tables, kase.Plants[0].Repot.Date.AddDate(0, 0, days))
	if err != nil {
		t.Fatalf("%v\nin the case\n%s", err, s.toml())
	}
	return c
}

func day(date string) time.Time {
	d, err := time.Parse(time.DateOnly, date)
	if err != nil {
		panic(err)
	}
	return d
}

func exampleCase(t testing.TB) care.Case {
	t.Helper()
	kase, _, err := casefile.Read(strings.NewReader(casefile.Example()), "example.toml", tables)
	if err != nil {
		t.Fatal(err)
	}
	return kase
}
