package web

import (
	"math"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/science/water"
)

func (b *bench) water(name string) (one care.Water) {
	b.t.Helper()
	b.server.Book.Read(func(c *care.Collection) {
		for _, w := range c.Waters {
			if w.Name == name {
				one = w
			}
		}
	})
	if one.Name == "" {
		b.t.Fatalf("there is no water %q", name)
	}
	return one
}

func expectClose(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-3*(1+math.Abs(want)) {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

// Every way in which a supplier may write a figure comes to the same ions.
func TestWatersAreKeptInTheIonsTheyMean(t *testing.T) {
	b := newBench(t, withSample)
	values := b.values("/water/new", "/water/new")
	for name, value := range map[string]string{
		"name": "well", "ec": "540 µS/cm", "hardness": "10 °dH", "alkalinity": "2.5 meq/L",
		"ion.Ca": "60 mg/L", "ion.Mg": "1 meq/L", "ion.Na": "1 mmol/L", "ion.NO3": "5 mg/L N", "ion.HCO3": "125 mg/L CaCO3", "ion.Cl": "60", "ion.SO4": "40",
	} {
		values.Set(name, value)
	}
	expectSeeOther(t, b.post("/water/new", values), "/water?done=kept")
	w := b.water("well")
	expectClose(t, "EC", w.ECmS.Value, 0.54)
	expectClose(t, "hardness", w.HardnessMgLCaCO3.Value, 178.48)
	expectClose(t, "alkalinity", w.AlkalinityMgLCaCO3.Value, 125.1)
	if w.Ions == nil {
		t.Fatal("the analysis is gone")
	}
	expectClose(t, "Ca", w.Ions[water.Ca], 60/40.078)
	expectClose(t, "Mg", w.Ions[water.Mg], 0.5)
	expectClose(t, "Na", w.Ions[water.Na], 1)
	expectClose(t, "NO3", w.Ions[water.NO3], 5/14.007)
	expectClose(t, "HCO3", w.Ions[water.HCO3], 2.498)
	// Sent again as it is shown, nothing moves by a digit.
	before := *w.Ions
	expectSeeOther(t, b.post("/water/named/well", b.values("/water/named/well", "/water/named/well")), "/water?done=kept")
	if after := b.water("well"); *after.Ions != before || after.ECmS != w.ECmS {
		t.Errorf("%v became %v", before, *after.Ions)
	}
	if page := b.get("/water"); !strings.Contains(page, "An analysis: cations") || !strings.Contains(page, "An estimate from EC") {
		t.Error("the list does not say which waters are analysed")
	}
}

func TestDoubtfulWatersAreAsked(t *testing.T) {
	for name, c := range map[string]struct {
		set  map[string]string
		says string
	}{
		"EC typed as ppm":   {map[string]string{"ec": "350"}, "Is it µS/cm, or ppm?"},
		"ppm of which kind": {map[string]string{"ec": "350 ppm"}, "Meters make ppm in three ways"},
		"hard but pure":     {map[string]string{"ec": "0.2", "hardness": "300", "alkalinity": "250"}, "conducts at least"},
		"a missing anion":   {map[string]string{"ion.Ca": "100", "ion.Cl": "40"}, "apart: an ion is missing"},
		"a negative figure": {map[string]string{"ion.Ca": "-3"}, "cannot be right"},
		"an absurd one":     {map[string]string{"hardness": "90000"}, "cannot be right"},
		"no temperature":    {map[string]string{"ec": "0.4", "uncorrected": "yes"}, "How warm was the water?"},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t, withSample)
			values := b.values("/water/new", "/water/new")
			values.Set("name", "well")
			for field, value := range c.set {
				values.Set(field, value)
			}
			answer := b.post("/water/new", values)
			if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, c.says) {
				t.Errorf("%s, without %q", answer.Status, c.says)
			}
		})
	}
	// Who is sure may keep what is asked about.
	b := newBench(t, withSample)
	values := b.values("/water/new", "/water/new")
	for field, value := range map[string]string{"name": "well", "ion.Ca": "100", "ion.Cl": "40", "sure": "yes"} {
		values.Set(field, value)
	}
	expectSeeOther(t, b.post("/water/new", values), "/water?done=kept")
	// 800 µS/cm at 15 °C is 1004.8 at 25 by the factor of ISO 7888.
	values = b.values("/water/new", "/water/new")
	for field, value := range map[string]string{"name": "spring", "ec": "800 uS", "uncorrected": "yes", "at": "15"} {
		values.Set(field, value)
	}
	expectSeeOther(t, b.post("/water/new", values), "/water?done=kept")
	expectClose(t, "EC at 25 °C", b.water("spring").ECmS.Value, 1.0048)
}

