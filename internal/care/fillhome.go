package care

import (
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

// Measured returns a home whose container has all its inside measures: those
// that were given, and usual ones for its nominal size where they were not. A
// home without a container, such as a mount, is returned as it is.
func Measured(tables culture.Table, h Home) Home {
	if h.Container == nil {
		return h
	}
	s := &subject{tables: tables}
	s.settleContainer(&h, "pot", basis.Assumed(12, 9, 15, "cm"), "the commonest size")
	return h
}

// FillHome returns a pot or mount as the engine simulates it, with its medium
// as fresh from the bag or aged. Every figure is the central one of its range.
//
// Errors: a medium, material or mount that the tables do not know, and measures
// outside the range of package pot.
func FillHome(tables culture.Table, h Home, fresh bool) (*pot.Pot, error) {
	s := &subject{tables: tables}
	filled, err := s.build(Measured(tables, h), fresh, central)
	if err != nil {
		return nil, err
	}
	return filled.pot, nil
}

// RootZone is what a root zone is held to when nothing is known of the plant.
type RootZone struct {
	DriestWetness basis.Value // share of capacity
	SaltiestECmS  basis.Value // where growers flush whatever the calendar says
	RootingECmS   basis.Value // wanted while a plant re-establishes
	Filling       basis.Value // share of the free room between particles that a flush should fill
}

// UsualRootZone returns the limits for plants that may dry slightly.
func UsualRootZone() RootZone {
	return RootZone{
		DriestWetness: driestWetness[culture.DriesSlightly], SaltiestECmS: saltyECmS, RootingECmS: rootingECmS,
		Filling: basis.Exactly(flushFilling, "1", basis.Assumption, ""),
	}
}

// FreshFromBag is the medium as it comes from the bag: nearly dry between the
// particles, a little damp inside.
func FreshFromBag(p *pot.Pot, ECmS float64) (pot.State, error) {
	return p.Fill(0.05, 0.15, ECmS, 0)
}
