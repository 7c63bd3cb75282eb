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
	Waters  []Water
	Feeds   []Feed
	Routine Routine // used by every plant that has none of its own
	Plants  []Plant
}

// Place is where the plants stand.
type Place struct {
	LatitudeDeg  basis.Value // north positive, −90 to 90
	LongitudeDeg basis.Value // east positive, −180 to 180
	AltitudeM    basis.Value // −430 to 5000
}

// Space is a room or bench with one climate.
type Space struct {
	Name string
	Kind SpaceKind

	DayC, NightC                 basis.Value // typical day and night, °C
	DayRHPercent, NightRHPercent basis.Value // typical day and night, %
	Air                          AirMovement
	Light                        LightLevel
	Covers                       []string // panes, cloths and curtains between sky and plant, when Light was not measured
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
	Level       basis.Value // in Unit; for daylight a bright-day maximum unless Unit is DLI
	Unit        LightUnit
	Source      string      // "sun", "led", … as science/light names its sources
	HoursPerDay basis.Value // hours of lamp light; daylight takes the length of the day
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
	Name                  string
	ECmS                  basis.Value // mS/cm at 25 °C
	HardnessMgLCaCO3      basis.Value
	AlkalinityMgLCaCO3    basis.Value
	Ions                  *water.Ions // nil unless there is an ion analysis
	SoftenedByIonExchange bool
}

// Feed is one labelled fertiliser.
type Feed struct {
	Name  string
	Label water.Label
}

// Routine is how the plant was kept before the repot. A field without a grade
// or a name was left out.
type Routine struct {
	Water string // name of a Water
	Feed  string // name of a Feed

	// How strong the feed was: at most one of the three is given.
	FeedGramsPerLitre basis.Value
	FeedPpmN          basis.Value
	FeedECmS          basis.Value // of the finished solution

	FeedEveryDays  basis.Value
	WaterEveryDays basis.Value
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
	Label string // unique in its collection
	Name  string
	Group string // a culture group, as the grower writes it
	Space string // name of a Space

	Leaves       basis.Value // count
	LeafLengthCm basis.Value
	LeafWidthCm  basis.Value
	LeafAreaCm2  basis.Value // one side; overrides count, length and width
	Pseudobulbs  basis.Value // count

	Vigour  Vigour
	Routine *Routine // nil when the case's routine applies
	Repot   Repot
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
	Date         time.Time // the calendar day, at midnight UTC
	Work         Work
	RootsKept    basis.Value // share of the living root length kept, 0 to 1
	LeavesKept   basis.Value // share of the leaf area kept, above 0 to 1
	LiveRootTips basis.Value // growing tips seen, count
	SoakedHours  basis.Value // how long the new medium was soaked beforehand
	Pests        []string    // pests seen, as the grower writes them
	Flowers      FlowerState

	From, To Home
}

// Home is what the roots live in: a container of medium, or a mount.
type Home struct {
	Container *Container
	Medium    []Component
	Mount     *Mount
}

// Known reports whether anything was said about this home.
func (h Home) Known() bool { return h.Container != nil || h.Mount != nil || len(h.Medium) > 0 }

// Container is a pot or basket by its inside measures.
type Container struct {
	NominalCm       basis.Value // the size it is sold by, when it was not measured
	TopCm, BottomCm basis.Value // diameters, or sides of a square pot
	HeightCm        basis.Value
	Square          bool
	Material        string // "plastic", "clay", … as the culture tables name it
}

// Component is one part of a mix, by volume.
type Component struct {
	Medium string // as the culture tables name it
	Parts  float64
}

// Mount is a slab or branch with an optional pad of moss.
type Mount struct {
	Material          string
	WidthCm, HeightCm basis.Value
	MossCm            basis.Value // thickness of the moss pad
}
