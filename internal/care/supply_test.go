package care_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/science/basis"
)

func given(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }

// supplied is a collection with a tank under a unit and a barrel under a roof.
func supplied(t *testing.T, at func(day int) time.Time, more ...care.Entry) *care.Collection {
	t.Helper()
	entries := []care.Entry{
		{Kind: care.WaterSet, Detail: care.Detail{Water: &care.Water{Name: "mains", ECmS: given(0.7, "mS/cm")}}},
		{Kind: care.WaterSet, Detail: care.Detail{Water: &care.Water{Name: "pure", ECmS: given(0.02, "mS/cm")}}},
		{Kind: care.WaterSet, Detail: care.Detail{Water: &care.Water{Name: "rain", ECmS: given(0.03, "mS/cm")}}},
		{Kind: care.TankSet, Detail: care.Detail{Tank: &care.Tank{Water: "pure", HoldsL: given(60, "L"), Unit: &care.OsmosisUnit{
			RatedLPerDay: given(100, "L/day"), RatedBar: given(4, "bar"), PressureBar: given(4, "bar"), WaterC: given(25, "°C"),
			HoursPerDay: given(6, "h"), Source: "mains", RecoveryPercent: given(25, "%"),
		}}}},
		{Kind: care.TankSet, Detail: care.Detail{Tank: &care.Tank{Water: "rain", HoldsL: given(200, "L"), Roof: &care.Roof{
			AreaM2: given(10, "m²"), RunoffShare: given(0.8, "share"), FirstMM: given(1, "mm"),
		}}}},
		{Kind: care.StockRead, Detail: care.Detail{Stock: &care.StockReading{Water: "pure", Litres: new(30.0)}}},
		{Kind: care.StockRead, Detail: care.Detail{Stock: &care.StockReading{Water: "rain", Litres: new(50.0)}}},
	}
	entries = append(entries, more...)
	for i := range entries {
		entries[i].ID = fmt.Sprintf("00000000-0000-7000-8000-%012x", i+1)
		if entries[i].At.IsZero() {
			entries[i].At = at(0)
		}
		if problems := entries[i].Check(at(30)); len(problems) > 0 {
			t.Fatalf("entry %d: %v", i, problems)
		}
	}
	return care.Replay(entries, at(30))
}

func noon(day int) time.Time {
	return time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC).AddDate(0, 0, day)
}

func supplyOf(t *testing.T, c *care.Collection, water string, on time.Time, days int, rain []float64) care.Supply {
	t.Helper()
	for _, s := range c.Supplies(on, days, rain) {
		if s.Water == water {
			return s
		}
	}
	t.Fatalf("no supply of %s", water)
	return care.Supply{}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %g, want %g ± %g", what, got, want, tolerance)
	}
}

func TestSuppliesCountWhatCameAndWent(t *testing.T) {
	const plant = "00000000-0000-7000-8000-0000000000aa"
	c := supplied(t, noon,
		care.Entry{Kind: care.PlantSet, Plant: plant, Detail: care.Detail{Plant: &care.Plant{Label: "A"}}},
		care.Entry{Kind: care.FlushDone, Plant: plant, At: noon(1), Detail: care.Detail{VolumeML: new(2000.0), WaterName: "pure"}},
		// With nothing said, what was poured is the water with least salt.
		care.Entry{Kind: care.WaterGiven, Plant: plant, At: noon(2), Detail: care.Detail{VolumeML: new(500.0)}},
		care.Entry{Kind: care.RainFell, At: noon(2), Detail: care.Detail{RainMM: new(6.0)}},
		// A feed of a day with a batch came out of it.
		care.Entry{Kind: care.BatchMade, At: noon(2), Detail: care.Detail{Batch: &care.BatchMixed{Name: "A", Litres: 10,
			Waters: []care.LitresOf{{Water: "rain", Litres: 8}, {Water: "mains", Litres: 2}}}}},
		care.Entry{Kind: care.FeedDone, Plant: plant, At: noon(2), Detail: care.Detail{VolumeML: new(900.0), WaterName: "rain"}},
		care.Entry{Kind: care.FeedDone, Plant: plant, At: noon(3), Detail: care.Detail{VolumeML: new(1000.0), WaterName: "rain"}},
	)
	if s := supplyOf(t, c, "mains", noon(3), 3, nil); s.Limited || s.Ahead(noon(3), []float64{1e9}) != nil {
		t.Errorf("a tap has no limit: %+v", s)
	}
	// The unit makes 100·6/24 L a day, less the osmotic pressure of 0.7 mS/cm:
	// 0.7·640 mg/L is about 0.3 bar of 4.
	pure := supplyOf(t, c, "pure", noon(3), 3, nil)
	made := pure.InflowL[0].Value
	near(t, "made in a day", made, 25*(4-0.31)/4, 0.2)
	near(t, "let away for each litre", pure.RejectL, 3, 1e-9)
	// 30 read, then three days of production, less 2 and 0.5; full at 60.
	near(t, "pure water in stock", pure.Stock.Value, math.Min(60, math.Min(60, 30+made-0+made-2)+made-0.5), 1e-9)
	rain := supplyOf(t, c, "rain", noon(3), 3, []float64{0, 11})
	// 50 + 10·(6 − 1)·0.8 − 8 of the batch − 1 of a feed without one.
	near(t, "rain in stock", rain.Stock.Value, 50+40-8-1, 1e-9)
	near(t, "rain to come", rain.InflowL[1].Value, 80, 1e-9)
	near(t, "rain that is not expected", rain.InflowL[2].Value, 0, 0)
	days := rain.Ahead(noon(3), []float64{60, 40, 200})
	// 81−60 = 21; 40 wanted, 21 there; 80 came; 200 wanted, 80 there.
	for i, want := range []care.SupplyDay{{MorningL: 81, EveningL: 21}, {MorningL: 21, ShortL: 19, EveningL: 80}, {MorningL: 80, ShortL: 120}} {
		near(t, "morning", days[i].MorningL, want.MorningL, 1e-9)
		near(t, "short", days[i].ShortL, want.ShortL, 1e-9)
		near(t, "evening", days[i].EveningL, want.EveningL, 1e-9)
	}
}

