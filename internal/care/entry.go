package care

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/course"
)

// Entry is one thing done or seen. Entries are only ever added: what was wrong
// is corrected by a later entry that refers to it.
type Entry struct {
	ID       string    `json:"id"` // UUID version 7, made where the entry was typed
	At       time.Time `json:"at"` // when it was done or seen
	Recorded time.Time `json:"recorded,omitzero"`
	Kind     Kind      `json:"kind"`
	Plant    string    `json:"plant,omitempty"`    // id of the plant, a UUID made when it was added
	Corrects string    `json:"corrects,omitempty"` // id of the entry that this one takes the place of
	By       string    `json:"by,omitempty"`       // who did it
	Detail   Detail    `json:"detail,omitzero"`
}

// Kind is what an entry is about.
type Kind string

// The kinds of entry. The first ones set up the collection.
const (
	PlaceSet    Kind = "place"
	SpaceSet    Kind = "space"
	WaterSet    Kind = "water"
	FeedSet     Kind = "feed product"
	RoutineSet  Kind = "routine"
	SettingsSet Kind = "settings"
	CaseKept    Kind = "case"  // somebody else's, kept to look at again
	PlantSet    Kind = "plant" // added, or its record changed

	TankSet      Kind = "tank"     // a tank or barrel, and what fills it
	StockRead    Kind = "stock"    // how much is in it, or left of a feed
	BatchMade    Kind = "batch"    // a solution was mixed
	MembraneRead Kind = "membrane" // what a reverse-osmosis unit does
	MixingSet    Kind = "mixing"   // scale, can and limits of batches
	AwaySet      Kind = "away"     // days on which no round is done
	PlanAnew     Kind = "new plan" // of the days ahead, instead of mending the one of the morning

	RepotPlanned Kind = "repot planned" // for a day, or for none any more
	RepotDone    Kind = "repot"
	FlushDone    Kind = "flush"
	WaterGiven   Kind = "watering" // between two flushes
	FeedDone     Kind = "feed"
	MistDone     Kind = "mist"
	SupplementIn Kind = "supplement" // seaweed and the like
	RainFell     Kind = "rain"       // on all outdoor spaces, unless one is named
	Weighed      Kind = "weigh"
	DrainageRead Kind = "drainage"
	WetnessSeen  Kind = "wetness"  // of the pot, by looking into it
	SpotSet      Kind = "spot"     // in a space
	LightReadAt  Kind = "light"    // of a meter, at a spot
	ForecastIn   Kind = "forecast" // of the air of a space, or of the open sky
	RootsRead    Kind = "roots"
	Counted      Kind = "counts" // leaves, bulbs, wrinkles
	SignSeen     Kind = "sign"   // what no number says
	PestLook     Kind = "pest look"
	Treated      Kind = "treatment"
	BladeUsed    Kind = "blade"         // cut this plant
	BladeCleaned Kind = "blade cleaned" // or taken new: about no plant
	Photographed Kind = "photograph"
	Moved        Kind = "move"
	SpikeDecided Kind = "spike"
	Reviewed     Kind = "review"
	Noted        Kind = "note"
	Skipped      Kind = "skip"
	PlantLost    Kind = "lost"
	PlantLeft    Kind = "left"

	Withdrawn Kind = "withdraw" // the corrected entry never happened
)

// Kinds lists every kind.
var Kinds = []Kind{
	PlaceSet, SpaceSet, WaterSet, FeedSet, RoutineSet, SettingsSet, CaseKept, PlantSet, TankSet, StockRead, BatchMade, MembraneRead, MixingSet, AwaySet, PlanAnew,
	RepotPlanned, RepotDone, FlushDone, WaterGiven, FeedDone, MistDone, SupplementIn, RainFell, Weighed, DrainageRead, RootsRead, Counted, SignSeen,
	WetnessSeen, SpotSet, LightReadAt, ForecastIn,
	PestLook, Treated, BladeUsed, BladeCleaned, Photographed, Moved, SpikeDecided, Reviewed, Noted, Skipped, PlantLost, PlantLeft, Withdrawn,
}