func TestSoftenedWaterIsTold(t *testing.T) {
	b := newBench(t, withSample)
	values := b.values("/water/new", "/water/new")
	for field, value := range map[string]string{"name": "kitchen", "ec": "0.75", "hardness": "8", "alkalinity": "280"} {
		values.Set(field, value)
	}
	expectSeeOther(t, b.post("/water/new", values), "/water?done=kept")
	if page := b.get("/water"); !strings.Contains(page, "Is there a softener in the house?") {
		t.Error("much sodium without hardness is not told")
	}
}

func TestFeedsAreKept(t *testing.T) {
	b := newBench(t, withSample)
	feed := func(set map[string]string) *http.Response {
		values := b.values("/water/feed/new", "/water/feed/new")
		for name, value := range set {
			values.Set(name, value)
		}
		return b.post("/water/feed/new", values)
	}
	of := func(name string) (one care.Feed) {
		b.server.Book.Read(func(c *care.Collection) {
			for _, f := range c.Feeds {
				if f.Name == name {
					one = f
				}
			}
		})
		return one
	}
	expectSeeOther(t, feed(map[string]string{"name": "blue bag", "label": "15-5-15", "calcium": "7 % CaO", "magnesium": "2", "nitrate": "11.8", "ammonium": "2.2", "urea": "1"}), "/water?done=kept")
	l := of("blue bag").Label
	expectClose(t, "Ca", l.CaPercent, 7*water.CaFromCaO)
	if l.NPercent != 15 || l.P2O5Percent != 5 || l.UreaPercent != 1 || l.MgPercent != 2 {
		t.Errorf("%+v", l)
	}
	expectSeeOther(t, feed(map[string]string{"name": "two salts", "salt.0": "KNO3", "parts.0": "3", "salt.1": "MgSO4·7H2O", "parts.1": "1"}), "/water?done=kept")
	if f := of("two salts"); len(f.Salts) != 2 || f.Salts[0].Share != 0.75 || math.Abs(f.Label.NPercent-0.75*13.854) > 0.01 {
		t.Errorf("%+v", f)
	}
	for name, c := range map[string]struct {
		set  map[string]string
		says string
	}{
		"more than all of it":  {map[string]string{"label": "60-30-30"}, "Sum of the label"},
		"no analysis":          {map[string]string{}, "What does the bag say?"},
		"not an analysis":      {map[string]string{"label": "strong"}, "is not an analysis"},
		"forms that do not":    {map[string]string{"label": "15-5-15", "nitrate": "3"}, "Sum of the nitrogen forms"},
		"label and salts":      {map[string]string{"label": "15-5-15", "salt.0": "KNO3"}, "not both"},
		"a dose is missing":    {map[string]string{"label": "0-0-5", "supplement": "yes"}, "How much of it goes into a litre?"},
		"a name that is taken": {map[string]string{"name": "Nitrate feed", "label": "1-1-1"}, "There is a feed called"},
	} {
		if c.set["name"] == "" {
			c.set["name"] = "bag"
		}
		answer := feed(c.set)
		if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, c.says) {
			t.Errorf("%s: %s, without %q", name, answer.Status, c.says)
		}
	}
	if answer := b.post("/water/feed/named/nitrate%20feed/remove", url.Values{}); answer.StatusCode != http.StatusForbidden {
		t.Errorf("the usual feed can be taken out: %s", answer.Status)
	}
}

