package culture

import (
	"slices"

	"velamen/science/basis"
)

// Habit is how a plant grows.
type Habit string

const (
	Monopodial  Habit = "monopodial"  // one stem that grows on from its tip
	Sympodial   Habit = "sympodial"   // a rhizome that adds shoot to shoot
	Terrestrial Habit = "terrestrial" // rooted in the ground, often with tubers or corms
)

// Photosynthesis is the pathway of the leaves: it decides whether the plant
// loses its water by day or by night.
type Photosynthesis string

const (
	C3                    Photosynthesis = "C3"
	CAM                   Photosynthesis = "CAM"
	UnknownPhotosynthesis Photosynthesis = "unknown"
)

// TemperatureClass is the growers' word for the nights a group wants.
type TemperatureClass string

const (
	Cool         TemperatureClass = "cool"
	Intermediate TemperatureClass = "intermediate"
	Warm         TemperatureClass = "warm"
)

// FeedLevel is the appetite of an established plant in growth.
type FeedLevel string

const (
	LowFeed    FeedLevel = "low"
	MediumFeed FeedLevel = "medium"
	HighFeed   FeedLevel = "high"
)

// Drying says whether the medium should dry between waterings.
type Drying string

const (
	DriesOut      Drying = "yes"
	DriesSlightly Drying = "slightly"
	StaysMoist    Drying = "no"
)

// LeafClass is the build of the leaf, as far as it decides how fast water is
// lost through a closed leaf.
type LeafClass string

const (
	ThickLeaf    LeafClass = "thick"
	LeatheryLeaf LeafClass = "leathery"
	ThinLeaf     LeafClass = "thin"
	Leafless     LeafClass = "leafless" // green roots do the leaves' work
)

// StorageOrgan is where a plant keeps the water that carries it without roots.
type StorageOrgan string

const (
	NoStorage       StorageOrgan = "none"
	PseudobulbStore StorageOrgan = "pseudobulb"
	ThickLeafStore  StorageOrgan = "thick leaf"
	CaneStore       StorageOrgan = "cane"
	TuberStore      StorageOrgan = "tuber"
)

// SaltTolerance says how the caps on EC are scaled for a group.
type SaltTolerance string

const (
	FineRooted   SaltTolerance = "fine"     // thin roots: half the usual cap
	OrdinarySalt SaltTolerance = "ordinary" // the usual cap
	RobustSalt   SaltTolerance = "robust"   // a little more, once established
)

// StomatalClass names the row of leaf conductances a group is computed with.
type StomatalClass string

const (
	PhalaenopsisStomata  StomatalClass = "phalaenopsis"
	ThickCAMStomata      StomatalClass = "thick CAM"
	ThinC3Stomata        StomatalClass = "thin C3"
	CymbidiumStomata     StomatalClass = "cymbidium"
	PaphiopedilumStomata StomatalClass = "paphiopedilum"
)

// Family is a kind of plant whose leaves or recovery times are on record.
type Family string

const (
	PhalaenopsisFamily  Family = "phalaenopsis"
	CattleyaFamily      Family = "cattleya"
	DendrobiumFamily    Family = "dendrobium"
	OncidiumFamily      Family = "oncidium"
	VandaFamily         Family = "vanda"
	CymbidiumFamily     Family = "cymbidium" // leaves on record, recovery borrowed
	PaphiopedilumFamily Family = "paphiopedilum"
	PhragmipediumFamily Family = "phragmipedium" // leaves and recovery borrowed
	MountedFamily       Family = "mounted"       // hardly ever grown in anything else
)

// Kin says which family a group is computed with. Near means that the group
// does not belong to it and only borrows its figures for want of nearer ones.
type Kin struct {
	Family Family `json:"family"`
	Near   bool   `json:"near"`
}

func (k Kin) String() string {
	if k.Near {
		return "near " + string(k.Family)
	}
	return string(k.Family)
}

// Group is one culture group: plants kept alike.
type Group struct {
	Key     string   `json:"key"`
	Name    string   `json:"name"`
	Aliases []string `json:"aliases,omitempty"`

	Habit            Fact[Habit]            `json:"habit"`
	Photosynthesis   Fact[Photosynthesis]   `json:"photosynthesis"`
	LightFC          Band                   `json:"light_fc"` // at midday on a clear day
	TemperatureClass Fact[TemperatureClass] `json:"temperature_class"`
	NightC           Band                   `json:"night_c"`
	DayC             Band                   `json:"day_c"`
	RHPercent        Band                   `json:"rh_percent"`
	Media            Fact[[]string]         `json:"media"`
	RepotEvery       Interval               `json:"repot_every"`
	RepotTrigger     Fact[string]           `json:"repot_trigger"`
	// ResentsDisturbance runs from 0 (welcomes fresh mix) to 3 (leave alone).
	ResentsDisturbance Fact[int]       `json:"resents_disturbance"`
	Rest               Fact[string]    `json:"rest"`
	Feed               Fact[FeedLevel] `json:"feed"`
	DriesBetween       Fact[Drying]    `json:"dries_between"`
	PotType            Fact[string]    `json:"pot_type"`
	Note               string          `json:"note,omitempty"`

	Kin           Fact[Kin]           `json:"kin"`
	Leaf          Fact[LeafClass]     `json:"leaf"`
	Storage       Fact[StorageOrgan]  `json:"storage"`
	SaltTolerance Fact[SaltTolerance] `json:"salt_tolerance"`
	Division      Division            `json:"division"`
	// PhotoinhibitionUmol is the light, in µmol m⁻² s⁻¹, above which harm or
	// loss of photosynthesis was measured.
	PhotoinhibitionUmol Optional `json:"photoinhibition_umol"`

	Derived Derived `json:"derived"`
}

// Derived holds what the engine computes with; see derive.go for the rules.
type Derived struct {
	Stomata            Fact[StomatalClass] `json:"stomata"`
	MinimumConductance basis.Value         `json:"minimum_conductance"` // stomata shut, both faces, per projected area
	LeafThicknessMM    basis.Value         `json:"leaf_thickness_mm"`
	LightFloorFC       basis.Value         `json:"light_floor_fc"` // never shade below this
	ECCapFactor        basis.Value         `json:"ec_cap_factor"`  // multiplies the general caps on EC
	Recovery           Recovery            `json:"recovery"`
}

func (g Group) clone() Group {
	g.Aliases = slices.Clone(g.Aliases)
	g.Media.Is = slices.Clone(g.Media.Is)
	return g
}
