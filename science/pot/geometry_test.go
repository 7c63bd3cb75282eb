package pot_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/checktable"
	"velamen/science/pot"
)

func TestRoundPotsOfTheTable(t *testing.T) {
	const half = 0.5 // the last printed digit, halved
	for _, row := range checktable.Rows(t, "geometry.csv") {
		g, err := pot.Round{
			TopCM: row.Number(t, "top_cm"), BaseCM: row.Number(t, "base_cm"),
			HeightCM: row.Number(t, "height_cm"), WallShare: 1,
		}.Geometry()
		if err != nil {
			t.Fatal(err)
		}
		for column, got := range map[string]float64{
			"volume_ml": g.VolumeML, "surface_cm2": g.SurfaceCM2, "wall_cm2": g.WallCM2,
		} {
			if want := row.Number(t, column); math.Abs(got-want) > half {
				t.Errorf("%s: %s is %.2f, table %.0f", row["name"], column, got, want)
			}
		}
	}
}

func TestSquarePotWithoutTaperIsABox(t *testing.T) {
	g, err := pot.Square{TopCM: 10, BaseCM: 10, HeightCM: 9, HeadspaceMM: 10, WallShare: 0.5}.Geometry()
	if err != nil {
		t.Fatal(err)
	}
	want := pot.Geometry{VolumeML: 800, SurfaceCM2: 100, WallCM2: 160, HeightMM: 80}
	if math.Abs(g.VolumeML-want.VolumeML) > 1e-9 || g.SurfaceCM2 != want.SurfaceCM2 ||
		math.Abs(g.WallCM2-want.WallCM2) > 1e-9 || math.Abs(g.HeightMM-want.HeightMM) > 1e-9 {
		t.Errorf("got %+v, want %+v", g, want)
	}
}

// A square pot holds 4/π times the round pot of the same widths.
func TestSquareToRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.Float64Range(pot.SmallestCM, pot.LargestCM)
		top, base, height := side.Draw(t, "top"), side.Draw(t, "base"), side.Draw(t, "height")
		headspace := rapid.Float64Range(0, 10*height-5).Draw(t, "headspace")
		round, errRound := pot.Round{TopCM: top, BaseCM: base, HeightCM: height, HeadspaceMM: headspace, WallShare: 1}.Geometry()
		square, errSquare := pot.Square{TopCM: top, BaseCM: base, HeightCM: height, HeadspaceMM: headspace, WallShare: 1}.Geometry()
		if errRound != nil || errSquare != nil {
			t.Fatal(errRound, errSquare)
		}
		for _, pair := range [][2]float64{
			{square.VolumeML, round.VolumeML}, {square.SurfaceCM2, round.SurfaceCM2}, {square.WallCM2, round.WallCM2},
		} {
			if ratio := pair[0] / pair[1]; math.Abs(ratio-4/math.Pi) > 1e-9 {
				t.Fatalf("square over round is %g, want 4/π", ratio)
			}
		}
	})
}

func TestPotsThatCannotBe(t *testing.T) {
	for name, r := range map[string]pot.Round{
		"taller than a person": {TopCM: 30, BaseCM: 20, HeightCM: 190},
		"thimble":              {TopCM: 0.3, BaseCM: 0.3, HeightCM: 1},
		"no medium left":       {TopCM: 10, BaseCM: 8, HeightCM: 9, HeadspaceMM: 90},
		"not a number":         {TopCM: math.NaN(), BaseCM: 8, HeightCM: 9},
		"wall twice over":      {TopCM: 10, BaseCM: 8, HeightCM: 9, WallShare: 2},
	} {
		var outside *pot.RangeError
		if _, err := r.Geometry(); !errors.As(err, &outside) {
			t.Errorf("%s: got %v, want a range error", name, err)
		}
	}
}

// What a grower reads off a filled pot: volume less the roots, air at capacity
// and dry mass, each by its own definition.
func TestPotGivesItsVolumeAirAndMass(t *testing.T) {
	geometry, err := twelve.Geometry()
	if err != nil {
		t.Fatal(err)
	}
	m := bark()
	p, err := pot.New(geometry, m, 60, pot.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	volume := geometry.VolumeML - 60
	for name, pair := range map[string][2]float64{
		"volume":        {p.VolumeML(), volume},
		"air and water": {p.AirSpaceML() + p.CapacityML(), m.Porosity * volume},
		"dry mass":      {p.DryMediumG(), m.BulkDensity * volume},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-9*volume {
			t.Errorf("%s is %g, want %g", name, pair[0], pair[1])
		}
	}
	if _, err := pot.New(geometry, m, geometry.VolumeML, pot.Defaults()); err == nil {
		t.Error("a pot of nothing but roots was accepted")
	}
}