// A can that is mixed leaves the stock of what went into it, and sent twice is
// mixed once.
func TestMixedCansComeOffTheStock(t *testing.T) {
	b := newBench(t, withSample)
	if err := b.server.careForSample(t.Context()); err != nil {
		t.Fatal(err)
	}
	cans, err := b.server.Book.Batches(t.Context(), b.server.Book.Today())
	if err != nil || len(cans) == 0 {
		t.Fatalf("%v, %v", cans, err)
	}
	page := parsePage(t, b.get("/water"))
	values := url.Values{}
	for _, f := range page.all("form") {
		if f.attr["action"] == "/water/batch" {
			values = formValues(f)
			break
		}
	}
	if values.Get("batch") != cans[0].Name {
		t.Fatalf("the first form mixes %q", values.Get("batch"))
	}
	left := func() (grams float64) {
		b.server.Book.Read(func(c *care.Collection) { grams, _ = c.GramsLeft("nitrate feed") })
		return grams
	}
	before := left()
	values.Set("read", "0.44")
	for range 2 {
		expectSeeOther(t, b.post("/water/batch", values), "/water?done=mixed")
	}
	if got, want := before-left(), cans[0].Weighed.Grams[0]; math.Abs(got-want) > 1e-9 {
		t.Errorf("%g g are off the stock, %g g went in", got, want)
	}
	if answer := b.post("/water/batch", url.Values{"batch": {"ZZ"}}); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("a can that is not there: %s", answer.Status)
	}
	// The round's feeds lead to their cans.
	if round := b.get("/"); !strings.Contains(round, `href="/water#can-a"`) {
		t.Error("no feed of the round names its can")
	}
}

func TestStockTanksAndMixing(t *testing.T) {
	b := newBench(t, withSample)
	expectSeeOther(t, b.post("/water/stock", url.Values{"water": {"rain barrel"}, "litres": {"12 gal"}}), "/water?done=kept")
	expectSeeOther(t, b.post("/water/stock", url.Values{"what": {"nitrate feed"}, "left": {"1 kg"}}), "/water?done=kept")
	values := b.values("/water/tank/rain%20barrel", "/water/tank/rain%20barrel")
	for field, value := range map[string]string{"holds": "200", "filled": "roof", "area": "6", "runoff": "90 %"} {
		values.Set(field, value)
	}
	expectSeeOther(t, b.post("/water/tank/rain%20barrel", values), "/water?done=kept")
	b.server.Book.Read(func(c *care.Collection) {
		s := c.Supplies(b.server.Book.Today(), 1, []float64{10.5})
		for _, one := range s {
			if one.Water == "rain barrel" {
				expectClose(t, "stock", one.Stock.Value, 12*3.785411784)
				expectClose(t, "rain", one.InflowL[0].Value, 6*10*0.9)
			}
		}
	})
	for _, bad := range []url.Values{{"water": {"rain barrel"}, "litres": {"-4"}}, {"water": {"rain barrel"}}, {}} {
		if answer := b.post("/water/stock", bad); answer.StatusCode != http.StatusBadRequest && answer.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%v: %s", bad, answer.Status)
		}
	}
	values = b.values("/water/mixing", "/water/mixing")
	values.Set("scale", "10 mg")
	if answer := b.post("/water/mixing", values); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("milligrams are not a unit here: %s", answer.Status)
	}
	values.Set("scale", "0.01")
	values.Set("acid", "nitric")
	if answer := b.post("/water/mixing", values); !strings.Contains(body(t, answer), "How strong is it?") {
		t.Error("an acid without its strength is kept")
	}
	values.Set("acid", "citric")
	expectSeeOther(t, b.post("/water/mixing", values), "/water?done=kept")
}

func TestDrainageTellsWhetherAFlushIsDone(t *testing.T) {
	b := newBench(t, withSample)
	values := b.values("/water/flush", "/water/flush")
	for field, value := range map[string]string{"plant": "P-001", "cup": "100", "input": "0.05", "ec.0": "1.2", "ec.1": "0.5", "ec.2": "0.2"} {
		values.Set(field, value)
	}
	if page := body(t, b.post("/water/flush", values)); !strings.Contains(page, "Not yet") || !strings.Contains(page, "Left in the pot now") {
		t.Error("three falling cups tell nothing")
	}
	values.Set("keep", "yes")
	for i, ec := range []string{"0.06", "0.06"} {
		values.Set([]string{"ec.3", "ec.4"}[i], ec)
	}
	if page := body(t, b.post("/water/flush", values)); !strings.Contains(page, "Kept in the journal of P-001") {
		t.Error("the cups are not kept")
	}
	for _, bad := range []map[string]string{{"plant": "nobody"}, {"cup": ""}, {"ec.0": "salty"}} {
		v := url.Values{"plant": {"P-001"}, "cup": {"100"}, "ec.0": {"1"}}
		for field, value := range bad {
			v.Set(field, value)
		}
		if answer := b.post("/water/flush", v); answer.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%v: %s", bad, answer.Status)
		}
	}
}
