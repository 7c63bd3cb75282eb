package culture

import (
	"fmt"
	"slices"
	"strings"

	"velamen/science/basis"
)

// Medium is one component of a potting mix. Volume fractions are of the whole
// medium, drained. Nearly all figures for orchid grades are from memory or
// assumed; weighing a pot replaces them.
type Medium struct {
	Key     string       `json:"key"`
	Name    string       `json:"name"`
	Aliases []string     `json:"aliases,omitempty"`
	CEC     Fact[string] `json:"cec"` // cation exchange, in words with its unit
	Note    string       `json:"note,omitempty"`

	TotalPorosity      basis.Value `json:"total_porosity"`
	AirSpace           basis.Value `json:"air_space"`            // after drainage
	ThetaCapacity      basis.Value `json:"theta_capacity"`       // water held after drainage, aged medium
	ThetaCapacityFresh basis.Value `json:"theta_capacity_fresh"` // the same, fresh from the bag
	BulkDensityGPerCM3 basis.Value `json:"bulk_density_g_per_cm3"`
	LifeYears          Optional    `json:"life_years"` // not known for stone, which does not decay

	ParticleShare     basis.Value `json:"particle_share"` // of the water held, the part inside particles
	CaptureFresh      Capture     `json:"capture_fresh"`
	CaptureAged       Capture     `json:"capture_aged"`
	AgeingWeeks       basis.Value `json:"ageing_weeks"`      // kept moist, from fresh to aged behaviour
	SoakDryPerDay     basis.Value `json:"soak_dry_per_day"`  // rate at which dry particles fill
	SoakWetPerDay     basis.Value `json:"soak_wet_per_day"`  // the same once they are moist
	HalfThicknessMM   basis.Value `json:"half_thickness_mm"` // of a particle, for salts diffusing out
	ReadilyEvaporated basis.Value `json:"readily_evaporated"`
	TotalEvaporated   basis.Value `json:"total_evaporated"`
	// DriesThroughout means that capillary contact carries water up from the
	// whole depth; TotalEvaporated is then for 100 mm and grows with depth.
	DriesThroughout bool        `json:"dries_throughout"`
	WallContact     basis.Value `json:"wall_contact"` // share of a porous wall that the medium keeps wet
	Tanks           basis.Value `json:"tanks"`        // mixing tanks in series when flushed
	Bypass          basis.Value `json:"bypass"`       // share of a pour that runs through unmixed
}

// Capture is the share of the missing water that a generous pour from above
// puts back, by how wet the medium was before.
type Capture struct {
	Dry   basis.Value `json:"dry"`   // air-dry or straight from the bag
	Moist basis.Value `json:"moist"` // about a third of its wet mass is water
	Wet   basis.Value `json:"wet"`   // half of its wet mass, or more
}

// figure is one quantity of media_figures.csv.
type figure struct {
	name      string
	unit      string
	low, high float64 // what is physically possible
	needed    bool
	field     func(*Medium) *basis.Value
}

func mediumFigures() []figure {
	share := func(name string, field func(*Medium) *basis.Value) figure {
		return figure{name, "1", 0, 1, true, field}
	}
	aged := func(name string, field func(*Medium) *basis.Value) figure {
		return figure{name, "1", 0, 1, false, field}
	}
	return []figure{
		share("total_porosity", func(m *Medium) *basis.Value { return &m.TotalPorosity }),
		share("air_space", func(m *Medium) *basis.Value { return &m.AirSpace }),
		share("theta_capacity", func(m *Medium) *basis.Value { return &m.ThetaCapacity }),
		aged("theta_capacity_fresh", func(m *Medium) *basis.Value { return &m.ThetaCapacityFresh }),
		{"bulk_density", "g cm⁻³", 0.01, 2.5, true, func(m *Medium) *basis.Value { return &m.BulkDensityGPerCM3 }},
		{"life_years", "a", 0.1, 50, false, func(m *Medium) *basis.Value { return &m.LifeYears.Value }},
		share("particle_share", func(m *Medium) *basis.Value { return &m.ParticleShare }),
		share("capture_fresh_dry", func(m *Medium) *basis.Value { return &m.CaptureFresh.Dry }),
		share("capture_fresh_moist", func(m *Medium) *basis.Value { return &m.CaptureFresh.Moist }),
		share("capture_fresh_wet", func(m *Medium) *basis.Value { return &m.CaptureFresh.Wet }),
		aged("capture_aged_dry", func(m *Medium) *basis.Value { return &m.CaptureAged.Dry }),
		aged("capture_aged_moist", func(m *Medium) *basis.Value { return &m.CaptureAged.Moist }),
		aged("capture_aged_wet", func(m *Medium) *basis.Value { return &m.CaptureAged.Wet }),
		{"ageing_weeks", "wk", 0, 60, true, func(m *Medium) *basis.Value { return &m.AgeingWeeks }},
		{"soak_dry", "d⁻¹", 0.001, 50, true, func(m *Medium) *basis.Value { return &m.SoakDryPerDay }},
		{"soak_wet", "d⁻¹", 0.001, 50, true, func(m *Medium) *basis.Value { return &m.SoakWetPerDay }},
		{"half_thickness", "mm", 0.05, 30, true, func(m *Medium) *basis.Value { return &m.HalfThicknessMM }},
		{"readily_evaporated", "mm", 0, 100, true, func(m *Medium) *basis.Value { return &m.ReadilyEvaporated }},
		{"total_evaporated", "mm", 0, 200, true, func(m *Medium) *basis.Value { return &m.TotalEvaporated }},
		share("wall_contact", func(m *Medium) *basis.Value { return &m.WallContact }),
		{"tanks", "1", 1, 20, true, func(m *Medium) *basis.Value { return &m.Tanks }},
		{"bypass", "1", 0, 0.95, true, func(m *Medium) *basis.Value { return &m.Bypass }},
	}
}

