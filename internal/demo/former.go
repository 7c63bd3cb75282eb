package demo

import (
	"hash/fnv"
	"math"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/course"
)

// Former is one recovery of former years, invented like the rest: a repot and
// what was noted after it.
type Former struct {
	Label string
	// Plant is set for plants that are not here any more; the others are among
	// those of the case file.
	Plant *care.Plant
	Repot care.Repot
	Notes []Note
}

// Note is one thing that was noted so many days after the repot.
type Note struct {
	Day    int
	Kind   care.Kind
	Detail care.Detail
}

// firstNoted is how long before today the invented journal begins.
const firstNotedYears = 5

// Begin is the day on which the invented grower began to keep a journal.
func Begin(today time.Time) time.Time { return today.AddDate(-firstNotedYears, 0, 0) }

// pace is how long the plants of a first letter take to a root, in days: near
// what is usual for their groups, so that the invented records look like some.
var pace = map[byte]float64{'P': 30, 'C': 18, 'L': 20, 'O': 20, 'D': 18, 'V': 32, 'S': 42, 'M': 25, 'A': 45}

// gone are plants that were lost or given away.
var gone = []struct {
	label, name, group, space string
	lost                      bool
}{
	{"P-090", "spotted novelty", "Phalaenopsis", "shelf", true}, {"P-091", "big pink, from a sale", "Phalaenopsis", "shelf", false},
	{"C-090", "orange mini", "Cattleya", "balcony", true}, {"C-091", "white semi-alba division", "Cattleya", "balcony", false},
	{"O-090", "twinkle type", "Oncidium", "shelf", true}, {"S-090", "green slipper", "Paphiopedilum Maudiae", "shelf", true},
	{"V-090", "pink strap-leaf", "Vanda", "balcony", true}, {"D-090", "yellow nobile", "Dendrobium nobile", "terrace", false},
	{"L-090", "anceps division", "Laelia anceps", "terrace", false}, {"M-090", "pansy, red", "Miltoniopsis", "shelf", true},
}

// FormerRecoveries returns the recoveries of former years, the same for the same
// day. Soaked media, bright seasons and many roots are made to go faster, so
// that there is something to find; chance hides a good part of it.
func FormerRecoveries(today time.Time) []Former {
	var list []Former
	for i, p := range plants {
		now := today.AddDate(0, 0, -p.DaysAgo)
		for n := range 2 {
			d := dice{seed: p.Label, n: n}
			if n == 1 && i%3 == 0 {
				continue // it was bought later
			}
			before := 560 + 640*n + int(260*d.roll("when"))
			f := Former{Label: p.Label, Repot: former(d, p.Label, now.AddDate(0, 0, -before))}
			f.Notes = recovered(d, p.Label, &f.Repot, false)
			list = append(list, f)
		}
	}
	for i, g := range gone {
		d := dice{seed: g.label}
		date := today.AddDate(0, 0, -200-97*i)
		f := Former{Label: g.label, Plant: &care.Plant{Label: g.label, Name: g.name, Group: g.group, Space: g.space}, Repot: former(d, g.label, date)}
		f.Notes = recovered(d, g.label, &f.Repot, g.lost)
		if !g.lost {
			f.Notes = append(f.Notes, Note{150 + 10*i, care.PlantLeft, care.Detail{Note: "to the club's table (invented)"}})
		}
		list = append(list, f)
	}
	return list
}

// dice gives every choice a number of its own from 0 to 1, always the same.
type dice struct {
	seed string
	n    int
}

func (d dice) roll(what string) float64 {
	h := fnv.New64a()
	h.Write([]byte(d.seed + "/" + what))
	h.Write([]byte{byte(d.n)})
	x := h.Sum64()
	x ^= x >> 31 // the last letters would hardly move the upper bits
	x *= 0x9e3779b97f4a7c15
	return float64(x>>11) / (1 << 53)
}