// aboutPlant reports whether entries of this kind belong to one plant.
func (k Kind) aboutPlant() bool {
	switch k {
	case SpotSet, LightReadAt, ForecastIn, PlaceSet, SpaceSet, WaterSet, FeedSet, RoutineSet, SettingsSet, CaseKept, TankSet, StockRead, BatchMade, MembraneRead, MixingSet, AwaySet, PlanAnew, RainFell, BladeCleaned, Withdrawn:
		return false
	}
	return true
}

// Detail is what an entry says; which fields count depends on its kind.
type Detail struct {
	Note string `json:"note,omitempty"`

	Place    *Place    `json:"place,omitempty"`
	Space    *Space    `json:"space,omitempty"`
	Water    *Water    `json:"water,omitempty"`
	Feed     *Feed     `json:"feed,omitempty"`
	Routine  *Routine  `json:"routine,omitempty"`
	Settings *Settings `json:"settings,omitempty"`
	Plant    *Plant    `json:"plant,omitempty"` // Plant.Repot is not used; see Repot
	Repot    *Repot    `json:"repot,omitempty"`
	Case     *CaseText `json:"case,omitempty"`

	Tank     *Tank            `json:"tank,omitempty"`
	Stock    *StockReading    `json:"stock,omitempty"`
	Batch    *BatchMixed      `json:"batch,omitempty"`
	Membrane *MembraneReading `json:"membrane,omitempty"` // of the unit that fills the tank of WaterName
	Mixing   *Mixing          `json:"mixing,omitempty"`

	Spot      *Spot      `json:"spot,omitempty"`
	LightRead *LightRead `json:"light,omitempty"`
	Foreseen  *Foreseen  `json:"foreseen,omitempty"`
	ToSpot    string     `json:"to_spot,omitempty"` // of the space moved to

	Away       *Away     `json:"away,omitempty"`
	PlannedFor time.Time `json:"planned_for,omitzero"` // of a repot to come; zero: not planned any more

	VolumeML  *float64 `json:"volume_ml,omitempty"`
	ECmS      *float64 `json:"ec_ms,omitempty"` // of what was poured, or of the drainage
	MassG     *float64 `json:"mass_g,omitempty"`
	RainMM    *float64 `json:"rain_mm,omitempty"`
	WaterName string   `json:"water_name,omitempty"`
	Wet       Wetness  `json:"wet,omitempty"`     // of the pot as it was found, before anything was poured
	Product   string   `json:"product,omitempty"` // supplement or treatment, as the label calls it

	Roots       []RootReading `json:"roots,omitempty"`
	Leaves      *int          `json:"leaves,omitempty"`
	Pseudobulbs *int          `json:"pseudobulbs,omitempty"`
	Wrinkle     *int          `json:"wrinkle,omitempty"` // 0 firm, 1 slight, 2 clear, 3 deep

	Sign  SeenSign  `json:"sign,omitempty"`
	Blade string    `json:"blade,omitempty"` // what the grower calls it
	How   BladeCare `json:"how,omitempty"`   // a blade was cleaned

	Pest     string       `json:"pest,omitempty"`     // empty in a pest look: nothing found; what was treated, if it was said
	Photo    string       `json:"photo,omitempty"`    // content hash of the picture
	Original string       `json:"original,omitempty"` // of the picture as the camera made it, where those are kept
	ToSpace  string       `json:"to_space,omitempty"`
	Spike    string       `json:"spike,omitempty"` // cut or kept
	Stage    course.Stage `json:"stage,omitempty"`

	Job    string `json:"job,omitempty"`    // key of the job this entry answers
	Reason string `json:"reason,omitempty"` // why it was skipped
	Where  string `json:"where,omitempty"`  // space of an entry about no plant
}

// RootReading is the length of one marked root.
type RootReading struct {
	Root     string  `json:"root"` // its mark
	LengthMM float64 `json:"length_mm"`
	Tip      string  `json:"tip,omitempty"` // growing, resting, chewed, broken
	// HowMM is the standard error of the way it was measured, 0 when unknown.
	HowMM float64 `json:"how_mm,omitempty"`
	// Confirmed says that the grower looked again at a reading that was
	// questioned, and stands by it.
	Confirmed bool `json:"confirmed,omitempty"`
}

// CaseText is somebody else's case that was kept, as the file it came in.
type CaseText struct {
	Name string `json:"name"`
	File string `json:"file"` // TOML, as package casefile reads it
}

// longestCaseText bounds the file of a kept case, in bytes.
const longestCaseText = 64 << 10

