package care

import (
	"slices"
	"strings"
	"time"
)

// SeenSign is something to be seen at a plant that no number says.
type SeenSign string

// The signs. The first three cannot wait.
const (
	SoftCrown    SeenSign = "soft crown"    // or a soft base, or a soft growth
	SpreadingRot SeenSign = "spreading rot" // a dark, wet patch that grows
	BadSmell     SeenSign = "bad smell"     // of the medium or the base
	LimpLeaves   SeenSign = "limp leaves"   // still limp in the morning
	RocksInPot   SeenSign = "rocks in its pot"
	NewRootTip   SeenSign = "new root tip" // green or red, wherever on the plant
	NewGrowth    SeenSign = "new growth"
	RotGone      SeenSign = "dry and firm again" // ends the first three
	LiftedAlive  SeenSign = "lifted, living roots"
	LiftedDead   SeenSign = "lifted, hardly a living root"

	// What decides when a plant is repotted.
	InSpikeSeen  SeenSign = "in spike"
	InBloomSeen  SeenSign = "in bloom"
	FlowersOver  SeenSign = "flowers over" // ends the two before
	AtRest       SeenSign = "at rest"      // until new growth or a root tip is seen
	PotBound     SeenSign = "pot-bound"
	MediumFailed SeenSign = "medium breaking down"
)

// SeenSigns lists every sign, in the order in which they are asked for.
var SeenSigns = []SeenSign{NewRootTip, NewGrowth, LimpLeaves, RocksInPot, SoftCrown, SpreadingRot, BadSmell, RotGone, LiftedAlive, LiftedDead, InSpikeSeen, InBloomSeen, FlowersOver, AtRest, PotBound, MediumFailed}

// Emergency reports whether a sign cannot wait for the next look.
func (s SeenSign) Emergency() bool { return s == SoftCrown || s == SpreadingRot || s == BadSmell }

// Seen is what was seen and decided at one plant apart from its roots, each in
// order of time.
type Seen struct {
	Counts     []CountAt
	Signs      []SignAt
	Spikes     []SpikeAt
	Reviews    []ReviewAt
	PestLooks  []PestLookAt
	Treatments []TreatedAt
	Blades     []BladeAt
}

// CountAt is one count of leaves and bulbs and one look at their wrinkles; what
// was not looked at is nil.
type CountAt struct {
	At                           time.Time
	Entry                        string
	Leaves, Pseudobulbs, Wrinkle *int
}

// SignAt is one sign.
type SignAt struct {
	At    time.Time
	Entry string
	Sign  SeenSign
}

// SpikeAt is what was done with a flower spike.
type SpikeAt struct {
	At  time.Time
	Cut bool
}

// ReviewAt is where the grower says that the plant stands; empty when the review
// did not say.
type ReviewAt struct {
	At    time.Time
	Entry string
	Stage string
}

// PestLookAt is one look for pests. Pest is empty when nothing was found.
type PestLookAt struct {
	At    time.Time
	Entry string
	Pest  string
	Note  string
}

// TreatedAt is one treatment, wiping and rinsing included. Pest is empty when it
// was not said against what.
type TreatedAt struct {
	At      time.Time
	Entry   string
	Product string
	Pest    string
}

// BladeAt is one cut with a blade that has a name.
type BladeAt struct {
	At    time.Time
	Entry string
	Blade string
}

func (s *Seen) apply(e Entry) {
	d := e.Detail
	switch e.Kind {
	case Counted:
		s.Counts = append(s.Counts, CountAt{e.At, e.ID, d.Leaves, d.Pseudobulbs, d.Wrinkle})
	case SignSeen:
		s.Signs = append(s.Signs, SignAt{e.At, e.ID, d.Sign})
	case SpikeDecided:
		s.Spikes = append(s.Spikes, SpikeAt{e.At, d.Spike == "cut"})
	case Reviewed:
		s.Reviews = append(s.Reviews, ReviewAt{e.At, e.ID, string(d.Stage)})
	case PestLook:
		s.PestLooks = append(s.PestLooks, PestLookAt{e.At, e.ID, d.Pest, d.Note})
	case Treated:
		s.Treatments = append(s.Treatments, TreatedAt{e.At, e.ID, d.Product, d.Pest})
	}
	if d.Blade != "" {
		s.Blades = append(s.Blades, BladeAt{e.At, e.ID, d.Blade})
	}
}

// MayHavePests reports whether any pest was ever found on a plant.
func (p *PlantState) MayHavePests() bool {
	return slices.ContainsFunc(p.Seen.PestLooks, func(l PestLookAt) bool { return l.Pest != "" }) ||
		slices.ContainsFunc(p.Repots, func(r Repotting) bool { return len(r.Repot.Pests) > 0 })
}

// clip returns a copy that can be added to without changing s.
func (s Seen) clip() Seen {
	return Seen{
		slices.Clip(s.Counts), slices.Clip(s.Signs), slices.Clip(s.Spikes), slices.Clip(s.Reviews),
		slices.Clip(s.PestLooks), slices.Clip(s.Treatments), slices.Clip(s.Blades),
	}
}

// CleanedAt is when a blade was made safe for the next plant.
type CleanedAt struct {
	At    time.Time
	Entry string
	Blade string
	How   BladeCare
}

// BladeCare is how a blade was cleaned.
type BladeCare string

// The ways to clean a blade. Alcohol and wiping do not stop viruses.
const (
	NewBlade  BladeCare = "new blade"
	Flamed    BladeCare = "flamed" // 15 to 20 seconds on each side
	Baked     BladeCare = "baked"
	Disinfect BladeCare = "disinfected"
	Wiped     BladeCare = "wiped"
)

// BladeCares lists the ways.
var BladeCares = []BladeCare{NewBlade, Flamed, Baked, Disinfect, Wiped}

// StopsViruses reports whether a way of cleaning counts as safe against the
// viruses that sap carries: heat, or another blade.
func (b BladeCare) StopsViruses() bool { return b == NewBlade || b == Flamed || b == Baked }

// SameBlade reports whether two names mean one blade.
func SameBlade(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}
