package care

import (
	"time"

	"velamen/science/basis"
	"velamen/science/water"
)

// A Case is what a grower tells about one place: where it is, what the spaces,
// waters and feeds are like, and which plants were worked on.
type Case struct {
	Place   Place
	Spaces  []Space
	Spots   []SpotState
	Waters  []Water
	Feeds   []Feed
	Routine Routine // used by every plant that has none of its own
	Plants  []Plant

	// Measured is the usual climate of spaces as it was measured, by their names
	// in small letters; it takes the place of what Spaces say.
	Measured map[string]ClimateProfile
}

// Place is where the plants stand.
type Place struct {
	LatitudeDeg  basis.Value `json:"latitude_deg,omitzero"`  // north positive, −90 to 90
	LongitudeDeg basis.Value `json:"longitude_deg,omitzero"` // east positive, −180 to 180
	AltitudeM    basis.Value `json:"altitude_m,omitzero"`    // −430 to 5000
	// Zone is the time zone of the clocks there, by its name in the IANA
	// database; empty: that of the machine.
	Zone string `json:"zone,omitempty"`
}

// Space is a room or bench with one climate.
type Space struct {
	Name string    `json:"name,omitempty"`
	Kind SpaceKind `json:"kind,omitempty"`

	DayC           basis.Value `json:"day_c,omitzero"`
	NightC         basis.Value `json:"night_c,omitzero"` // typical day and night, °C
	DayRHPercent   basis.Value `json:"day_rh_percent,omitzero"`
	NightRHPercent basis.Value `json:"night_rh_percent,omitzero"` // typical day and night, %
	Air            AirMovement `json:"air,omitempty"`
	Light          LightLevel  `json:"light,omitzero"`
	Room           *Room       `json:"room,omitempty"`
	Covers         []string    `json:"covers,omitempty"` // panes, cloths and curtains between sky and plant, when Light was not measured
}

// SpaceKind says what sort of place a space is; it chooses defaults only.
type SpaceKind string

// The kinds of space.
const (
	Windowsill SpaceKind = "windowsill"
	LampShelf  SpaceKind = "lamp shelf"
	Glasshouse SpaceKind = "glasshouse"
	Balcony    SpaceKind = "glazed balcony"
	Terrace    SpaceKind = "shaded terrace"
	Enclosure  SpaceKind = "enclosure"
)

// SpaceKinds lists every kind of space, for forms and messages.
var SpaceKinds = []SpaceKind{Windowsill, LampShelf, Glasshouse, Balcony, Terrace, Enclosure}

// UnderLamps reports whether plants in this kind of space live by lamp light.
func (k SpaceKind) UnderLamps() bool { return k == LampShelf || k == Enclosure }

// AirMovement is how the air moves around the leaves, by what a grower can see.
type AirMovement string

// The classes of air movement, from slowest to fastest.
const (
	StillAir  AirMovement = "still"  // a closed room
	GentleAir AirMovement = "gentle" // a fan somewhere in the room, thin leaves just stir
	MovingAir AirMovement = "moving" // a fan turned on the plants, leaves move
	StrongAir AirMovement = "strong" // wind; leaves flap
)

// AirMovements lists the classes from slowest to fastest.
var AirMovements = []AirMovement{StillAir, GentleAir, MovingAir, StrongAir}

// LightLevel is the light at the leaves as the grower knows it.
type LightLevel struct {
	Level       basis.Value `json:"level,omitzero"` // in Unit; for daylight a bright-day maximum unless Unit is DLI
	Unit        LightUnit   `json:"unit,omitempty"`
	Source      string      `json:"source,omitempty"`       // "sun", "led", … as science/light names its sources
	HoursPerDay basis.Value `json:"hours_per_day,omitzero"` // hours of lamp light; daylight takes the length of the day
}

// LightUnit is the unit a light level is read in.
type LightUnit string

// The units of light.
const (
	PPFD       LightUnit = "µmol/m²/s"
	Lux        LightUnit = "lx"
	FootCandle LightUnit = "fc"
	DLI        LightUnit = "mol/m²/day"
)

// Water is one source with its analysis, as far as it is known.
type Water struct {
	Name                  string      `json:"name,omitempty"`
	ECmS                  basis.Value `json:"ec_ms,omitzero"` // mS/cm at 25 °C
	HardnessMgLCaCO3      basis.Value `json:"hardness_mg_lcaco3,omitzero"`
	AlkalinityMgLCaCO3    basis.Value `json:"alkalinity_mg_lcaco3,omitzero"`
	Ions                  *water.Ions `json:"ions,omitempty"` // nil unless there is an ion analysis
	SoftenedByIonExchange bool        `json:"softened_by_ion_exchange,omitempty"`
}

// Feed is one labelled fertiliser, a single salt or several, or a supplement that
// brings salts of its own.
type Feed struct {
	Name  string      `json:"name,omitempty"`
	Label water.Label `json:"label,omitzero"` // of salts too: what a bag of them would say

	Salts      []SaltShare `json:"salts,omitempty"`      // what it is made of, where that is known exactly
	Supplement bool        `json:"supplement,omitempty"` // seaweed and the like: no feed, but it goes into every batch that asks for it
	// PerLitre is the dose of a supplement, g/L or, for a liquid, mL/L.
	PerLitre basis.Value `json:"per_litre,omitzero"`
}

