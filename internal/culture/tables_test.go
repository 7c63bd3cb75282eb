package culture_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"velamen/internal/checktable"
	"velamen/internal/culture"
	"velamen/science/basis"
)

// What is not solid is water or air once a medium has drained.
func TestMediaVolumesClose(t *testing.T) {
	for _, m := range load(t).Media() {
		if gap := m.TotalPorosity.Value - m.AirSpace.Value - m.ThetaCapacity.Value; math.Abs(gap) > 1e-9 {
			t.Errorf("%s: porosity %v is not air %v + water %v", m.Key, m.TotalPorosity.Value, m.AirSpace.Value, m.ThetaCapacity.Value)
		}
		if m.ThetaCapacityFresh.Value > m.ThetaCapacity.Value {
			t.Errorf("%s holds more fresh than aged", m.Key)
		}
		for name, c := range map[string]culture.Capture{"fresh": m.CaptureFresh, "aged": m.CaptureAged} {
			if c.Dry.Value > c.Moist.Value || c.Moist.Value > c.Wet.Value {
				t.Errorf("%s, %s: captures more when drier: %+v", m.Key, name, c)
			}
		}
		if m.CaptureFresh.Dry.Value > m.CaptureAged.Dry.Value {
			t.Errorf("%s captures more fresh than aged", m.Key)
		}
		if m.ReadilyEvaporated.Value > m.TotalEvaporated.Value || m.SoakDryPerDay.Value > m.SoakWetPerDay.Value {
			t.Errorf("%s: readily evaporated %v of %v mm, soaking %v then %v a day", m.Key,
				m.ReadilyEvaporated.Value, m.TotalEvaporated.Value, m.SoakDryPerDay.Value, m.SoakWetPerDay.Value)
		}
		// A layer of 100 mm cannot lose more than it holds.
		if most := 100 * m.ThetaCapacity.High; m.TotalEvaporated.Value > most {
			t.Errorf("%s: %v mm evaporate from 100 mm that hold %v mm", m.Key, m.TotalEvaporated.Value, most)
		}
	}
}

func TestMediaFiguresWithASource(t *testing.T) {
	table := load(t)
	for _, row := range []struct {
		medium, quantity string
		got              func(culture.Medium) basis.Value
		want             float64
		grade            basis.Grade
	}{
		// Int. J. Agronomy 2012, 978528, table 1, printed to 0.01.
		{"milled bark", "porosity", func(m culture.Medium) basis.Value { return m.TotalPorosity }, 0.79, basis.Published},
		{"milled bark", "air", func(m culture.Medium) basis.Value { return m.AirSpace }, 0.31, basis.Published},
		{"milled bark", "water", func(m culture.Medium) basis.Value { return m.ThetaCapacity }, 0.48, basis.Published},
		{"peat", "water", func(m culture.Medium) basis.Value { return m.ThetaCapacity }, 0.87, basis.Published},
		{"peat", "density", func(m culture.Medium) basis.Value { return m.BulkDensityGPerCM3 }, 0.11, basis.Published},
		// Working figures, from memory or assumed.
		{"coarse bark", "water", func(m culture.Medium) basis.Value { return m.ThetaCapacity }, 0.15, basis.FromMemory},
		{"medium fir bark", "dry soak", func(m culture.Medium) basis.Value { return m.SoakDryPerDay }, 0.02, basis.Assumption},
		{"sphagnum", "water", func(m culture.Medium) basis.Value { return m.ThetaCapacity }, 0.70, basis.FromMemory},
		{"LECA", "capture", func(m culture.Medium) basis.Value { return m.CaptureFresh.Moist }, 0.65, basis.Assumption},
		{"gravel", "water", func(m culture.Medium) basis.Value { return m.ThetaCapacity }, 0.05, basis.Assumption},
	} {
		m, err := table.Medium(row.medium)
		if err != nil {
			t.Error(err)
			continue
		}
		if got := row.got(m); got.Value != row.want || got.Grade != row.grade {
			t.Errorf("%s: %s is %v (%v), want %v (%v)", row.medium, row.quantity, got.Value, got.Grade, row.want, row.grade)
		}
	}
	for name, lasts := range map[string]bool{"pumice": true, "lava": true, "LECA": true, "gravel": true, "sand": true, "limestone": true, "medium bark": false, "moss": false} {
		if m, err := table.Medium(name); err != nil || m.LifeYears.Known == lasts {
			t.Errorf("%s: life known is %v (%v)", name, m.LifeYears.Known, err)
		}
	}
}

// frustum returns volume, top area and side area of a round pot.
func frustum(p culture.Pot) (volumeML, topCM2, wallCM2 float64) {
	top, base, height := p.TopCM.Value, p.BaseCM.Value, p.HeightCM.Value
	volumeML = math.Pi * height / 12 * (top*top + top*base + base*base)
	return volumeML, math.Pi / 4 * top * top, math.Pi * (top + base) / 2 * math.Hypot(height, (top-base)/2)
}

func TestPotsHaveTheComputedVolumes(t *testing.T) {
	table := load(t)
	rows := checktable.Rows(t, "pots.csv")
	if len(rows) != len(table.Pots()) {
		t.Errorf("%d pots checked of %d", len(rows), len(table.Pots()))
	}
	for _, row := range rows {
		p, err := table.Pot(row["pot"])
		if err != nil {
			t.Error(err)
			continue
		}
		volume, top, wall := frustum(p)
		// Printed to 1 mL and 1 cm².
		for column, got := range map[string]float64{"volume_ml": volume, "top_cm2": top, "wall_cm2": wall} {
			if want := row.Number(t, column); math.Abs(got-want) > 1 {
				t.Errorf("%s: %s is %.1f, want %v", p.Name, column, got, want)
			}
		}
	}
}

