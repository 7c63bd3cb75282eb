package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/care"
	"velamen/science/basis"
)

func (b *bench) space(name string) (space care.Space) {
	b.t.Helper()
	found := false
	b.server.Book.Read(func(c *care.Collection) {
		for _, one := range c.Spaces {
			if one.Name == name {
				space, found = one, true
			}
		}
	})
	if !found {
		b.t.Fatalf("there is no space %q", name)
	}
	return space
}

// values are what a browser sends of a page's form: what its fields show.
func (b *bench) values(path, action string) url.Values {
	b.t.Helper()
	for _, f := range parsePage(b.t, b.get(path)).all("form") {
		if f.attr["action"] == action {
			return formValues(f)
		}
	}
	b.t.Fatalf("%s has no form to %s", path, action)
	return nil
}

func formValues(f *element) url.Values {
	values := url.Values{}
	for _, in := range f.all("input") {
		_, checked := in.attr["checked"]
		if in.attr["type"] == "checkbox" && !checked {
			continue
		}
		values.Set(in.attr["name"], in.attr["value"])
	}
	for _, in := range f.all("textarea") {
		values.Set(in.attr["name"], in.text)
	}
	for _, in := range f.all("select") {
		for i, o := range in.all("option") {
			if _, selected := o.attr["selected"]; selected || i == 0 {
				values.Set(in.attr["name"], o.attr["value"])
			}
		}
	}
	return values
}

func expectSeeOther(t *testing.T, answer *http.Response, path string) {
	t.Helper()
	if answer.StatusCode != http.StatusSeeOther || answer.Header.Get("Location") != path {
		t.Fatalf("got %s to %q, expected to go on to %s\n%s", answer.Status, answer.Header.Get("Location"), path, body(t, answer))
	}
}

func TestSpacesAreAddedAndChanged(t *testing.T) {
	b := newBench(t, withSample)
	values := b.values("/spaces/new", "/spaces/new")
	for name, value := range map[string]string{
		"name": "north / shed", "kind": "glasshouse", "day": "82 F", "night": "15", "day_humidity": "60 %", "night_humidity": "75",
		"air": "gentle", "light": "20 klx", "light_from": "sun",
	} {
		values.Set(name, value)
	}
	expectSeeOther(t, b.post("/spaces/new", values), "/spaces?done=kept")
	s := b.space("north / shed")
	given := func(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }
	if s.Kind != care.Glasshouse || s.NightC != given(15, "°C") || s.DayRHPercent != given(60, "%") || s.Air != care.GentleAir ||
		s.Light.Level != given(20000, "lx") || s.Light.Unit != care.Lux || s.Light.Source != "sun" {
		t.Errorf("kept as %+v", s)
	}
	const rounding = 1e-9
	if d := s.DayC.Value - (82-32)/1.8; d > rounding || d < -rounding {
		t.Errorf("82 °F was kept as %v °C", s.DayC.Value)
	}

	again := b.values("/space/north%20%2F%20shed", "/space/north%20%2F%20shed")
	expectSeeOther(t, b.post("/space/north%20%2F%20shed", again), "/spaces?done=kept")
	if diff := cmp.Diff(s, b.space("north / shed")); diff != "" {
		t.Errorf("keeping what was shown changed it:\n%s", diff)
	}
	again.Set("night", "")
	b.post("/space/north%20%2F%20shed", again)
	if night := b.space("north / shed").NightC; night.Grade != 0 {
		t.Errorf("an emptied night is still %v", night)
	}
}

func TestWrongSpacesKeepWhatWasTyped(t *testing.T) {
	b := newBench(t, withSample)
	before := len(b.store.entries)
	for _, c := range []struct{ field, typed, says string }{
		{"name", "", "Give it a name"}, {"name", "Balcony", "There is a space called balcony already"},
		{"name", strings.Repeat("a", 200), "120 are the most"},
		{"day", "hot", "is not a number"}, {"day", "260", "cannot be right"}, {"day_humidity", "120", "cannot be right"},
		{"kind", "cellar", "is not one of the choices"}, {"air", "storm", "is not one of the choices"},
		{"light", "20 candles", "does not fit here"}, {"light_from", "moon", "is not one of the choices"}, {"hours", "30", "cannot be right"},
	} {
		values := url.Values{"name": {"shed"}, "kind": {"glasshouse"}, "day": {"26"}}
		values.Set(c.field, c.typed)
		answer := b.post("/spaces/new", values)
		page := body(t, answer)
		if answer.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s %q: %s", c.field, c.typed, answer.Status)
			continue
		}
		root := checkPage(t, "/spaces/new", page)
		problem := root.byID("e-" + c.field)
		if problem == nil || !strings.Contains(problem.text, c.says) {
			t.Errorf("%s %q: beside the field stands %v, expected %q", c.field, c.typed, problem, c.says)
		}
		field := root.byID("f-" + c.field)
		if field == nil || field.attr["aria-invalid"] != "true" || field.name == "input" && field.attr["value"] != c.typed {
			t.Errorf("%s: what was typed is not kept: %v", c.field, field)
		}
		if day := root.byID("f-day"); c.field != "day" && day.attr["value"] != "26" {
			t.Errorf("a wrong %s lost the day: %q", c.field, day.attr["value"])
		}
	}
	if len(b.store.entries) != before {
		t.Errorf("%d entries came of it", len(b.store.entries)-before)
	}
}

