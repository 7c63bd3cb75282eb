package course

import "velamen/science/basis"

// Headroom is how much more water the roots could bring before the repot than
// the leaves lost in the usual climate. No measurement of it in orchids is
// known; a plant that never wilted between waterings had at least 1.
var (
	HeadroomStrong   = basis.Assumed(1.4, 1.1, 1.8, "1")
	HeadroomOrdinary = basis.Assumed(1.25, 1.0, 1.6, "1")
	HeadroomWeak     = basis.Assumed(1.0, 0.8, 1.25, "1")
	HeadroomRescue   = basis.Assumed(0.7, 0.4, 1.0, "1")
)

// What becomes of the roots that were kept, and of the lost ones.
var (
	// DiebackPerWetShare is the share of the kept root length that dies back
	// for a full change of wet share, from always wet to never or back. Roots
	// are built for the moisture they grew in.
	DiebackPerWetShare = basis.Assumed(0.35, 0.1, 0.6, "1")
	// DiebackDays is the time constant of that loss.
	DiebackDays = basis.Assumed(14, 7, 28, "days")
	// TipsSeenDays is how soon roots that already showed growing tips at the
	// repot lengthen again.
	TipsSeenDays = basis.Assumed(7, 3, 14, "days")
)

// The guard rails: how far growers turn feed, light, heat and moving air down
// after a repot.
var (
	LeastTurnDown    = basis.Exactly(0.30, "1", basis.CommonPractice, "")
	OrdinaryTurnDown = basis.Exactly(0.50, "1", basis.CommonPractice, "")
)

// The stages and the steps between them.
var (
	SettlingDays = basis.Exactly(14, "days", basis.CommonPractice, "")
	RecoveryDays = basis.Exactly(42, "days", basis.CommonPractice, "")
	// StepShare is the largest share of the remaining gap that one step may
	// close; a published light ramp for bare-root Phalaenopsis was far
	// faster (34, 72, 140, 200 µmol in 6 to 9 days; Hou, Setter & Chang 2010,
	// JASHS 135:183), but those plants had kept their roots.
	StepShare = basis.Assumed(0.25, 0.15, 0.35, "1")
	StepDays  = basis.Exactly(7, "days", basis.CommonPractice, "")
	// EstablishedFactor is where a course stops counting steps: what is left
	// of the gap is smaller than a grower can set.
	EstablishedFactor = basis.Assumed(0.95, 0.9, 1, "1")
	SixMonthsDays     = basis.Exactly(182, "days", basis.CommonPractice, "")
	OneYearDays       = basis.Exactly(365, "days", basis.CommonPractice, "")
)

// The limits within which the air may be made kinder.
var (
	// RHCeilingPercent is as humid as an open space with moving air should
	// get; above it leaves stay wet and rot spreads.
	RHCeilingPercent = basis.Value{Value: 80, Low: 75, High: 85, Unit: "%", Grade: basis.CommonPractice}
	// EnclosureCeilingPercent is the same inside a bag, box or case, which
	// is aired every day.
	EnclosureCeilingPercent = basis.Value{Value: 92, Low: 88, High: 96, Unit: "%", Grade: basis.CommonPractice}
	// RottingVPDKPa is the deficit below which infection is worst.
	RottingVPDKPa = basis.Value{Value: 0.2, Low: 0.2, High: 0.43, Unit: "kPa", Grade: basis.FromMemory,
		Source: "Prenger & Ling, Ohio State AEX-804-01"}
	// LeastRHRise is how far growers raise humidity at least.
	LeastRHRise = basis.Exactly(10, "%", basis.CommonPractice, "")
)