// Settings are what the grower chose once.
type Settings struct {
	Units         Units   `json:"units"`
	MinutesPerDay float64 `json:"minutes_per_day,omitempty"` // 0: no limit given
	LitresPerDay  float64 `json:"litres_per_day,omitempty"`
	// Weekdays says which days of the week differ from MinutesPerDay.
	Weekdays Weekdays `json:"weekdays,omitzero"`
	// BenchMinutesPerWeek is the time for repotting; 0: not given.
	BenchMinutesPerWeek float64 `json:"bench_minutes_per_week,omitempty"`
	KeepOriginals       bool    `json:"keep_originals,omitempty"` // of photographs
	SampleDataOnly      bool    `json:"sample_data,omitempty"`
}

// Problem is one thing wrong with an entry, at one field.
type Problem struct {
	Field   string `json:"field"` // as in JSON, "detail.mass_g"
	Message string `json:"message"`
}

func (p Problem) Error() string { return p.Field + ": " + p.Message }

// Check returns everything wrong with an entry. now bounds the time: nothing
// happens more than a day ahead.
func (e Entry) Check(now time.Time) []Problem {
	var found []Problem
	bad := func(field, format string, args ...any) {
		found = append(found, Problem{field, fmt.Sprintf(format, args...)})
	}
	if !validID(e.ID) {
		bad("id", "is %q; expected a UUID such as 0190b5c2-7d3e-7000-8000-0123456789ab", e.ID)
	}
	if !slices.Contains(Kinds, e.Kind) {
		bad("kind", "%q is not known", e.Kind)
	}
	switch {
	case e.At.IsZero():
		bad("at", "is missing: when was it?")
	case e.At.Year() < 1980:
		bad("at", "%s lies before 1980", e.At.Format(time.DateOnly))
	case e.At.After(now.Add(24 * time.Hour)):
		bad("at", "%s lies in the future", e.At.Format(time.DateOnly))
	}
	if e.Kind.aboutPlant() && !validID(e.Plant) {
		bad("plant", "is missing: which plant?")
	}
	if e.Corrects != "" && !validID(e.Corrects) {
		bad("corrects", "is %q; expected the id of an entry", e.Corrects)
	}
	if e.Kind == Withdrawn && e.Corrects == "" {
		bad("corrects", "is missing: which entry is withdrawn?")
	}
	e.Detail.check(e.Kind, bad)
	return found
}

