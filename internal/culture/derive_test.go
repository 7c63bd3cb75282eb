package culture_test

import (
	"math"
	"testing"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/outcome"
)

func TestStomatalClassFollowsItsRule(t *testing.T) {
	table := load(t)
	for _, row := range []struct {
		key   string
		class culture.StomatalClass
		grade basis.Grade
	}{
		{"phalaenopsis", culture.PhalaenopsisStomata, basis.FromMemory},
		{"cattleya-standard", culture.ThickCAMStomata, basis.FromMemory},
		{"vanda-strap-leaf", culture.ThickCAMStomata, basis.FromMemory},
		{"oncidium", culture.ThinC3Stomata, basis.FromMemory},
		{"dendrobium-nobile", culture.ThinC3Stomata, basis.FromMemory},
		{"cymbidium-standard", culture.CymbidiumStomata, basis.FromMemory},
		{"paphiopedilum-maudiae", culture.PaphiopedilumStomata, basis.FromMemory},
		{"phragmipedium-besseae", culture.PaphiopedilumStomata, basis.Assumption},
		{"masdevallia", culture.ThinC3Stomata, basis.Assumption},
		{"dendrobium-latouria", culture.ThinC3Stomata, basis.Assumption}, // leathery, no row of its own
		{"tolumnia", culture.ThickCAMStomata, basis.Assumption},
		{"bulbophyllum", culture.ThinC3Stomata, basis.Assumption}, // pathway unknown, leathery
		{"aerangis", culture.ThickCAMStomata, basis.Assumption},
	} {
		g, err := table.Lookup(row.key)
		if err != nil {
			t.Error(err)
			continue
		}
		if got := g.Derived.Stomata; got.Is != row.class || got.Grade != row.grade {
			t.Errorf("%s: %s, %v; want %s, %v", row.key, got.Is, got.Grade, row.class, row.grade)
		}
	}
}

func TestDerivedFigures(t *testing.T) {
	table := load(t)
	for _, row := range []struct {
		key                                 string
		minimumConductance, ecFactor, cap   float64
		capGrade                            basis.Grade
		firstRoot, firstLow, firstHigh      float64
		firstGrade                          basis.Grade
		fewest                              float64
		fewestOf                            string
		fewestGrade                         basis.Grade
		storage                             culture.StorageOrgan
		reestablished, offSeasonReestablish float64
	}{
		{"phalaenopsis", 1, 1, 325, basis.Published, 30, 14, 70, basis.FromMemory, 0, "", 0, culture.ThickLeafStore, 90, 135},
		{"phalaenopsis-summer", 1, 1, 325, basis.Assumption, 30, 14, 70, basis.FromMemory, 0, "", 0, culture.ThickLeafStore, 90, 135},
		{"cattleya-standard", 1, 1, 0, 0, 14, 5, 40, basis.FromMemory, 3, "pseudobulbs", basis.Published, culture.PseudobulbStore, 90, 180},
		{"oncidium", 4.5, 1, 500, basis.Published, 20, 7, 50, basis.FromMemory, 3, "pseudobulbs", basis.Published, culture.PseudobulbStore, 75, 112.5},
		{"lycaste-deciduous", 4.5, 1, 0, 0, 20, 7 / 1.5, 75, basis.Assumption, 2, "pseudobulbs", basis.Published, culture.PseudobulbStore, 75, 112.5},
		{"masdevallia", 2.5, 0.5, 0, 0, 45, 20 / 1.5, 180, basis.Assumption, 3, "growths", basis.CommonPractice, culture.NoStorage, 150, 225},
		{"cymbidium-standard", 2.5, 1.2, 0, 0, 20, 7 / 1.5, 75, basis.Assumption, 3, "pseudobulbs", basis.Published, culture.PseudobulbStore, 75, 112.5},
		{"paphiopedilum-maudiae", 2.5, 1, 0, 0, 45, 20, 120, basis.FromMemory, 3, "fans", basis.CommonPractice, culture.NoStorage, 150, 225},
		{"leafless-orchids", 15, 1, 0, 0, 45, 14, 150, basis.FromMemory, 0, "", 0, culture.NoStorage, 180, 270},
	} {
		g, err := table.Lookup(row.key)
		if err != nil {
			t.Error(err)
			continue
		}
		first := g.Derived.Recovery.FirstRoot.Days
		for name, pair := range map[string][2]float64{
			"minimum conductance":            {g.Derived.MinimumConductance.Value, row.minimumConductance},
			"EC factor":                      {g.Derived.ECCapFactor.Value, row.ecFactor},
			"photoinhibition":                {g.PhotoinhibitionUmol.Value.Value, row.cap},
			"first root":                     {first.Value, row.firstRoot},
			"first root, 10 %":               {first.Low, row.firstLow},
			"first root, 90 %":               {first.High, row.firstHigh},
			"fewest":                         {g.Division.Fewest.Value, row.fewest},
			"re-established":                 {g.Derived.Recovery.Reestablished.Days.Value, row.reestablished},
			"re-established, off the season": {g.Derived.Recovery.ReestablishedOffSeason.Days.Value, row.offSeasonReestablish},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-9 {
				t.Errorf("%s: %s is %v, want %v", row.key, name, pair[0], pair[1])
			}
		}
		if g.PhotoinhibitionUmol.Value.Grade != row.capGrade || first.Grade != row.firstGrade ||
			g.Division.Fewest.Unit != row.fewestOf || g.Division.Fewest.Grade != row.fewestGrade || g.Storage.Is != row.storage {
			t.Errorf("%s: grades or classes differ: %+v", row.key, g)
		}
	}
}

// Computed independently: ln 30 = 3.401, ln(70/14)/2.563 = 0.628, printed to
// three digits.
func TestPhalaenopsisFirstRootPrior(t *testing.T) {
	g, err := load(t).Lookup("Phalaenopsis")
	if err != nil {
		t.Fatal(err)
	}
	prior, err := outcome.NewLogNormalPrior(g.Derived.Recovery.FirstRoot.Days, outcome.PriorPlants)
	if err != nil {
		t.Fatal(err)
	}
	if logMedian := math.Log(prior.MedianDays); math.Abs(logMedian-3.401) > 5e-4 || math.Abs(prior.LogSD-0.628) > 5e-4 {
		t.Errorf("log-normal (%.4f, %.4f), want (3.401, 0.628)", logMedian, prior.LogSD)
	}
}
