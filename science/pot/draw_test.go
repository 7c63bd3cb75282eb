package pot_test

import (
	"pgregory.net/rapid"

	"velamen/science/pot"
)

func drawWettability(t *rapid.T, least pot.Wettability) pot.Wettability {
	capture := func(low float64, name string) float64 { return rapid.Float64Range(low, 1).Draw(t, name) }
	rate := func(low float64, name string) float64 { return rapid.Float64Range(low, 30).Draw(t, name) }
	var w pot.Wettability
	w.CaptureDry = capture(max(0.01, least.CaptureDry), "capture dry")
	w.CaptureWet = capture(max(w.CaptureDry, least.CaptureWet), "capture wet")
	w.UptakeDryPerDay = rate(max(0.001, least.UptakeDryPerDay), "uptake dry")
	w.UptakeMoistPerDay = rate(max(w.UptakeDryPerDay, least.UptakeMoistPerDay), "uptake moist")
	return w
}

func drawMedium(t *rapid.T) pot.Medium {
	m := pot.Medium{
		Porosity:        rapid.Float64Range(0.4, 0.98).Draw(t, "porosity"),
		ParticleShare:   rapid.Float64Range(0, 0.9).Draw(t, "particle share"),
		BulkDensity:     rapid.Float64Range(0.02, 1).Draw(t, "bulk density"),
		HalfThicknessMM: rapid.Float64Range(0.02, 15).Draw(t, "half thickness"),
		Tanks:           rapid.IntRange(1, pot.MaxTanks).Draw(t, "tanks"),
		Bypass:          rapid.Float64Range(0, 0.9).Draw(t, "bypass"),
		ReadyMM:         rapid.Float64Range(0.1, 15).Draw(t, "ready"),
		DryingMM:        rapid.Float64Range(1, 300).Draw(t, "drying depth"),
		WallContact:     rapid.Float64Range(0, 1).Draw(t, "wall contact"),
	}
	m.CapacityLab = rapid.Float64Range(0.05, m.Porosity).Draw(t, "capacity")
	m.Fresh = drawWettability(t, pot.Wettability{})
	m.Aged = m.Fresh
	if rapid.Bool().Draw(t, "ages") {
		m.Aged = drawWettability(t, m.Fresh)
	}
	return m
}

func drawParameters(t *rapid.T) pot.Parameters {
	parameters := pot.Defaults()
	for name, v := range parameters.All() {
		v.Value = rapid.Float64Range(v.Low, v.High).Draw(t, name)
	}
	return parameters
}

// drawPot makes any pot, basket or mount, from a thimble to a tub.
func drawPot(t *rapid.T) *pot.Pot {
	size := rapid.Float64Range(pot.SmallestCM, pot.LargestCM)
	var p *pot.Pot
	var err error
	if rapid.IntRange(0, 3).Draw(t, "kind") == 0 {
		p, err = pot.NewMount(pot.Mount{
			WidthCM: size.Draw(t, "width"), HeightCM: size.Draw(t, "height"),
			StoreMM:  rapid.Float64Range(0.05, 8).Draw(t, "store"),
			PadMM:    rapid.Float64Range(0, 30).Draw(t, "pad"),
			PadWater: rapid.Float64Range(0, 0.8).Draw(t, "pad water"),
			Wetting:  drawWettability(t, pot.Wettability{}),
			Bypass:   rapid.Float64Range(0, 0.9).Draw(t, "mount bypass"),
		}, drawParameters(t))
	} else {
		round := pot.Round{
			TopCM: size.Draw(t, "top"), BaseCM: size.Draw(t, "base"), HeightCM: size.Draw(t, "height"),
			WallShare: rapid.Float64Range(0, 1).Draw(t, "wall share"),
		}
		geometry, errGeometry := round.Geometry()
		if errGeometry != nil {
			t.Fatal(errGeometry)
		}
		p, err = pot.New(geometry, drawMedium(t), 0, drawParameters(t))
	}
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func drawState(t *rapid.T, p *pot.Pot) pot.State {
	share := rapid.Float64Range(0, 1)
	s, err := p.Fill(share.Draw(t, "film"), share.Draw(t, "particles"),
		rapid.Float64Range(0, 10).Draw(t, "EC"), share.Draw(t, "age"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// drawForcing makes a climate of one typical day, repeated.
func drawForcing(t *rapid.T, p *pot.Pot, hours int) pot.Forcing {
	f := pot.Forcing{
		DemandML: make([]float64, hours), PotentialEvaporationMM: make([]float64, hours), RHPercent: make([]float64, hours),
	}
	most := 0.3 * p.CapacityML()
	demand := rapid.SliceOfN(rapid.Float64Range(0, min(most, pot.LargestDemandML)), 24, 24).Draw(t, "demand")
	potential := rapid.SliceOfN(rapid.Float64Range(0, 1), 24, 24).Draw(t, "potential")
	rh := rapid.SliceOfN(rapid.Float64Range(0, 100), 24, 24).Draw(t, "rh")
	for i := range hours {
		f.DemandML[i], f.PotentialEvaporationMM[i], f.RHPercent[i] = demand[i%24], potential[i%24], rh[i%24]
	}
	return f
}

func drawPours(t *rapid.T, p *pot.Pot, hours int) []pot.Pour {
	var pours []pot.Pour
	hour := 0
	for range rapid.IntRange(0, 12).Draw(t, "pours") {
		hour += rapid.IntRange(0, hours/6).Draw(t, "wait")
		if hour >= hours {
			break
		}
		volume := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, min(pot.LargestPourML, 3*p.CapacityML())),
			rapid.Float64Range(0, pot.LargestPourML))
		pours = append(pours, pot.Pour{Hour: hour, ML: volume.Draw(t, "mL"), ECmS: rapid.Float64Range(0, 5).Draw(t, "pour EC")})
	}
	return pours
}