func (d Detail) check(kind Kind, bad func(field, format string, args ...any)) {
	number := func(field string, v *float64, low, high float64, unit string) {
		if v != nil && !(*v >= low && *v <= high) {
			bad("detail."+field, "%g is outside %g to %g %s", *v, low, high, unit)
		}
	}
	number("volume_ml", d.VolumeML, 0, 100_000, "mL")
	number("ec_ms", d.ECmS, 0, 50, "mS/cm")
	number("mass_g", d.MassG, 0.1, 200_000, "g")
	number("rain_mm", d.RainMM, 0, 1000, "mm")
	for field, v := range map[string]*int{"leaves": d.Leaves, "pseudobulbs": d.Pseudobulbs} {
		if v != nil && (*v < 0 || *v > 10_000) {
			bad("detail."+field, "%d is outside 0 to 10000", *v)
		}
	}
	if d.Wrinkle != nil && (*d.Wrinkle < 0 || *d.Wrinkle > 3) {
		bad("detail.wrinkle", "%d is outside 0 (firm) to 3 (deep)", *d.Wrinkle)
	}
	for i, r := range d.Roots {
		if strings.TrimSpace(r.Root) == "" {
			bad(fmt.Sprintf("detail.roots[%d].root", i), "is missing: which root?")
		}
		if !(r.LengthMM >= 0 && r.LengthMM <= 3000) || math.IsNaN(r.LengthMM) {
			bad(fmt.Sprintf("detail.roots[%d].length_mm", i), "%g is outside 0 to 3000 mm", r.LengthMM)
		}
		if !slices.Contains([]string{"", "growing", "resting", "chewed", "broken"}, r.Tip) {
			bad(fmt.Sprintf("detail.roots[%d].tip", i), "%q is not one of growing, resting, chewed, broken", r.Tip)
		}
	}
	if d.Wet != "" && !slices.Contains(Wetnesses, d.Wet) {
		bad("detail.wet", "%q is not one of dry, dry on top, damp, wet", d.Wet)
	}
	if d.Spot != nil {
		d.Spot.check(bad)
	}
	if d.LightRead != nil {
		d.LightRead.check(bad)
	}
	if d.Sign != "" && !slices.Contains(SeenSigns, d.Sign) {
		bad("detail.sign", "%q is not a sign that is known", d.Sign)
	}
	if (d.How != "" || kind == BladeCleaned) && !slices.Contains(BladeCares, d.How) {
		bad("detail.how", "%q is not a way to clean a blade that is known", d.How)
	}
	const longName = 60
	if len(d.Blade) > longName {
		bad("detail.blade", "has %d letters; %d are the most", len(d.Blade), longName)
	}
	for _, part := range []interface {
		check(func(field, format string, args ...any))
	}{d.Tank, d.Stock, d.Batch, d.Membrane, d.Mixing, d.Feed, d.Foreseen, d.Away, d.Settings} {
		part.check(bad)
	}
	if y := d.PlannedFor.Year(); !d.PlannedFor.IsZero() && (y < 1980 || y > 2200) {
		bad("detail.planned_for", "%s cannot be right", d.PlannedFor.Format(time.DateOnly))
	}
	const longNote = 10_000
	if len(d.Note) > longNote {
		bad("detail.note", "has %d letters; %d are the most", len(d.Note), longNote)
	}
	if d.Case != nil && len(d.Case.File) > longestCaseText {
		bad("detail.case.file", "has %d bytes; %d are the most", len(d.Case.File), longestCaseText)
	}
	missing := map[Kind]struct {
		field string
		here  bool
	}{
		PlaceSet: {"place", d.Place != nil}, SpaceSet: {"space", d.Space != nil && d.Space.Name != ""},
		WaterSet: {"water", d.Water != nil && d.Water.Name != ""}, FeedSet: {"feed", d.Feed != nil && d.Feed.Name != ""},
		CaseKept:   {"case", d.Case != nil && strings.TrimSpace(d.Case.Name) != "" && d.Case.File != ""},
		RoutineSet: {"routine", d.Routine != nil}, SettingsSet: {"settings", d.Settings != nil},
		PlantSet: {"plant", d.Plant != nil && d.Plant.Label != ""}, RepotDone: {"repot", d.Repot != nil},
		AwaySet: {"away", d.Away != nil}, TankSet: {"tank", d.Tank != nil}, StockRead: {"stock", d.Stock != nil}, BatchMade: {"batch", d.Batch != nil},
		MembraneRead: {"membrane", d.Membrane != nil},
		RainFell:     {"rain_mm", d.RainMM != nil}, Weighed: {"mass_g", d.MassG != nil}, DrainageRead: {"ec_ms", d.ECmS != nil}, WetnessSeen: {"wet", d.Wet != ""},
		SpotSet: {"spot", d.Spot != nil}, LightReadAt: {"light", d.LightRead != nil}, ForecastIn: {"foreseen", d.Foreseen != nil},
		RootsRead: {"roots", len(d.Roots) > 0}, Photographed: {"photo", d.Photo != ""}, Moved: {"to_space", d.ToSpace != ""},
		SpikeDecided: {"spike", d.Spike == "cut" || d.Spike == "kept"}, Noted: {"note", strings.TrimSpace(d.Note) != ""},
		MixingSet: {"mixing", d.Mixing != nil},
		Skipped:   {"job", d.Job != ""}, SignSeen: {"sign", d.Sign != ""},
		BladeUsed: {"blade", strings.TrimSpace(d.Blade) != ""}, BladeCleaned: {"blade", strings.TrimSpace(d.Blade) != ""},
		Counted: {"leaves", d.Leaves != nil || d.Pseudobulbs != nil || d.Wrinkle != nil},
	}
	if m, ok := missing[kind]; ok && !m.here {
		bad("detail."+m.field, "is missing")
	}
}

// validID reports whether s has the form of a UUID.
func validID(s string) bool {
	if len(s) != 36 {
		return false
	}
	for i, r := range s {
		switch {
		case i == 8 || i == 13 || i == 18 || i == 23:
			if r != '-' {
				return false
			}
		case !strings.ContainsRune("0123456789abcdef", r):
			return false
		}
	}
	return true
}
