package leaf

import "fmt"

// Photosynthesis is the way a plant takes up carbon dioxide, which decides
// when it opens its stomata.
type Photosynthesis uint8

const (
	// Unknown opens half as C3 and half as CAM: the mean of the two courses.
	Unknown Photosynthesis = iota
	// C3 opens in the light.
	C3
	// CAM opens in the dark and is shut in the light, except for some hours
	// before dusk if it is well watered.
	CAM
)

// String returns the name of the type of photosynthesis.
func (p Photosynthesis) String() string {
	switch p {
	case Unknown:
		return "unknown"
	case C3:
		return "C3"
	case CAM:
		return "CAM"
	}
	return fmt.Sprintf("photosynthesis %d", uint8(p))
}

// Stomata says how far a leaf's stomata open over the day: plain numbers, so
// that a caller who learns about a plant may replace any of them.
type Stomata struct {
	Photosynthesis Photosynthesis
	// OpenMol is the conductance to vapour when open, in air that lacks
	// ReferenceVPDKPa, mol m⁻² s⁻¹.
	OpenMol float64
	// ClosedMol is the conductance when shut, cuticle included, at most
	// OpenMol.
	ClosedMol float64
	// LateAfternoonMol is the conductance of CAM plants in the last hours of
	// light; zero leaves that phase out, as in a plant short of water.
	LateAfternoonMol float64
	// LateHours is the length of that phase, in hours.
	LateHours int
	// HalfOpeningPPFD is the light at which C3 stomata are half open,
	// µmol m⁻² s⁻¹.
	HalfOpeningPPFD float64
	// HalfClosurePPFD is the light at which CAM stomata are half shut; hours
	// with at least this much light count as day.
	HalfClosurePPFD float64
	// HalvingVPDKPa is D0 of the answer to dry air.
	HalvingVPDKPa float64
	// ReferenceVPDKPa is the deficit at which the open conductances hold.
	ReferenceVPDKPa float64
}

// Stomata returns the defaults of a class. The late-afternoon phase of a CAM
// class is included when the plant is well watered, that is, not in the weeks
// after roots were lost.
func (c Class) Stomata(wellWatered bool) (Stomata, error) {
	row, err := Conductances(c)
	if err != nil {
		return Stomata{}, err
	}
	s := Stomata{
		Photosynthesis:  row.Photosynthesis,
		OpenMol:         row.OpenMmol.Value / 1000,
		ClosedMol:       row.ClosedMmol.Value / 1000,
		HalfOpeningPPFD: halfOpening.Value,
		HalfClosurePPFD: halfClosure.Value,
		HalvingVPDKPa:   halvingVPD.Value,
		ReferenceVPDKPa: referenceVPD.Value,
	}
	if wellWatered && row.LateAfternoonMmol.Value > 0 {
		s.LateAfternoonMol = row.LateAfternoonMmol.Value / 1000
		s.LateHours = int(lateHours.Value)
	}
	return s, nil
}

// check reports the first quantity that lies outside its range.
func (s Stomata) check() error {
	if s.Photosynthesis > CAM {
		return fmt.Errorf("leaf: %v is outside %v, %v and %v", s.Photosynthesis, Unknown, C3, CAM)
	}
	return firstError(
		within("open conductance", "mol/(m² s)", s.OpenMol, stomatalLowMol, cuticularHighMol),
		within("closed conductance", "mol/(m² s)", s.ClosedMol, cuticularLowMol, s.OpenMol),
		within("late-afternoon conductance", "mol/(m² s)", s.LateAfternoonMol, stomatalLowMol, cuticularHighMol),
		within("late-afternoon hours", "h", float64(s.LateHours), 0, 24),
		within("half-opening light", "µmol/(m² s)", s.HalfOpeningPPFD, 1, ppfdHigh),
		within("half-closure light", "µmol/(m² s)", s.HalfClosurePPFD, 0.1, ppfdHigh),
		within("halving deficit", "kPa", s.HalvingVPDKPa, 0.1, vpdHighKPa),
		within("reference deficit", "kPa", s.ReferenceVPDKPa, vpdLowKPa, vpdHighKPa),
	)
}

// ConductanceMol returns the conductance of the leaf to water vapour, cuticle
// included, in mol m⁻² s⁻¹, for light in µmol m⁻² s⁻¹ (0 to 2500) and the
// deficit of the air in kPa (0 to 20); late says that it is one of the last
// hours of light.
//
//	g = closed + (open − closed) · light · (D0 + Dr)/(D0 + D)
//	light = Q/(Q + Q½) in C3, 1/(1 + (Q/Q½)²) in CAM, their mean if unknown
//
// The answer to dry air is the hyperbola of Lohammar et al. 1980 and Leuning
// 1995 (from memory), scaled to be 1 at the deficit Dr for which conductances
// are quoted. The answers to light are assumptions of the simplest shape.
func (s Stomata) ConductanceMol(ppfd, vpdKPa float64, late bool) (float64, error) {
	if err := firstError(s.check(),
		within("light", "µmol/(m² s)", ppfd, ppfdLow, ppfdHigh),
		within("vapour pressure deficit", "kPa", vpdKPa, vpdLowKPa, vpdHighKPa)); err != nil {
		return 0, err
	}
	return s.ClosedMol + s.opening(ppfd, vpdKPa, late), nil
}

// opening is the part of the conductance above the closed one.
func (s *Stomata) opening(ppfd, vpdKPa float64, late bool) float64 {
	var light float64
	switch s.Photosynthesis {
	case C3:
		light = s.openByLight(ppfd)
	case CAM:
		light = s.openByDark(ppfd)
	default:
		light = (s.openByLight(ppfd) + s.openByDark(ppfd)) / 2
	}
	excess := (s.OpenMol - s.ClosedMol) * light
	if late && s.Photosynthesis == CAM {
		excess = max(excess, s.LateAfternoonMol-s.ClosedMol)
	}
	return excess * (s.HalvingVPDKPa + s.ReferenceVPDKPa) / (s.HalvingVPDKPa + vpdKPa)
}

func (s *Stomata) openByLight(ppfd float64) float64 { return ppfd / (ppfd + s.HalfOpeningPPFD) }

func (s *Stomata) openByDark(ppfd float64) float64 {
	share := ppfd / s.HalfClosurePPFD
	return 1 / (1 + share*share)
}