func TestStagesLastAsComputed(t *testing.T) {
	table := load(t)
	for _, row := range checktable.Rows(t, "stage_days.csv") {
		p, err := table.Pest(row["pest"])
		if err != nil {
			t.Error(err)
			continue
		}
		at := slices.IndexFunc(p.Stages, func(s culture.Stage) bool { return s.Name == row["stage"] })
		if at < 0 {
			t.Errorf("%s has no stage %q", p.Key, row["stage"])
			continue
		}
		s := p.Stages[at]
		days := s.ConstantDD.Value.Value / (row.Number(t, "air_c") - s.ThresholdC.Value.Value)
		if want := row.Number(t, "days"); math.Abs(days-want) > row.Number(t, "tolerance") {
			t.Errorf("%s, %s at %s °C: %.2f days, want %v", p.Key, s.Name, row["air_c"], days, want)
		}
	}
}

func TestPestsCanBeActedOn(t *testing.T) {
	harmless := 0
	for _, p := range load(t).Pests() {
		if p.Harmless {
			harmless++
			if p.Schedule.Known {
				t.Errorf("%s is harmless and yet has a schedule", p.Key)
			}
			continue
		}
		if !p.Schedule.Known {
			t.Errorf("%s has no schedule", p.Key)
		}
		for name, days := range map[string]culture.ByTemperature{"recheck": p.Schedule.FirstRecheck, "watching": p.Schedule.KeepWatching} {
			if days.At15C.High < days.At20C.High || days.At20C.High < days.At25C.High {
				t.Errorf("%s: %s gets longer with warmth: %+v", p.Key, name, days)
			}
		}
		for _, s := range p.Stages {
			if s.ThresholdC.Known != s.ConstantDD.Known {
				t.Errorf("%s, %s: threshold and constant belong together", p.Key, s.Name)
			}
			if s.UpperC.Known && s.ThresholdC.Known && s.UpperC.Value.Low <= s.ThresholdC.Value.High {
				t.Errorf("%s, %s: upper limit below the threshold", p.Key, s.Name)
			}
		}
	}
	if harmless == 0 {
		t.Error("springtails should be harmless")
	}
}

func TestEverySituationHasItsCaution(t *testing.T) {
	table := load(t)
	for _, s := range culture.Situations() {
		if len(table.Cautions(s)) == 0 {
			t.Errorf("nothing is said about %s", s)
		}
	}
	if got := table.Cautions("gardening"); len(got) != 0 {
		t.Errorf("an unknown situation gives %v", got)
	}
}

func TestSignsFitThePlant(t *testing.T) {
	table := load(t)
	shows := func(stage culture.CourseStage, plant string, meaning culture.Meaning, part string) bool {
		g, err := table.Lookup(plant)
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(table.Signs(stage, g), func(s culture.Sign) bool {
			return s.Meaning == meaning && strings.Contains(s.Text.Is, part)
		})
	}
	for _, row := range []struct {
		stage   culture.CourseStage
		plant   string
		meaning culture.Meaning
		part    string
		want    bool
	}{
		{culture.Settling, "cattleya-standard", culture.NormalSign, "wrinkle", true},
		{culture.Settling, "phalaenopsis", culture.NormalSign, "Bulbs", false},
		{culture.Settling, "paphiopedilum-maudiae", culture.NormalSign, "Bulbs", false},
		{culture.Rooting, "cattleya-standard", culture.ActSign, "shrivelling", true},
		{culture.Rooting, "phalaenopsis", culture.ActSign, "nub", false},
		{culture.Settling, "phalaenopsis", culture.NormalSign, "oldest leaves", true},
		{culture.Settling, "leafless-orchids", culture.NormalSign, "leaves", false},
		{culture.Established, "phalaenopsis", culture.ActSign, "whole active season", true},
	} {
		if got := shows(row.stage, row.plant, row.meaning, row.part); got != row.want {
			t.Errorf("%s while %s: %q shown as %s is %v, want %v", row.plant, row.stage, row.part, row.meaning, got, row.want)
		}
	}
	// Rot and a soft crown are never normal, on any plant.
	for _, stage := range culture.CourseStages() {
		for _, g := range table.Groups() {
			if !shows(stage, g.Key, culture.ActSign, "soft") || !shows(stage, g.Key, culture.ActSign, "spreads") || !shows(stage, g.Key, culture.ActSign, "smells") {
				t.Errorf("%s while %s: rot is not called a reason to act", g.Key, stage)
			}
		}
	}
}

// The label of a product decides, so the tables carry no dose.
func TestNoDosesAreGiven(t *testing.T) {
	table := load(t)
	for _, p := range table.Pests() {
		for _, text := range []string{p.Where.Is, p.Note, p.Lookalikes} {
			for _, dose := range []string{" mL", " ml", "g/L", "g per litre", "per cent solution"} {
				if strings.Contains(text, dose) {
					t.Errorf("%s gives a dose: %q", p.Key, text)
				}
			}
		}
	}
}