// former is the work of a former year.
func former(d dice, label string, date time.Time) care.Repot {
	r := care.Repot{Date: date, Work: care.Repotted, RootsKept: basis.Exactly(math.Round(20*(0.25+0.65*d.roll("roots")))/20, "share", basis.Given, "")}
	media := []string{"medium bark", "medium bark", "fine bark", "sphagnum, loose", "husk chips"}
	old := media[int(d.roll("old")*float64(len(media)))]
	fresh := media[int(d.roll("new")*float64(len(media)))]
	r.From = care.Home{Medium: []care.Component{{Medium: old, Parts: 1}}}
	if d.roll("mount") < 0.15 {
		r.Work = care.Mounted
		r.To = care.Home{Mount: &care.Mount{Material: "cork", WidthCm: basis.Exactly(10, "cm", basis.Given, ""), HeightCm: basis.Exactly(18, "cm", basis.Given, "")}}
		return r
	}
	if d.roll("divide") < 0.25 {
		r.Work = care.Divided
	}
	r.To = care.Home{Container: &care.Container{NominalCm: basis.Exactly(12, "cm", basis.Given, ""), Material: "plastic"},
		Medium: []care.Component{{Medium: fresh, Parts: 8}, {Medium: "medium perlite", Parts: 2}}}
	if d.roll("soak") < 0.5 {
		r.SoakedHours = basis.Exactly(24, "h", basis.Given, "")
	}
	return r
}

// recovered is what was noted after it.
func recovered(d dice, label string, r *care.Repot, dies bool) []Note {
	median := pace[label[0]]
	if median == 0 {
		median = 28
	}
	if r.SoakedHours.Value > 0 {
		median *= 0.75
	}
	if month := r.Date.Month(); month >= time.May && month <= time.August { // the southern winter
		median *= 1.5
	}
	if r.RootsKept.Value < 0.4 {
		median *= 1.4
	}
	// The sum of twelve less six is near enough to a normal number.
	spread := -6.0
	for i := range 12 {
		spread += d.roll("day" + string(rune('a'+i)))
	}
	root := median * math.Exp(0.55*spread)
	var notes []Note
	if d.roll("seaweed") < 0.4 {
		notes = append(notes, Note{1 + int(6*d.roll("seaweed day")), care.SupplementIn, care.Detail{Product: "seaweed extract (invented)"}})
	}
	end := math.Inf(1)
	if dies {
		end = 40 + 60*d.roll("end")
		root = end + 1
	}
	every := 7 + int(7*d.roll("every"))
	const read = 0.5
	seen := 0
	for day := every; day < 200 && seen < 2 && float64(day) < end; day += every {
		if d.roll("away"+string(rune(day))) < 0.15 {
			continue
		}
		one := care.RootReading{Root: "blue", LengthMM: 6 + math.Round(10*d.roll("length")), Tip: "resting", HowMM: read}
		if float64(day) >= root {
			one.Tip = "growing"
			one.LengthMM += math.Round(0.8 * (float64(day) - root))
			seen++
		}
		notes = append(notes, Note{day, care.RootsRead, care.Detail{Roots: []care.RootReading{one}}})
	}
	if dies {
		notes = append(notes, Note{42, care.Reviewed, care.Detail{Stage: course.Settling}}, Note{int(end), care.PlantLost, care.Detail{Note: "rotted at the base (invented)"}})
		return notes
	}
	done := int(root + 50 + 120*d.roll("done"))
	for _, day := range []int{42, 98, 182} {
		switch {
		case day >= done:
		case float64(day) >= root:
			notes = append(notes, Note{day, care.Reviewed, care.Detail{Stage: course.SteppingUp}})
		default:
			notes = append(notes, Note{day, care.Reviewed, care.Detail{Stage: course.Settling}})
		}
	}
	if d.roll("said") < 0.85 {
		notes = append(notes, Note{done, care.Reviewed, care.Detail{Stage: course.Established}})
	}
	return notes
}
