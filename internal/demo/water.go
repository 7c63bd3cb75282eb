package demo

import (
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// Noted is something of the invented collection that is told by an entry rather
// than by its case file.
type Noted struct {
	At     time.Time
	Kind   care.Kind
	Detail care.Detail
}

// Kitchen returns with what the invented grower mixes, and what there is of it:
// a barrel under a roof, a reverse-osmosis unit with its tank, two salts, a
// seaweed extract and a scale. at is a time today.
func Kitchen(at time.Time) ([]Noted, error) {
	given := func(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }
	number := func(v float64) *float64 { return &v }
	before := func(days int) time.Time { return at.AddDate(0, 0, -days) }
	list := []Noted{
		{before(60), care.TankSet, care.Detail{Tank: &care.Tank{Water: "rain barrel", HoldsL: given(200, "L"), Roof: &care.Roof{AreaM2: given(6, "m²")}}}},
		{before(60), care.TankSet, care.Detail{Tank: &care.Tank{Water: "reverse osmosis", HoldsL: given(40, "L"), Unit: &care.OsmosisUnit{
			RatedLPerDay: given(190, "L/day"), PressureBar: given(3.2, "bar"), WaterC: given(16, "°C"), HoursPerDay: given(4, "h"), Source: "mains", MembraneSince: before(500),
		}}}},
		{before(60), care.MixingSet, care.Detail{Mixing: &care.Mixing{ScaleG: given(0.1, "g"), CanL: given(5, "L")}}},
		{before(20), care.MembraneRead, care.Detail{WaterName: "reverse osmosis", Membrane: &care.MembraneReading{SourceECmS: 0.72, PermeateECmS: 0.031, LPerHour: number(4.6), WaterC: number(15)}}},
		{before(1), care.StockRead, care.Detail{Stock: &care.StockReading{Water: "rain barrel", Litres: number(55)}}},
		{before(1), care.StockRead, care.Detail{Stock: &care.StockReading{Water: "reverse osmosis", Litres: number(28)}}},
		{before(9), care.StockRead, care.Detail{Stock: &care.StockReading{What: "nitrate feed", Grams: number(640)}}},
		{before(60), care.FeedSet, care.Detail{Feed: &care.Feed{Name: "seaweed extract", Supplement: true, PerLitre: given(0.5, "")}}},
	}
	seaweed := list[len(list)-1].Detail.Feed
	seaweed.Label.K2OPercent, seaweed.Label.DensityKgPerL = 5, 1.15
	for _, salt := range []struct{ name, formula string }{{"calcium nitrate", "Ca(NO3)2·4H2O"}, {"Epsom salt", "MgSO4·7H2O"}} {
		f, err := care.OfSalts(salt.name, []care.SaltShare{{Formula: salt.formula, Share: 1}})
		if err != nil {
			return nil, err
		}
		list = append(list, Noted{before(60), care.FeedSet, care.Detail{Feed: &f}})
	}
	return list, nil
}
