package culture

import (
	"slices"
	"strconv"
	"strings"

	"velamen/science/basis"
)

// provenance is the grade and source that a cell hands to its field.
type provenance struct {
	grade  basis.Grade
	source string
}

// column ties one column of groups.csv to one field of Group. set reports
// whether the cell could be used.
type column struct {
	name     string
	needed   bool // a new group must fill it
	expected string
	unread   provenance // for embedded rows that do not list it as read
	set      func(g *Group, cell string, from provenance) bool
	get      func(g Group) string
}

// Where the figures of groups.csv come from when no page was read.

func fromSheets() provenance {
	return provenance{basis.FromMemory, "society culture sheets, from memory"}
}

func fromMorphology() provenance {
	return provenance{basis.FromMemory, "general orchid morphology, from memory"}
}

func fromKinship() provenance {
	return provenance{basis.FromMemory, "kind of plant, from memory"}
}

func fromRootWork() provenance {
	return provenance{basis.Assumption, "finer roots take less salt (German society's guide to watering solutions, https://orchidee.de/en/water-fertilizer/); which groups count as fine or robust is assumed"}
}

// groupColumns lists the columns of groups.csv that a grower may also write,
// in their order.
func groupColumns() []column {
	return []column{
		{name: "name", needed: true, expected: "a name", unread: fromSheets(),
			set: func(g *Group, cell string, _ provenance) bool { g.Name = cell; return len(nameWords(cell)) > 0 },
			get: func(g Group) string { return g.Name }},
		{name: "aliases", expected: "other names, separated by semicolons", unread: fromSheets(),
			set: func(g *Group, cell string, _ provenance) bool {
				g.Aliases = splitList(cell)
				return !slices.ContainsFunc(g.Aliases, func(a string) bool { return len(nameWords(a)) == 0 })
			},
			get: func(g Group) string { return strings.Join(g.Aliases, "; ") }},
		factColumn("habit", fromSheets(), func(g *Group) *Fact[Habit] { return &g.Habit }, Monopodial, Sympodial, Terrestrial),
		factColumn("photosynthesis", fromSheets(), func(g *Group) *Fact[Photosynthesis] { return &g.Photosynthesis }, C3, CAM, UnknownPhotosynthesis),
		bandColumn("light_fc", "fc", 10, 12000, func(g *Group) *Band { return &g.LightFC }),
		factColumn("temperature_class", fromSheets(), func(g *Group) *Fact[TemperatureClass] { return &g.TemperatureClass }, Cool, Intermediate, Warm),
		bandColumn("night_c", "°C", -15, 35, func(g *Group) *Band { return &g.NightC }),
		bandColumn("day_c", "°C", -5, 45, func(g *Group) *Band { return &g.DayC }),
		bandColumn("rh_percent", "%", 10, 100, func(g *Group) *Band { return &g.RHPercent }),
		{name: "media", needed: true, expected: "media, separated by semicolons", unread: fromSheets(),
			set: func(g *Group, cell string, from provenance) bool {
				g.Media = Fact[[]string]{splitList(cell), from.grade, from.source}
				return len(g.Media.Is) > 0
			},
			get: func(g Group) string { return strings.Join(g.Media.Is, "; ") }},
		{name: "repot_years", needed: true, expected: `years such as "2", "1 to 2", "3 or more", or "never"`, unread: fromSheets(),
			set: setInterval, get: func(g Group) string { return g.RepotEvery.String() }},
		wordsColumn("repot_trigger", true, func(g *Group) *Fact[string] { return &g.RepotTrigger }),
		{name: "resents_disturbance", needed: true, expected: "0, 1, 2 or 3", unread: fromSheets(),
			set: func(g *Group, cell string, from provenance) bool {
				scale, err := strconv.Atoi(cell)
				g.ResentsDisturbance = Fact[int]{scale, from.grade, from.source}
				return err == nil && scale >= 0 && scale <= 3
			},
			get: func(g Group) string { return strconv.Itoa(g.ResentsDisturbance.Is) }},
		wordsColumn("rest", true, func(g *Group) *Fact[string] { return &g.Rest }),
		factColumn("feed", fromSheets(), func(g *Group) *Fact[FeedLevel] { return &g.Feed }, LowFeed, MediumFeed, HighFeed),
		factColumn("dries_between", fromSheets(), func(g *Group) *Fact[Drying] { return &g.DriesBetween }, DriesOut, DriesSlightly, StaysMoist),
		wordsColumn("pot", true, func(g *Group) *Fact[string] { return &g.PotType }),
		{name: "family", expected: oneOf(families()...) + `; or "near" and one of them`, unread: fromKinship(),
			set: setKin, get: func(g Group) string { return g.Kin.Is.String() }},
		optional(factColumn("leaf", fromMorphology(), func(g *Group) *Fact[LeafClass] { return &g.Leaf }, ThickLeaf, LeatheryLeaf, ThinLeaf, Leafless)),
		optional(factColumn("storage", fromMorphology(), func(g *Group) *Fact[StorageOrgan] { return &g.Storage }, NoStorage, PseudobulbStore, ThickLeafStore, CaneStore, TuberStore)),
		optional(factColumn("salt_tolerance", fromRootWork(), func(g *Group) *Fact[SaltTolerance] { return &g.SaltTolerance }, FineRooted, OrdinarySalt, RobustSalt)),
		{name: "division", expected: `a count and a part such as "3 to 5 pseudobulbs", or "none"`,
			set: setDivision, get: func(g Group) string { return g.Division.String() }},
		{name: "photoinhibition_umol", expected: "a number from 20 to 2500",
			set: func(g *Group, cell string, from provenance) bool {
				v, ok := parseNumber(cell, 20, 2500)
				g.PhotoinhibitionUmol = Optional{basis.Exactly(v, "µmol m⁻² s⁻¹", from.grade, from.source), true}
				return ok
			},
			get: func(g Group) string {
				if !g.PhotoinhibitionUmol.Known {
					return ""
				}
				return number(g.PhotoinhibitionUmol.Value.Value)
			}},
		{name: "note", expected: "some text",
			set: func(g *Group, cell string, _ provenance) bool { g.Note = cell; return true },
			get: func(g Group) string { return g.Note }},
	}
}