// readMedia reads the list of media, then fills in their figures.
func readMedia(list, figures []row, sources citations) []Medium {
	media := make([]Medium, 0, len(list))
	place := map[string]int{}
	for _, r := range list {
		key := r.key(place, len(media))
		grade, source := r.basis(sources, "cec_grade", "cec_source")
		media = append(media, Medium{
			Key: key, Name: r.text("name"), Aliases: r.list("aliases"), Note: r.cells["note"],
			CEC:             Fact[string]{r.text("cec"), grade, source},
			DriesThroughout: r.yes("dries_throughout"),
		})
	}
	known := mediumFigures()
	filled := make([]map[string]bool, len(media))
	for _, r := range figures {
		at, ok := place[r.cells["medium"]]
		if !ok {
			r.complain("medium", "the key of a medium")
			continue
		}
		i := slices.IndexFunc(known, func(f figure) bool { return f.name == r.cells["quantity"] })
		if i < 0 {
			r.complain("quantity", "a known quantity")
			continue
		}
		if filled[at] == nil {
			filled[at] = map[string]bool{}
		}
		if filled[at][known[i].name] {
			r.complain("quantity", "each quantity of a medium only once")
			continue
		}
		filled[at][known[i].name] = true
		*known[i].field(&media[at]) = r.value(sources, known[i].unit, known[i].low, known[i].high)
		media[at].LifeYears.Known = filled[at]["life_years"]
	}
	for at := range media {
		media[at].complete(list[at], known, filled[at])
	}
	return media
}

// complete asks for missing figures and lets an aged medium behave like a fresh
// one where nothing else is said.
func (m *Medium) complete(r row, known []figure, filled map[string]bool) {
	for _, f := range known {
		if f.needed && !filled[f.name] {
			r.complain("key", fmt.Sprintf("a figure for %s of this medium", f.name))
		}
	}
	if !filled["theta_capacity_fresh"] {
		m.ThetaCapacityFresh = m.ThetaCapacity
	}
	if !filled["capture_aged_dry"] && !filled["capture_aged_moist"] && !filled["capture_aged_wet"] {
		m.CaptureAged = m.CaptureFresh
	}
}

func (m Medium) clone() Medium {
	m.Aliases = slices.Clone(m.Aliases)
	return m
}

// citations maps the short keys used in the tables to full sources.
type citations map[string]string

func readCitations(rows []row) citations {
	cited := citations{}
	for _, r := range rows {
		if _, twice := cited[r.cells["key"]]; twice {
			r.complain("key", "each key only once")
		}
		cited[r.text("key")] = r.text("citation")
	}
	return cited
}

// key returns the row's key after noting its place, and refuses a second one.
func (r row) key(place map[string]int, at int) string {
	key := r.cells["key"]
	if !isKey(key) {
		r.complain("key", keyExpected)
	}
	if _, twice := place[key]; twice {
		r.complain("key", "each key only once")
	}
	place[key] = at
	return key
}

const keyExpected = `a short key of small letters, digits and hyphens, such as "cattleya-standard"`

func isKey(key string) bool {
	return key != "" && len(key) <= 60 && strings.Trim(key, "abcdefghijklmnopqrstuvwxyz0123456789-") == "" && strings.Trim(key, "-") == key
}

// basis reads a grade and the key of its source.
func (r row) basis(sources citations, gradeColumn, sourceColumn string) (basis.Grade, string) {
	var grade basis.Grade
	for _, g := range []basis.Grade{basis.Assumption, basis.CommonPractice, basis.FromMemory, basis.Published} {
		if g.String() == r.cells[gradeColumn] {
			grade = g
		}
	}
	if grade == 0 {
		r.complain(gradeColumn, "assumption, common practice, from memory or published")
	}
	source, ok := sources[r.cells[sourceColumn]]
	if !ok && (r.cells[sourceColumn] != "" || grade > basis.CommonPractice) {
		r.complain(sourceColumn, "the key of a source")
	}
	return grade, source
}

// value reads the columns value, low, high, grade and source.
func (r row) value(sources citations, unit string, low, high float64) basis.Value {
	grade, source := r.basis(sources, "grade", "source")
	v := basis.Value{
		Value: r.quantity("value", low, high), Low: r.quantity("low", low, high), High: r.quantity("high", low, high),
		Unit: unit, Grade: grade, Source: source,
	}
	if v.Low > v.Value || v.Value > v.High {
		r.complain("value", "a figure between low and high")
	}
	return v
}
