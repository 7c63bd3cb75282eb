package care_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

// fed is a feed job of a plant that wants so much nitrogen.
func fed(i int, feed, from string, ppmN, mL float64) care.Job {
	label := fmt.Sprintf("P-%03d", i)
	return care.Job{
		Key: label + "/feed/2026-11-01", Plant: label, Label: label, Task: care.Feeding, Due: noon(0), ML: mL, Water: from,
		Dose: &care.Dose{Feed: feed, Water: from, PpmN: basis.Assumed(ppmN, ppmN, ppmN, "ppm N"), ECmS: basis.Assumed(0.03+0.0087*ppmN, 0, 1, "mS/cm")},
	}
}

func nitrateFeed() *care.Feed {
	return &care.Feed{Name: "nitrate feed", Label: water.Label{NPercent: 13, P2O5Percent: 3, K2OPercent: 15, CaPercent: 8, MgPercent: 2}}
}

func TestBatchesServeEveryFeed(t *testing.T) {
	c := supplied(t, noon, care.Entry{Kind: care.FeedSet, Detail: care.Detail{Feed: nitrateFeed()}})
	jobs := []care.Job{
		fed(1, "nitrate feed", "rain", 50, 300), fed(2, "nitrate feed", "rain", 52, 300), fed(3, "nitrate feed", "rain", 100, 400),
		{Key: "P-001/flush/2026-11-01", Plant: "P-001", Task: care.Flushing, ML: 9000, Water: "rain"},
		fed(4, "nitrate feed", "rain", 0, 100), // not fed at all
	}
	list := c.PlanBatches(jobs, noon(0))
	if len(list) != 2 || jobs[0].Batch != "A" || jobs[1].Batch != "A" || jobs[2].Batch != "B" || jobs[3].Batch != "" || jobs[4].Batch != "" {
		t.Fatalf("%d batches; %q %q %q", len(list), jobs[0].Batch, jobs[1].Batch, jobs[2].Batch)
	}
	for _, b := range list {
		if !b.Mix.Met || b.Why != "" {
			t.Errorf("batch %s: %+v", b.Name, b)
		}
		litres := 0.0
		for _, l := range b.Weighed.WaterL {
			litres += l
		}
		near(t, "litres poured", litres, b.Litres, 1e-9)
		// The feed's own ratio: 13 % N, so grams are N/(10·13) a litre.
		near(t, "grams", b.Mix.Grams[0]/b.Litres, b.Mix.Goal/130, 0.002)
		if b.Weighed.WaterL[2] != b.Litres {
			t.Errorf("batch %s is not mixed with the usual water: %v", b.Name, b.Weighed.WaterL)
		}
	}
	near(t, "litres of the first", list[0].Litres, 0.7, 1e-9) // 0.6 and a spare twentieth, in steps of 0.1
	if !slices.Equal(list[0].Labels, []string{"P-001", "P-002"}) {
		t.Errorf("%v", list[0].Labels)
	}
}

// Rain that today's flushes take is not mixed with; with little left, other water
// fills up, and what there is is used once.
func TestBatchesShareWhatThereIs(t *testing.T) {
	c := supplied(t, noon, care.Entry{Kind: care.FeedSet, Detail: care.Detail{Feed: nitrateFeed()}},
		care.Entry{Kind: care.StockRead, Detail: care.Detail{Stock: &care.StockReading{What: "Nitrate feed", Grams: new(4.0)}}})
	jobs := []care.Job{
		fed(1, "nitrate feed", "rain", 40, 3000), fed(2, "nitrate feed", "rain", 100, 5000),
		{Key: "P-003/flush/2026-11-01", Plant: "P-003", Task: care.Flushing, ML: 46_000, Water: "rain"},
	}
	list := c.PlanBatches(jobs, noon(0))
	if len(list) != 2 {
		t.Fatalf("%d batches", len(list))
	}
	rain, grams := 0.0, 0.0
	for _, b := range list {
		rain += b.Mix.WaterL[2]
		grams += b.Mix.Grams[0]
	}
	if rain > 4+1e-6 {
		t.Errorf("%g L of rain: of the 50 there are, 46 are poured", rain)
	}
	near(t, "feed", grams, 4, 1e-6)
	last := list[1]
	if last.Mix.Met || len(last.Mix.Stops) == 0 || last.Mix.Stops[0].Stock != "nitrate feed" {
		t.Errorf("the feed runs out: %+v", last.Mix)
	}
}