func optional(c column) column {
	c.needed = false
	return c
}

func factColumn[T ~string](name string, unread provenance, field func(*Group) *Fact[T], allowed ...T) column {
	return column{name: name, needed: true, expected: oneOf(allowed...), unread: unread,
		set: func(g *Group, cell string, from provenance) bool {
			word, ok := choose(cell, allowed...)
			*field(g) = Fact[T]{word, from.grade, from.source}
			return ok
		},
		get: func(g Group) string { return string(field(&g).Is) }}
}

func wordsColumn(name string, needed bool, field func(*Group) *Fact[string]) column {
	return column{name: name, needed: needed, expected: "a few words", unread: fromSheets(),
		set: func(g *Group, cell string, from provenance) bool {
			*field(g) = Fact[string]{cell, from.grade, from.source}
			return true
		},
		get: func(g Group) string { return field(&g).Is }}
}

func bandColumn(name, unit string, low, high float64, field func(*Group) *Band) column {
	return column{name: name, needed: true, expected: spanExpected(low, high), unread: fromSheets(),
		set: func(g *Group, cell string, from provenance) bool {
			a, b, ok := parseSpan(cell, low, high)
			*field(g) = Band{a, b, unit, from.grade, from.source}
			return ok
		},
		get: func(g Group) string { b := field(&g); return span(b.Low, b.High) }}
}

func setInterval(g *Group, cell string, from provenance) bool {
	const shortest, longest = 0.25, 20 // years
	every := Interval{Grade: from.grade, Source: from.source}
	ok := true
	if cell == "never" {
		every.Never = true
	} else if years, open := strings.CutSuffix(cell, " or more"); open {
		every.LowYears, ok = parseNumber(years, shortest, longest)
		every.HighYears, every.Open = every.LowYears, true
	} else {
		every.LowYears, every.HighYears, ok = parseSpan(cell, shortest, longest)
	}
	g.RepotEvery = every
	return ok
}

func families() []Family {
	return []Family{PhalaenopsisFamily, CattleyaFamily, DendrobiumFamily, OncidiumFamily, VandaFamily,
		CymbidiumFamily, PaphiopedilumFamily, PhragmipediumFamily, MountedFamily}
}

func setKin(g *Group, cell string, from provenance) bool {
	name, near := strings.CutPrefix(cell, "near ")
	family, ok := choose(name, families()...)
	if near && from.grade != basis.Given {
		from = provenance{basis.Assumption, "nearest family with figures"}
	}
	g.Kin = Fact[Kin]{Kin{family, near}, from.grade, from.source}
	return ok
}

// setDivision grades by what the count rests on, unless the row says it was
// read or the grower gave it.
func setDivision(g *Group, cell string, from provenance) bool {
	if cell == "none" {
		g.Division = Division{}
		return true
	}
	at := strings.LastIndexFunc(cell, func(r rune) bool { return r >= '0' && r <= '9' })
	if at < 0 {
		return false
	}
	low, high, ok := parseSpan(cell[:at+1], 1, 20)
	part, known := choose(strings.TrimSpace(cell[at+1:]), "pseudobulbs", "canes", "fans", "growths", "tubers", "nodes", "stem pieces")
	if from.grade == 0 {
		from = provenance{basis.CommonPractice, "growers' rule of thumb"}
		if part == "pseudobulbs" && low == 3 && high == 5 {
			from = provenance{basis.Published, "American Orchid Society on dividing sympodial orchids, http://www.aos.org/Default.aspx?id=762"}
		}
	}
	g.Division = Division{true, basis.Value{Value: low, Low: low, High: high, Unit: part, Grade: from.grade, Source: from.source}}
	return ok && known
}
