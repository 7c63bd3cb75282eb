package web

import (
	"maps"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

// potted is what is typed at the bench for a plant that goes into a pot.
func potted() url.Values {
	return url.Values{
		"date": {"2026-11-24"}, "work": {"divided"}, "flowers": {"in spike"}, "spike": {"cut"},
		"roots_kept": {"55 %"}, "leaves_kept": {"90"}, "root_tips": {"3"}, "soaked": {"12"}, "pest": {"citrus mealybug", "slug"},
		"from_kind": {"unknown"}, "to_kind": {"pot"}, "to_size": {"12"}, "to_material": {"clay"},
		"to_medium0": {"medium bark"}, "to_parts0": {"7"}, "to_medium1": {"medium perlite"}, "to_parts1": {"2,5"},
		"note": {"split in two"}, "step": {"keep"},
	}
}

// of returns values with some of them changed.
func of(values url.Values, pairs ...string) url.Values {
	changed := maps.Clone(values)
	for i := 0; i < len(pairs); i += 2 {
		changed[pairs[i]] = []string{pairs[i+1]}
	}
	return changed
}

func TestARepotOfAKnownPlant(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	page := b.get("/repot?plant=" + id)
	for _, want := range []string{"C-003", "A fresh blade for every plant", "Legionella", "The label of the product and the law", "common practice"} {
		if !strings.Contains(page, want) {
			t.Errorf("the form lacks %q", want)
		}
	}
	values := of(potted(), "plant", id, "entry", hidden(t, page, "entry"), "from_kind", "kept", "space", "balcony", "vigour", "strong", "leaves", "9", "bulbs", "9", "leaf_length", "18.0 cm", "leaf_width", "5.0 cm")
	before := b.last(id, care.RepotDone)

	// First the course, with nothing kept.
	n := len(b.store.entries)
	answer := b.post("/repot", of(values, "step", "look"))
	page = body(t, answer)
	if answer.StatusCode != http.StatusOK || len(b.store.entries) != n {
		t.Fatalf("the preview: %s, %d entries more\n%s", answer.Status, len(b.store.entries)-n, errorsIn(page))
	}
	for _, want := range []string{"The course that follows", `class="picture course"`, `value="55 %"`, "split in two</textarea>", `value="2,5"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the preview lacks %q", want)
		}
	}

	to := b.accepted(b.post("/repot", values))
	if to != "/plant/"+id+"/repotted" {
		t.Errorf("led to %s", to)
	}
	e := b.last(id, care.RepotDone)
	r := e.Detail.Repot
	if e.ID == before.ID || r.Work != care.Divided || r.RootsKept.Value != 0.55 || r.LeavesKept.Value != 0.9 || r.LiveRootTips.Value != 3 || r.SoakedHours.Value != 12 ||
		len(r.Pests) != 2 || r.Flowers != care.InSpike || r.To.Container.NominalCm.Value != 12 || r.To.Container.Material != "clay" ||
		len(r.To.Medium) != 2 || r.To.Medium[1] != (care.Component{Medium: "medium perlite", Parts: 2.5}) || e.Detail.Note != "split in two" {
		t.Errorf("kept %+v", r)
	}
	if r.From.Container == nil || len(r.From.Medium) != 3 {
		t.Errorf("it came out of %+v, want what it stood in before", r.From)
	}
	if got := b.last(id, care.SpikeDecided).Detail.Spike; got != "cut" {
		t.Errorf("spike %q", got)
	}
	if n := b.count(id, care.PlantSet); n != 1 {
		t.Errorf("the record, which did not change, was written %d times", n)
	}
	b.accepted(b.post("/repot", values))
	if n := b.count(id, care.RepotDone); n != 2 {
		t.Errorf("sent twice, %d repots count, want the old one and this", n)
	}
	page = b.get(to)
	for _, want := range []string{"C-003 is repotted", "Print a label", "Another piece of it", "A fresh blade for every plant", "Day 0"} {
		if !strings.Contains(page, want) {
			t.Errorf("the end of the work lacks %q", want)
		}
	}
}

func TestARepotByLabelOfANewPlant(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/repot")
	values := of(potted(), "entry", hidden(t, page, "entry"), "new_plant", hidden(t, page, "new_plant"),
		"label", "X-007", "name", "from the raffle", "group", "Oncidium", "space", "terrace", "vigour", "ordinary",
		"work", "mounted", "to_kind", "mount", "to_mount", "cork", "to_width", "10", "to_length", "20 cm", "to_moss", "5 mm", "from_kind", "pot", "from_size", "12", "from_medium0", "fine bark")
	to := b.accepted(b.post("/repot", values))
	id := b.plant("X-007")
	if to != "/plant/"+id+"/repotted" || id != hidden(t, page, "new_plant") {
		t.Errorf("led to %s for %s", to, id)
	}
	r := b.last(id, care.RepotDone).Detail.Repot
	if r.To.Mount == nil || r.To.Mount.Material != "cork" || r.To.Mount.MossCm.Value != 0.5 || r.To.Container != nil {
		t.Errorf("kept %+v", r.To)
	}
	record := b.last(id, care.PlantSet)
	if record.Detail.Plant.Name != "from the raffle" || record.Detail.Plant.Space != "terrace" || !record.At.Before(b.last(id, care.RepotDone).At) {
		t.Errorf("record %+v", record)
	}
	b.accepted(b.post("/repot", values))
	if n := b.count(id, care.RepotDone); n != 1 {
		t.Errorf("sent twice, it was repotted %d times", n)
	}
	if page := b.get("/plant/" + id); !strings.Contains(page, "cork mount") {
		t.Error("its page does not say what it stands on")
	}

	// An existing plant is found by its label alone.
	known := b.plant("C-001")
	b.accepted(b.post("/repot", of(potted(), "label", "c-001")))
	if n := b.count(known, care.RepotDone); n != 2 {
		t.Errorf("C-001 was repotted %d times, want twice", n)
	}
}

func TestAnotherPieceOfADivision(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/repot?piece=" + b.plant("C-001"))
	for _, want := range []string{"Another piece of C-001", `value="Cattleya"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the form lacks %q", want)
		}
	}
	if strings.Contains(page, `name="plant"`) {
		t.Error("the piece is taken for the plant it came from")
	}
}