func TestSpacesShowWhatTheirPlantsAskFor(t *testing.T) {
	b := newBench(t, withSample)
	c, err := b.server.Book.Course(b.plant("C-002"), b.server.Book.Today())
	if err != nil {
		t.Fatal(err)
	}
	page := b.get("/spaces")
	root := checkPage(t, "/spaces", page)
	var section *element
	for _, s := range root.all("section") {
		if strings.Contains(s.all("h2")[0].text, "balcony") {
			section = s
		}
	}
	figures := map[string]string{}
	for _, f := range section.all("div") {
		if f.attr["class"] == "figure" {
			spans := f.all("span")
			figures[spans[0].text] = spans[1].text
			if len(f.all("details")) != 1 {
				t.Errorf("%s has no because", spans[0].text)
			}
		}
	}
	// C-002 was the most demanding plant of the balcony when the sample was
	// made; if another takes its place the page has to name that one instead.
	if want := metric.Show(c.Now.DayHeatCapC.Value); figures["Day, at most"] != want {
		t.Errorf("the day is capped at %q, C-002 asks for %q", figures["Day, at most"], want)
	}
	if len(figures) != len(askedOfSpace) {
		t.Errorf("figures: %v", figures)
	}
}

// The strictest plant decides, whatever the order.
func TestTheStrictestPlantDecides(t *testing.T) {
	one := func(label string, cap, humid float64) resident {
		return resident{
			link: plantLink{Label: label}, wanted: care.Climate{DayC: cap, DayRHPercent: humid}, usual: care.Climate{DayC: 26, DayRHPercent: 50},
		}
	}
	a, b, c := one("a", 25.6, 50.4), one("b", 21, 80), one("c", 24, 65)
	for _, list := range [][]resident{{a, b, c}, {c, b, a}, {b, a, c}} {
		needs := needsOf(list)
		day, humidity := needs[0], needs[2]
		label := func(i int) string { return list[i].link.Label }
		if label(day.strict) != "b" || label(day.modest) != "a" || label(humidity.strict) != "b" || label(humidity.modest) != "a" {
			t.Errorf("day %s to %s, humidity %s to %s", label(day.strict), label(day.modest), label(humidity.strict), label(humidity.modest))
		}
		// a is missed by less than the page shows.
		if len(day.missed) != 2 || len(humidity.missed) != 2 {
			t.Errorf("missed %v and %v", day.missed, humidity.missed)
		}
		for k, q := range askedOfSpace {
			if needs[k].name != q.name {
				t.Errorf("need %d is %s", k, needs[k].name)
			}
		}
	}
	if needsOf(nil) != nil {
		t.Error("no plants need something")
	}
}

func TestOnlyEmptySpacesAreTakenOut(t *testing.T) {
	b := newBench(t, withSample)
	if answer := b.post("/space/balcony/remove", nil); answer.StatusCode != http.StatusForbidden {
		t.Errorf("a space with plants: %s", answer.Status)
	}
	b.post("/spaces/new", url.Values{"name": {"shed"}, "kind": {"glasshouse"}})
	b.post("/space/shed", url.Values{"kind": {"windowsill"}})
	expectSeeOther(t, b.post("/space/shed/remove", nil), "/spaces?done=withdrawn")
	if answer := b.do(httptest.NewRequest(http.MethodGet, "/space/shed", nil)); answer.StatusCode != http.StatusNotFound {
		t.Errorf("the space is still there: %s", answer.Status)
	}
	if !strings.Contains(b.get("/spaces"), "balcony") {
		t.Error("the other spaces went with it")
	}
}

func TestNamesAreNotMarkup(t *testing.T) {
	b := newBench(t, withSample)
	name := `<script>alert(1)</script>"&'`
	expectSeeOther(t, b.post("/spaces/new", url.Values{"name": {name}, "kind": {"windowsill"}}), "/spaces?done=kept")
	page := b.get("/spaces")
	checkPage(t, "/spaces", page)
	if strings.Contains(page, "<script>alert") {
		t.Error("a name became a script")
	}
	checkPage(t, "space", b.get(spacePath(name)))
}