// SaltShare is a salt's share of a feed by mass.
type SaltShare struct {
	Formula string  `json:"formula"` // as science/water writes it
	Share   float64 `json:"share"`   // above 0 to 1
}

// Routine is how the plant was kept before the repot. A field without a grade
// or a name was left out.
type Routine struct {
	Water string `json:"water,omitempty"` // name of a Water
	Feed  string `json:"feed,omitempty"`  // name of a Feed

	// How strong the feed was: at most one of the three is given.
	FeedGramsPerLitre basis.Value `json:"feed_grams_per_litre,omitzero"`
	FeedPpmN          basis.Value `json:"feed_ppm_n,omitzero"`
	FeedECmS          basis.Value `json:"feed_ec_ms,omitzero"` // of the finished solution

	FeedEveryDays  basis.Value `json:"feed_every_days,omitzero"`
	WaterEveryDays basis.Value `json:"water_every_days,omitzero"`
}

// Vigour is the plant's state before it was disturbed.
type Vigour string

// The states of vigour.
const (
	Strong   Vigour = "strong"
	Ordinary Vigour = "ordinary"
	Weak     Vigour = "weak"
	Rescue   Vigour = "rescue" // already losing water faster than its roots bring it
)

// Vigours lists the states from best to worst.
var Vigours = []Vigour{Strong, Ordinary, Weak, Rescue}

// Plant is one plant and the work that was done on it.
type Plant struct {
	Label string `json:"label,omitempty"` // unique in its collection
	Name  string `json:"name,omitempty"`
	Group string `json:"group,omitempty"` // a culture group, as the grower writes it
	Space string `json:"space,omitempty"` // name of a Space
	Spot  string `json:"spot,omitempty"`  // of that space, as far as it is known

	Leaves       basis.Value `json:"leaves,omitzero"` // count
	LeafLengthCm basis.Value `json:"leaf_length_cm,omitzero"`
	LeafWidthCm  basis.Value `json:"leaf_width_cm,omitzero"`
	LeafAreaCm2  basis.Value `json:"leaf_area_cm2,omitzero"` // one side; overrides count, length and width
	Pseudobulbs  basis.Value `json:"pseudobulbs,omitzero"`   // count

	Vigour  Vigour   `json:"vigour,omitempty"`
	Routine *Routine `json:"routine,omitempty"` // nil when the case's routine applies
	Repot   Repot    `json:"repot,omitzero"`
}

// Work is what was done.
type Work string

// The kinds of work.
const (
	Repotted Work = "repotted"
	Divided  Work = "divided"
	Mounted  Work = "mounted"
)

// Works lists the kinds of work.
var Works = []Work{Repotted, Divided, Mounted}

// FlowerState is whether the plant carried flowers or a spike at the repot.
type FlowerState string

// The flower states.
const (
	NoFlowers FlowerState = "none"
	InSpike   FlowerState = "in spike"
	InBloom   FlowerState = "in bloom"
)

// FlowerStates lists the flower states.
var FlowerStates = []FlowerState{NoFlowers, InSpike, InBloom}

// Repot is the work at the bench that starts a recovery.
type Repot struct {
	Date         time.Time   `json:"date,omitzero"` // the calendar day, at midnight UTC
	Work         Work        `json:"work,omitempty"`
	RootsKept    basis.Value `json:"roots_kept,omitzero"`     // share of the living root length kept, 0 to 1
	LeavesKept   basis.Value `json:"leaves_kept,omitzero"`    // share of the leaf area kept, above 0 to 1
	LiveRootTips basis.Value `json:"live_root_tips,omitzero"` // growing tips seen, count
	SoakedHours  basis.Value `json:"soaked_hours,omitzero"`   // how long the new medium was soaked beforehand
	Pests        []string    `json:"pests,omitempty"`         // pests seen, as the grower writes them
	Flowers      FlowerState `json:"flowers,omitempty"`

	From Home `json:"from,omitzero"`
	To   Home `json:"to,omitzero"`
}

// Home is what the roots live in: a container of medium, or a mount.
type Home struct {
	Container *Container  `json:"container,omitempty"`
	Medium    []Component `json:"medium,omitempty"`
	Mount     *Mount      `json:"mount,omitempty"`
}

// Known reports whether anything was said about this home.
func (h Home) Known() bool { return h.Container != nil || h.Mount != nil || len(h.Medium) > 0 }

// Container is a pot or basket by its inside measures.
type Container struct {
	NominalCm basis.Value `json:"nominal_cm,omitzero"` // the size it is sold by, when it was not measured
	TopCm     basis.Value `json:"top_cm,omitzero"`
	BottomCm  basis.Value `json:"bottom_cm,omitzero"` // diameters, or sides of a square pot
	HeightCm  basis.Value `json:"height_cm,omitzero"`
	Square    bool        `json:"square,omitempty"`
	Material  string      `json:"material,omitempty"` // "plastic", "clay", … as the culture tables name it
}

// Component is one part of a mix, by volume.
type Component struct {
	Medium string  `json:"medium,omitempty"` // as the culture tables name it
	Parts  float64 `json:"parts,omitempty"`
}

// Mount is a slab or branch with an optional pad of moss.
type Mount struct {
	Material string      `json:"material,omitempty"`
	WidthCm  basis.Value `json:"width_cm,omitzero"`
	HeightCm basis.Value `json:"height_cm,omitzero"`
	MossCm   basis.Value `json:"moss_cm,omitzero"` // thickness of the moss pad
}