func TestSlipsAtTheBench(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	n := len(b.store.entries)
	for _, c := range []struct {
		values url.Values
		says   string
	}{
		{of(potted(), "plant", id, "roots_kept", "140"), "cannot be right"},
		{of(potted(), "plant", id, "roots_kept", "most"), "is not a number"},
		{of(potted(), "plant", id, "date", "2026-12-24"), "lies ahead"},
		{of(potted(), "plant", id, "date", "last week"), "is no date"},
		{of(potted(), "plant", id, "work", "pruned"), "is not one of the choices"},
		{of(potted(), "plant", id, "to_medium0", "moon dust"), "is not known"},
		{of(potted(), "plant", id, "to_parts0", "-3"), "parts by volume"},
		{of(potted(), "plant", id, "to_medium1", ""), "Parts of what?"},
		{of(potted(), "plant", id, "to_size", "12 kg"), "does not fit here"},
		{of(potted(), "plant", id, "work", "mounted"), "say onto what"},
		{of(potted(), "plant", id, "pest", "dragon"), "is not known"},
		{of(potted(), "plant", id, "soaked", "60 days"), "cannot be right"},
		{of(potted(), "plant", id, "from_kind", "nowhere"), "is not one of the choices"},
		{of(potted(), "label", "X-1"), "Which group?"},
		{of(potted(), "label", ""), "on its tag"},
	} {
		answer := b.post("/repot", c.values)
		page := body(t, answer)
		if answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(errorsIn(page), c.says) {
			t.Errorf("%v: %s, says %q, want %q", c.values, answer.Status, errorsIn(page), c.says)
			continue
		}
		if !strings.Contains(page, "split in two</textarea>") || !strings.Contains(page, `value="medium perlite" selected`) && c.values.Get("to_medium1") != "" {
			t.Errorf("%s: what was typed is gone", c.says)
		}
	}
	if len(b.store.entries) != n {
		t.Error("something was kept all the same")
	}
}

