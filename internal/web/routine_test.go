package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// The usual care is kept in the unit it was told in, and shown again as it was.
func TestTheUsualCareIsKept(t *testing.T) {
	b := newBench(t, withSample)
	before := b.collection().Routine
	shown := b.values("/settings", "/settings/usual")
	expectSeeOther(t, b.post("/settings/usual", shown), "/settings?done=kept")
	if after := b.collection().Routine; after != before {
		t.Errorf("keeping what was shown changed %+v to %+v", before, after)
	}
	for _, c := range []struct {
		typed             string
		grams, ppmN, ECmS float64
	}{
		{"0.5 g/L", 0.5, 0, 0}, {"1,2 g/10 L", 0.12, 0, 0}, {"125 ppm N", 0, 125, 0}, {"1.1 mS/cm", 0, 0, 1.1}, {"550 ppm (500)", 0, 0, 1.1}, {"", 0, 0, 0},
	} {
		shown.Set("strength", c.typed)
		shown.Set("feed_every", "2 weeks")
		shown.Set("water_every", "")
		expectSeeOther(t, b.post("/settings/usual", shown), "/settings?done=kept")
		r := b.collection().Routine
		expectClose(t, c.typed+" g/L", r.FeedGramsPerLitre.Value, c.grams)
		expectClose(t, c.typed+" ppm N", r.FeedPpmN.Value, c.ppmN)
		expectClose(t, c.typed+" mS/cm", r.FeedECmS.Value, c.ECmS)
		if r.FeedEveryDays.Value != 14 || r.WaterEveryDays.Grade != 0 {
			t.Errorf("%q: every %+v, %+v", c.typed, r.FeedEveryDays, r.WaterEveryDays)
		}
	}
	if page := b.get("/water"); !strings.Contains(page, "is not said yet") {
		t.Error("the page of the feeds does not ask how feeding was")
	}
}

func TestAWrongUsualCareStaysTyped(t *testing.T) {
	b := newBench(t, withSample)
	before := b.collection().Routine
	for field, list := range map[string][][2]string{
		"strength":    {{"120", "Write its unit"}, {"120 ppm", "Ppm of what?"}, {"2 ml/L", "weigh"}, {"a spoon", "0.9 g/L"}, {"90 g/L", "cannot be right"}, {"0 mS/cm", "no stronger than the water"}},
		"feed_every":  {{"often", "is not a number"}},
		"usual_feed":  {{"nothing of the kind", "There is no feed"}},
		"usual_water": {{"champagne", "There is no water"}},
	} {
		for _, c := range list {
			answer := b.post("/settings/usual", url.Values{field: {c[0]}})
			e := checkPage(t, "/settings", body(t, answer)).byID("e-" + field)
			if answer.StatusCode != http.StatusUnprocessableEntity || e == nil || !strings.Contains(e.text, c[1]) {
				t.Errorf("%s %q: %s, %v", field, c[0], answer.Status, e)
			}
		}
	}
	if after := b.collection().Routine; after != before {
		t.Errorf("something was kept: %+v", after)
	}
}

// A newcomer tells how the plants were fed with the first place, and a number
// off a pen that shows µS/cm is asked about, not blamed.
func TestTheFirstUsualCare(t *testing.T) {
	b := newBench(t)
	values := b.values("/start", "/start")
	for name, value := range map[string]string{"space": "sill", "water": "rain", "water_ec": "30", "strength": "120 ppm N", "feed_every": "7", "water_every": "4"} {
		values.Set(name, value)
	}
	e := checkPage(t, "/start", body(t, b.post("/start", values))).byID("e-water_ec")
	if e == nil || !strings.Contains(e.text, "30 µS/cm") {
		t.Errorf("it says %v", e)
	}
	values.Set("water_ec", "30 µS/cm")
	expectSeeOther(t, b.post("/start", values), "/repot?done=begun")
	if r := b.collection().Routine; r.FeedPpmN.Value != 120 || r.FeedEveryDays.Value != 7 || r.WaterEveryDays.Value != 4 || r.Feed != "" {
		t.Errorf("kept %+v", r)
	}
}