// A plain feed on pure water has no calcium; a salt beside it brings it, and
// seaweed's potassium counts.
func TestSaltsAndSupplementsComeIn(t *testing.T) {
	lime, err := care.OfSalts("calcium nitrate", []care.SaltShare{{Formula: "Ca(NO3)2·4H2O", Share: 1}})
	if err != nil {
		t.Fatal(err)
	}
	// 11.863 % N and 16.972 % Ca, from atomic weights.
	near(t, "N of the salt", lime.Label.NPercent, 11.863, 0.001)
	near(t, "Ca of the salt", lime.Label.CaPercent, 16.972, 0.001)
	weed := care.Feed{Name: "seaweed", Supplement: true, Label: water.Label{K2OPercent: 6, DensityKgPerL: 1.2}, PerLitre: given(1, "mL/L")}
	plain := care.Feed{Name: "plain feed", Label: water.Label{NPercent: 20, P2O5Percent: 10, K2OPercent: 20}}
	entries := []care.Entry{{Kind: care.FeedSet, Detail: care.Detail{Feed: &plain}}}
	jobs := []care.Job{fed(1, "plain feed", "pure", 100, 900)}
	without := supplied(t, noon, entries...).PlanBatches(jobs, noon(0))[0]
	if without.Mix.Met && without.Mix.WaterL[0] == without.Litres {
		t.Errorf("calcium out of nothing: %+v", without.Mix)
	}
	entries = append(entries, care.Entry{Kind: care.FeedSet, Detail: care.Detail{Feed: &lime}}, care.Entry{Kind: care.FeedSet, Detail: care.Detail{Feed: &weed}},
		care.Entry{Kind: care.FeedSet, Detail: care.Detail{Feed: &care.Feed{Name: "Epsom salt", Salts: []care.SaltShare{{Formula: "MgSO4·7H2O", Share: 1}}}}},
		care.Entry{Kind: care.MixingSet, Detail: care.Detail{Mixing: &care.Mixing{Supplement: "seaweed", ScaleG: given(0.01, "g"), AlkalinityMost: given(20, "mg/L CaCO3")}}})
	with := supplied(t, noon, entries...).PlanBatches(jobs, noon(0))[0]
	if !with.Mix.Met || with.Mix.Grams[1] == 0 || len(with.Mix.Always) != 1 {
		t.Fatalf("%+v", with.Mix)
	}
	near(t, "seaweed", with.Mix.Always[0]/with.Litres, 1.2, 1e-9)
	if with.Mix.Ions.MgPerL(water.Ca) < 40-1e-6 || with.Mix.Ions.MgPerL(water.Mg) < 10-1e-6 || !with.KeepApart {
		t.Errorf("%+v", with)
	}
	near(t, "N", with.Mix.Goal, 100, 1e-4)
}

// A water out of a softener is not chosen, and is told of where it is the usual.
func TestSoftenedWaterIsNotChosen(t *testing.T) {
	soft := care.Water{Name: "mains", ECmS: given(0.7, "mS/cm"), AlkalinityMgLCaCO3: given(200, "mg/L CaCO3"), SoftenedByIonExchange: true}
	entries := []care.Entry{
		{Kind: care.FeedSet, Detail: care.Detail{Feed: nitrateFeed()}}, {Kind: care.WaterSet, Detail: care.Detail{Water: &soft}},
		{Kind: care.StockRead, Detail: care.Detail{Stock: &care.StockReading{Water: "pure", Litres: new(0.0)}}},
		{Kind: care.StockRead, Detail: care.Detail{Stock: &care.StockReading{Water: "rain", Litres: new(1.0)}}},
	}
	list := supplied(t, noon, entries...).PlanBatches([]care.Job{fed(1, "nitrate feed", "rain", 50, 3000)}, noon(0))
	if b := list[0]; b.Mix.WaterL[0] != 0 || b.Mix.Met || b.Mix.MissesL == 0 {
		t.Errorf("%+v", b.Mix)
	}
	list = supplied(t, noon, entries...).PlanBatches([]care.Job{fed(1, "nitrate feed", "mains", 50, 3000)}, noon(0))
	if !list[0].Softened {
		t.Error("the softener is not told of")
	}
}

// many are the feeds of a nursery: strengths all over, two feeds.
func many(n int) []care.Job {
	r := rand.New(rand.NewPCG(1, 2))
	jobs := make([]care.Job, n)
	for i := range jobs {
		jobs[i] = fed(i, []string{"nitrate feed", "plain feed"}[r.IntN(2)], "rain", 20+120*r.Float64(), 150+300*r.Float64())
	}
	return jobs
}

func TestFiveHundredPlantsTakeFewCans(t *testing.T) {
	c := nursery()
	jobs := many(500)
	list := c.PlanBatches(jobs, noon(0))
	if len(list) > 16 {
		t.Errorf("%d cans", len(list))
	}
	for _, j := range jobs {
		i := slices.IndexFunc(list, func(b care.PlannedBatch) bool { return b.Name == j.Batch })
		if i < 0 {
			t.Fatalf("%s is in no can", j.Label)
		}
		if g := list[i].Goal; g.Value < 0.8*j.Dose.PpmN.Value-1e-9 || g.Value > 1.1*j.Dose.PpmN.Value+1e-9 || !strings.EqualFold(list[i].Feed, j.Dose.Feed) {
			t.Fatalf("can %s of %g for %g", list[i].Name, g.Value, j.Dose.PpmN.Value)
		}
	}
}

// nursery has two feeds, three salts and much water.
func nursery() *care.Collection {
	c := care.NewCollection()
	c.Waters = []care.Water{
		{Name: "mains", ECmS: given(0.72, "mS/cm"), HardnessMgLCaCO3: given(285, "mg/L CaCO3"), AlkalinityMgLCaCO3: given(210, "mg/L CaCO3")},
		{Name: "rain", ECmS: given(0.03, "mS/cm")}, {Name: "pure", ECmS: given(0.02, "mS/cm")},
	}
	c.Feeds = []care.Feed{*nitrateFeed(), {Name: "plain feed", Label: water.Label{NPercent: 20, P2O5Percent: 10, K2OPercent: 20}}}
	for _, formula := range []string{"Ca(NO3)2·4H2O", "MgSO4·7H2O", "KNO3"} {
		f, err := care.OfSalts(formula, []care.SaltShare{{Formula: formula, Share: 1}})
		if err != nil {
			panic(err)
		}
		c.Feeds = append(c.Feeds, f)
	}
	return c
}

func BenchmarkBatches500(b *testing.B) {
	c, jobs := nursery(), many(500)
	b.ReportAllocs()
	for b.Loop() {
		if list := c.PlanBatches(jobs, noon(0)); len(list) == 0 || math.IsNaN(list[0].Litres) {
			b.Fatal("no batches")
		}
	}
}