func TestAJugAndAWatchReplaceTheRating(t *testing.T) {
	c := supplied(t, noon, care.Entry{Kind: care.MembraneRead, Detail: care.Detail{Membrane: &care.MembraneReading{
		SourceECmS: 0.7, PermeateECmS: 0.02, LPerHour: new(2.5), WaterC: new(25.0),
	}}})
	s := supplyOf(t, c, "pure", noon(0), 1, nil)
	near(t, "made in a day", s.InflowL[0].Value, 2.5*6, 0.01)
	if s.InflowL[0].Grade != basis.Assumption || s.Because == nil { // the loss by age is assumed
		t.Errorf("%+v", s)
	}
}

// What is in a tank never turns negative nor runs over, and the water balance
// closes: what was there and came in is what was taken, is left, or ran over.
func TestTanksCloseTheirBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		litres := rapid.Float64Range(0, 300)
		s := care.Supply{Limited: true, HoldsL: rapid.Float64Range(10, 400).Draw(t, "holds")}
		s.Stock = given(math.Min(s.HoldsL, litres.Draw(t, "stock")), "L")
		n := rapid.IntRange(1, 20).Draw(t, "days")
		use := make([]float64, n)
		for i := range use {
			use[i] = litres.Draw(t, "use")
			s.InflowL = append(s.InflowL, given(litres.Draw(t, "inflow"), "L"))
		}
		there := s.Stock.Value
		for i, d := range s.Ahead(noon(0), use) {
			if d.EveningL < 0 || d.EveningL > s.HoldsL || d.ShortL < 0 || d.SpillL < 0 {
				t.Fatalf("day %d: %+v", i, d)
			}
			if after := there - (use[i] - d.ShortL) + s.InflowL[i].Value - d.SpillL; math.Abs(after-d.EveningL) > 1e-9*(1+after) {
				t.Fatalf("day %d does not close: %g against %g", i, after, d.EveningL)
			}
			there = d.EveningL
		}
	})
}

func TestTanksAreChecked(t *testing.T) {
	for _, c := range []struct {
		name   string
		kind   care.Kind
		detail care.Detail
		field  string
	}{
		{"a tank of nothing", care.TankSet, care.Detail{Tank: &care.Tank{}}, "detail.tank.water"},
		{"a tank without end", care.TankSet, care.Detail{Tank: &care.Tank{Water: "a", HoldsL: given(math.Inf(1), "L")}}, "detail.tank.holds_l"},
		{"two that fill it", care.TankSet, care.Detail{Tank: &care.Tank{Water: "a", Roof: &care.Roof{}, Unit: &care.OsmosisUnit{}}}, "detail.tank.unit"},
		{"a roof that makes water", care.TankSet, care.Detail{Tank: &care.Tank{Water: "a", Roof: &care.Roof{RunoffShare: given(1.2, "share")}}}, "detail.tank.roof.runoff_share"},
		{"boiling", care.TankSet, care.Detail{Tank: &care.Tank{Water: "a", Unit: &care.OsmosisUnit{WaterC: given(100, "°C")}}}, "detail.tank.unit.water_c"},
		{"no tank", care.TankSet, care.Detail{}, "detail.tank"},
		{"permeate saltier than its source", care.MembraneRead, care.Detail{Membrane: &care.MembraneReading{SourceECmS: 0.1, PermeateECmS: 0.2}}, "detail.membrane.permeate_ec_ms"},
		{"less than nothing", care.StockRead, care.Detail{Stock: &care.StockReading{Water: "a", Litres: new(-1.0)}}, "detail.stock.litres"},
		{"a stock of what?", care.StockRead, care.Detail{Stock: &care.StockReading{Litres: new(1.0)}}, "detail.stock.water"},
		{"an empty batch", care.BatchMade, care.Detail{Batch: &care.BatchMixed{Name: "A"}}, "detail.batch.litres"},
		{"a batch of less than nothing", care.BatchMade, care.Detail{Batch: &care.BatchMixed{Name: "A", Litres: 1, Weighed: []care.GramsOf{{What: "feed", Grams: math.NaN()}}}}, "detail.batch.weighed[0]"},
	} {
		e := care.Entry{ID: "00000000-0000-7000-8000-000000000001", At: noon(0), Kind: c.kind, Detail: c.detail}
		found := false
		for _, p := range e.Check(noon(0)) {
			found = found || p.Field == c.field
		}
		if !found {
			t.Errorf("%s: %v, want %s", c.name, e.Check(noon(0)), c.field)
		}
	}
}
