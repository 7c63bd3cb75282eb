package culture

import (
	"slices"
	"strings"

	"velamen/science/basis"
)

// Pest is an animal to look for after a repot: where it hides, how fast it
// goes through its stages, and when to look again. It carries no doses: the
// label of a product decides.
type Pest struct {
	Key        string       `json:"key"`
	Name       string       `json:"name"`
	Aliases    []string     `json:"aliases,omitempty"`
	Where      Fact[string] `json:"where"`
	Lookalikes string       `json:"lookalikes,omitempty"`
	Harmless   bool         `json:"harmless"`
	Note       string       `json:"note,omitempty"`
	Stages     []Stage      `json:"stages,omitempty"`
	Schedule   Schedule     `json:"schedule"`
}

// Stage is one span of a pest's life. ThresholdC and ConstantDD belong
// together: at a mean of T °C it lasts ConstantDD/(T − ThresholdC) days. About
// 2 °C above the threshold and below, that rule promises too much.
type Stage struct {
	Name       string        `json:"name"`
	ThresholdC Optional      `json:"threshold_c"`
	ConstantDD Optional      `json:"constant_dd"`
	UpperC     Optional      `json:"upper_c"` // development stops or the animals die
	Observed   []Observation `json:"observed,omitempty"`
	Note       string        `json:"note,omitempty"`
}

// Observation is a duration seen at a temperature. TemperatureStated is false
// when the source does not say at which.
type Observation struct {
	Days              Band    `json:"days"`
	AtC               float64 `json:"at_c"`
	TemperatureStated bool    `json:"temperature_stated"`
}

// Schedule is when to look again after a repot or a treatment, how many
// passes, and how long to keep watching. Known is false for harmless animals.
type Schedule struct {
	Known        bool          `json:"known"`
	FirstRecheck ByTemperature `json:"first_recheck"`
	Passes       Band          `json:"passes"`
	KeepWatching ByTemperature `json:"keep_watching"` // about one generation
}

// ByTemperature holds days at three mean temperatures.
type ByTemperature struct {
	At15C Band `json:"at_15_c"`
	At20C Band `json:"at_20_c"`
	At25C Band `json:"at_25_c"`
}

func readPests(rows, stages []row, sources citations) []Pest {
	pests := make([]Pest, 0, len(rows))
	place := map[string]int{}
	for _, r := range rows {
		grade, source := r.basis(sources, "where_grade", "where_source")
		pests = append(pests, Pest{
			Key: r.key(place, len(pests)), Name: r.text("name"), Aliases: r.list("aliases"),
			Where:      Fact[string]{r.text("where"), grade, source},
			Lookalikes: r.cells["lookalikes"], Harmless: r.yes("harmless"), Note: r.cells["note"],
			Schedule: r.schedule(sources),
		})
	}
	for _, r := range stages {
		at, ok := place[r.cells["pest"]]
		if !ok {
			r.complain("pest", "the key of a pest")
			continue
		}
		pests[at].Stages = append(pests[at].Stages, r.stage(sources))
	}
	return pests
}

// schedule reads days written as "bands at 15, 20 and 25 °C", separated by
// semicolons. A row without a schedule leaves all three cells empty.
func (r row) schedule(sources citations) Schedule {
	if r.cells["first_recheck_days"] == "" && r.cells["passes"] == "" && r.cells["keep_watching_days"] == "" {
		return Schedule{}
	}
	grade, source := r.basis(sources, "schedule_grade", "schedule_source")
	low, high := r.band("passes", 1, 10)
	return Schedule{
		Known:        true,
		FirstRecheck: r.byTemperature("first_recheck_days", grade, source),
		Passes:       Band{low, high, "passes", grade, source},
		KeepWatching: r.byTemperature("keep_watching_days", grade, source),
	}
}

func (r row) byTemperature(column string, grade basis.Grade, source string) ByTemperature {
	parts := r.list(column)
	days := ByTemperature{}
	if len(parts) != 3 {
		r.complain(column, "days at 15, 20 and 25 °C, separated by semicolons")
		return days
	}
	for i, band := range []*Band{&days.At15C, &days.At20C, &days.At25C} {
		low, high, ok := parseSpan(parts[i], 1, 365)
		if !ok {
			r.complain(column, "days at 15, 20 and 25 °C, separated by semicolons")
		}
		*band = Band{low, high, "d", grade, source}
	}
	return days
}

func (r row) stage(sources citations) Stage {
	s := Stage{Name: r.text("stage"), Note: r.cells["note"]}
	if r.cells["threshold_c"] != "" || r.cells["constant_dd"] != "" {
		grade, source := r.basis(sources, "model_grade", "model_source")
		s.ThresholdC = r.around("threshold_c", "threshold_low", "threshold_high", "°C", grade, source)
		s.ConstantDD = r.around("constant_dd", "constant_low", "constant_high", "°C·d", grade, source)
	}
	if r.cells["upper_c"] != "" {
		grade, source := r.basis(sources, "upper_grade", "upper_source")
		low, high := r.band("upper_c", 15, 50)
		s.UpperC = Optional{Band{low, high, "°C", grade, source}.Value(), true}
	}
	if r.cells["observed"] != "" {
		grade, source := r.basis(sources, "observed_grade", "observed_source")
		for _, part := range r.list("observed") {
			s.Observed = append(s.Observed, r.observation(part, grade, source))
		}
	}
	return s
}

func (r row) around(column, lowColumn, highColumn, unit string, grade basis.Grade, source string) Optional {
	const most = 2000 // degree-days of the slowest animal, with room
	v := basis.Value{
		Value: r.quantity(column, 0, most), Low: r.quantity(lowColumn, 0, most), High: r.quantity(highColumn, 0, most),
		Unit: unit, Grade: grade, Source: source,
	}
	if v.Low > v.Value || v.Value > v.High {
		r.complain(column, "a figure between its low and high")
	}
	return Optional{v, true}
}

// observation reads "8.9 at 20", or "5 to 7" where no temperature was stated.
func (r row) observation(part string, grade basis.Grade, source string) Observation {
	days, temperature, stated := strings.Cut(part, " at ")
	low, high, ok := parseSpan(days, 0.1, 400)
	seen := Observation{Days: Band{low, high, "d", grade, source}, TemperatureStated: stated}
	if stated {
		var known bool
		seen.AtC, known = parseNumber(temperature, 0, 45)
		ok = ok && known
	}
	if !ok {
		r.complain("observed", `days with their temperature, such as "8.9 at 20", separated by semicolons`)
	}
	return seen
}

func (p Pest) clone() Pest {
	p.Aliases, p.Stages = slices.Clone(p.Aliases), slices.Clone(p.Stages)
	for i := range p.Stages {
		p.Stages[i].Observed = slices.Clone(p.Stages[i].Observed)
	}
	return p
}