func TestARepotIsCorrected(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	old := b.last(id, care.RepotDone)
	page := b.get("/repot?plant=" + id + "&change=" + old.ID)
	for _, want := range []string{"Change the repot of C-003", `value="75 %"`, `value="medium bark" selected`, "Withdraw the repot"} {
		if !strings.Contains(page, want) {
			t.Errorf("the form lacks %q", want)
		}
	}
	values := of(potted(), "plant", id, "change", old.ID, "entry", hidden(t, page, "entry"), "date", old.Detail.Repot.Date.Format("2006-01-02"), "roots_kept", "40 %")
	b.accepted(b.post("/repot", values))
	now := b.last(id, care.RepotDone)
	if now.Corrects != old.ID || now.Detail.Repot.RootsKept.Value != 0.4 || !now.At.Equal(old.At) {
		t.Errorf("kept %+v", now)
	}
	if n := b.count(id, care.RepotDone); n != 1 {
		t.Errorf("%d repots count, want one", n)
	}
}

// In the southern and in the northern half of the earth the same repot has
// another season.
func TestBothHemispheresHaveTheirCourse(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-002") // in daylight, without growing tips at the repot
	dates := func() string {
		_, after, _ := strings.Cut(b.get("/plant/"+id), `<h2 id="dates">`)
		list, _, found := strings.Cut(after, "</section>")
		if !found || !strings.Contains(list, "First root") {
			t.Fatal("no list of dates")
		}
		return list
	}
	south := dates()
	var place care.Place
	b.server.Book.Read(func(c *care.Collection) { place = c.Place })
	if place.LatitudeDeg.Value >= 0 {
		t.Fatal("the sample is not in the south")
	}
	place.LatitudeDeg.Value, place.LatitudeDeg.Low, place.LatitudeDeg.High = 52, 52, 52
	e := b.server.newEntry(care.PlaceSet, "", care.Detail{Place: &place})
	if _, err := b.server.Book.Append(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	if dates() == south {
		t.Error("roots are expected in a November at 52° north when they are at 37.8° south")
	}
}

// One plant after the other goes into the same mix on the same day: the next
// form has them already, and neither the size of the pot nor what was found.
func TestTheNextPlantIsLikeTheOneBefore(t *testing.T) {
	b := newBench(t, withSample)
	first := b.plant("P-001")
	var last care.Repot
	b.server.Book.Read(func(c *care.Collection) { last = c.Plants[first].Record.Repot })
	if page := b.get("/plant/" + first + "/repotted"); !strings.Contains(page, `href="/repot?after=`+first+`"`) {
		t.Error("the end of the work does not lead to the next plant")
	}
	for _, path := range []string{"/repot?after=" + first, "/repot?after=" + first + "&label=C-001"} {
		v := b.values(path, "/repot#preview")
		if v.Get("date") != last.Date.Format(time.DateOnly) || v.Get("space") == "" || v.Get("to_medium0") != last.To.Medium[0].Medium || v.Get("soaked") == "" {
			t.Errorf("%s is not filled in: %v", path, v)
		}
		if v.Get("to_size") != "" || v.Get("roots_kept") != "" || v.Get("root_tips") != "" {
			t.Errorf("%s takes over what differs from plant to plant: %v", path, v)
		}
	}
	if v := b.values("/repot?after=nobody", "/repot#preview"); v.Get("to_medium0") != "" {
		t.Errorf("filled in after nobody: %v", v)
	}
}
