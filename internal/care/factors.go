package care

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/light"
)

// Factors are what was done at a repot and around it, and what the plant is:
// what recoveries are compared by, and what may differ between those compared.
type Factors struct {
	Group          string  `json:"group"` // name of the culture group, or as the grower wrote it
	Photosynthesis string  `json:"photosynthesis,omitempty"`
	Space          string  `json:"space,omitempty"` // at the repot
	Vigour         string  `json:"vigour,omitempty"`
	Work           string  `json:"work"`
	Home           string  `json:"home"`   // potted or mounted
	Medium         string  `json:"medium"` // what the new medium is, or is mostly
	Before         string  `json:"medium_before,omitempty"`
	Soaked         string  `json:"soaked"`
	Season         string  `json:"season,omitempty"`
	Supplement     string  `json:"supplement"`
	Product        string  `json:"product,omitempty"`    // of the supplement
	RootsKept      float64 `json:"roots_kept,omitempty"` // share; 0 when nothing was said
	Flowers        string  `json:"flowers,omitempty"`

	// UsualRoot and UsualEstablished are the days that such a plant, repotted so
	// and then, usually takes: median, and those by which a tenth and nine tenths
	// have got there. Without a grade when the group is not known.
	UsualRoot        basis.Value `json:"usual_first_root,omitzero"`
	UsualEstablished basis.Value `json:"usual_established,omitzero"`
}

// Practice is a way in which recoveries may be told apart and compared.
type Practice string

// The practices.
const (
	ByMedium     Practice = "medium"
	ByHome       Practice = "potted or mounted"
	BySoak       Practice = "soaking the medium"
	BySupplement Practice = "seaweed or the like"
	BySeason     Practice = "season"
	ByRoots      Practice = "roots kept"
	ByWork       Practice = "dividing"
	ByChange     Practice = "change of medium"
	ByFlowers    Practice = "flowers at the repot"
	ByVigour     Practice = "vigour before"
	BySpace      Practice = "space"
	ByGroup      Practice = "group"
	ByPathway    Practice = "photosynthesis"
)

// Practices lists them all: what the grower does first, then what the plant is.
var Practices = []Practice{
	ByMedium, ByHome, BySoak, BySupplement, BySeason, ByRoots, ByWork, ByChange, ByFlowers,
	ByVigour, BySpace, ByGroup, ByPathway,
}

// The words that recoveries are told apart by.
const (
	potted, mounted         = "potted", "mounted"
	soaked, notSoaked       = "soaked", "not soaked, or not noted"
	given, notGiven         = "given in the first two weeks", "not given, or not noted"
	brightHalf, darkHalf    = "spring or summer", "autumn or winter"
	sameMedium, otherMedium = "the same medium again", "another medium"
	divided, whole          = "divided", "left whole"
)

// Level returns which of a practice's ways a recovery went, empty when that is
// not known.
func (f Factors) Level(p Practice) string {
	switch p {
	case ByMedium:
		return f.Medium
	case ByHome:
		return f.Home
	case BySoak:
		return f.Soaked
	case BySupplement:
		return f.Supplement
	case BySeason:
		switch f.Season {
		case "spring", "summer":
			return brightHalf
		case "autumn", "winter":
			return darkHalf
		}
	case ByRoots:
		switch {
		case f.RootsKept == 0:
			return ""
		case f.RootsKept < 1.0/3:
			return "under a third"
		case f.RootsKept < 2.0/3:
			return "a third to two thirds"
		default:
			return "two thirds or more"
		}
	case ByWork:
		if f.Work == string(Divided) {
			return divided
		}
		return whole
	case ByChange:
		switch {
		case f.Before == "" || f.Medium == "":
			return ""
		case f.Before == f.Medium:
			return sameMedium
		}
		return otherMedium
	case ByFlowers:
		return f.Flowers
	case ByVigour:
		return f.Vigour
	case BySpace:
		return f.Space
	case ByGroup:
		return f.Group
	case ByPathway:
		return f.Photosynthesis
	}
	return ""
}

func (p *PlantState) factors(c *Collection, tables culture.Table, i int) Factors {
	after, repot := &p.Aftermaths[i], p.Repots[i].Repot
	repot.Date = p.Repots[i].repotDate()
	f := Factors{
		Group: p.Record.Group, Space: after.Space, Vigour: string(after.Vigour), Work: string(repot.Work), Flowers: string(repot.Flowers),
		Home: potted, Medium: repot.To.mainly(tables), Before: repot.From.mainly(tables), Soaked: notSoaked, Supplement: notGiven,
	}
	if repot.To.Mount != nil || repot.Work == Mounted {
		f.Home = mounted
	}
	if repot.Work == "" {
		f.Work = string(Repotted)
	}
	if repot.SoakedHours.Grade != 0 && repot.SoakedHours.Value > 0 {
		f.Soaked = soaked
	}
	if repot.RootsKept.Grade != 0 {
		// A share of nothing is told from nothing told.
		f.RootsKept = math.Max(repot.RootsKept.Value, 0.001)
	}
	if len(after.Supplements) > 0 {
		f.Supplement, f.Product = given, after.Supplements[0].Product
	}
	f.Season = seasonOf(c.Place, repot)
	if g, err := tables.Lookup(p.Record.Group); err == nil {
		f.Group = g.Name
		if g.Photosynthesis.Is != culture.UnknownPhotosynthesis {
			f.Photosynthesis = string(g.Photosynthesis.Is)
		}
		f.UsualRoot, f.UsualEstablished = usualRootTimes(g.Derived.Recovery, repot, after.Vigour, c.coolSeason(after.Space, repot))
	}
	return f
}

// mainly names the home by its largest part, empty when it is not known.
func (h Home) mainly(tables culture.Table) string {
	if h.Mount != nil {
		if m, err := tables.Mount(h.Mount.Material); err == nil {
			return m.Name + " mount"
		}
		return strings.TrimSpace(h.Mount.Material + " mount")
	}
	if len(h.Medium) == 0 {
		return ""
	}
	most := slices.MaxFunc(h.Medium, func(a, b Component) int {
		return cmp.Or(cmp.Compare(a.Parts, b.Parts), strings.Compare(b.Medium, a.Medium))
	})
	if m, err := tables.Medium(most.Medium); err == nil {
		return m.Name
	}
	return most.Medium
}

// noSeasonDeg is the latitude within which days hardly change: no season is
// named there.
const noSeasonDeg = 12.0

// seasonOf names the season of a repot by months, turned round in the south.
func seasonOf(place Place, r Repot) string {
	latitude := place.LatitudeDeg
	if latitude.Grade == 0 || math.Abs(latitude.Value) < noSeasonDeg {
		return ""
	}
	month := int(r.Date.Month()) % 12 // December begins the winter of the north
	if latitude.Value < 0 {
		month = (month + 6) % 12
	}
	return [...]string{"winter", "spring", "summer", "autumn"}[month/3]
}

// shortDayHours is the length of day under which roots are taken to be slow.
const shortDayHours = 11

// coolSeason reports whether a plant in daylight was repotted in the dark half
// of its year. Under lamps, and without a latitude, the season is not known.
func (c *Collection) coolSeason(space string, r Repot) bool {
	if c.Place.LatitudeDeg.Grade == 0 {
		return false
	}
	for _, s := range c.Spaces {
		if strings.EqualFold(s.Name, space) && s.Kind.UnderLamps() {
			return false
		}
	}
	day, err := light.OnDayOfYear(c.Place.LatitudeDeg.Value, r.Date.YearDay())
	return err == nil && day.DaylightHours < shortDayHours
}
