package care

import (
	"fmt"
	"math"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

// headspaceMM is left between rim and medium, 10 to 15 mm by common practice.
const headspaceMM = 12.0

// mossPadWater is the water in a moss pad on a mount, m³/m³.
var mossPadWater = basis.Assumed(0.6, 0.4, 0.75, "1")

// bareMountWetting is how bark, cork and fern take up water from a pour.
var bareMountWetting = pot.Wettability{CaptureDry: 0.5, CaptureWet: 0.7, UptakeDryPerDay: 1, UptakeMoistPerDay: 1}

// filled is a home as the engine simulates it.
type filled struct {
	pot    *pot.Pot
	bypass float64 // share of running water that does not mix
}

// picks chooses from each range of a medium: what it holds, what it catches, and
// what belongs to no medium.
type picks struct {
	holding, capture func(basis.Value) float64
	tune             func(*pot.Parameters) // nil: the central set
}

// build makes the engine's pot from a home. Each figure of the medium is read
// through pick, which chooses the value or a place in its range.
func (s *subject) build(h Home, fresh bool, pick picks) (filled, error) {
	if h.Mount != nil {
		return s.buildMount(*h.Mount, pick)
	}
	parameters := pick.parameters()
	components := make([]pot.Component, len(h.Medium))
	var parts, ageing float64
	for i, c := range h.Medium {
		m, err := s.tables.Medium(c.Medium)
		if err != nil {
			return filled{}, err
		}
		components[i] = pot.Component{Medium: potMedium(m, fresh, pick), Parts: c.Parts}
		parts += c.Parts
		ageing += c.Parts * m.AgeingWeeks.Value
	}
	mix, err := pot.Mix(components...)
	if err != nil {
		return filled{}, err
	}
	// The mix ages at the mean pace of its parts; what does not age has no
	// pace, and its wettability is the same fresh and aged anyway.
	parameters.AgeingDays = basis.Assumed(math.Max(7, 7*ageing/parts), 7, 365, "days")
	material, err := s.tables.Container(h.Container.Material)
	if err != nil {
		return filled{}, err
	}
	if !material.ByContact {
		mix.WallContact = 1 // an open side dries whether or not the medium touches it
	}
	geometry, err := h.Container.geometry(material.WallFactor.Value)
	if err != nil {
		return filled{}, err
	}
	p, err := pot.New(geometry, mix, 0, parameters)
	return filled{p, mix.Bypass}, err
}

// geometry returns the space the medium fills; wall is the share of the side
// that breathes.
func (c Container) geometry(wall float64) (pot.Geometry, error) {
	headspace := math.Min(headspaceMM, 2*c.HeightCm.Value) // a fifth of a very low pot
	if c.Square {
		return pot.Square{TopCM: c.TopCm.Value, BaseCM: c.BottomCm.Value, HeightCM: c.HeightCm.Value, HeadspaceMM: headspace, WallShare: wall}.Geometry()
	}
	return pot.Round{TopCM: c.TopCm.Value, BaseCM: c.BottomCm.Value, HeightCM: c.HeightCm.Value, HeadspaceMM: headspace, WallShare: wall}.Geometry()
}

// potMedium translates a row of the culture tables. Fresh medium holds less
// than aged medium; how much it catches changes during the run.
func potMedium(m culture.Medium, fresh bool, pick picks) pot.Medium {
	capacity := m.ThetaCapacity
	if fresh {
		capacity = m.ThetaCapacityFresh
	}
	porosity := math.Max(m.TotalPorosity.Value, pick.holding(capacity))
	drying := m.TotalEvaporated.Value / pick.holding(capacity)
	if m.DriesThroughout {
		drying = 10 * pot.LargestCM // the whole depth, whatever it is
	}
	// What ages takes water up at the slow rate while it is fresh, moist or not:
	// air-dry bark needed 48 days to fill to 58 to 70 % (Airhart et al. 1978,
	// HortScience 13:432, abstract).
	freshMoistPerDay := m.SoakWetPerDay.Value
	if m.AgeingWeeks.Value > 0 {
		freshMoistPerDay = m.SoakDryPerDay.Value
	}
	return pot.Medium{
		Porosity: porosity, CapacityLab: pick.holding(capacity), ParticleShare: m.ParticleShare.Value,
		BulkDensity: m.BulkDensityGPerCM3.Value, HalfThicknessMM: m.HalfThicknessMM.Value,
		Tanks: int(m.Tanks.Value), Bypass: m.Bypass.Value,
		ReadyMM: math.Max(0.1, m.ReadilyEvaporated.Value), DryingMM: math.Max(1, drying), WallContact: m.WallContact.Value,
		Fresh: wettability(m.CaptureFresh, m.SoakDryPerDay.Value, freshMoistPerDay, pick),
		Aged:  wettability(m.CaptureAged, m.SoakDryPerDay.Value, m.SoakWetPerDay.Value, pick),
	}
}

func wettability(c culture.Capture, dryPerDay, moistPerDay float64, pick picks) pot.Wettability {
	dry := pick.capture(c.Dry)
	return pot.Wettability{
		CaptureDry: dry, CaptureWet: math.Max(dry, pick.capture(c.Wet)),
		UptakeDryPerDay: dryPerDay, UptakeMoistPerDay: math.Max(dryPerDay, moistPerDay),
	}
}

func (s *subject) buildMount(m Mount, pick picks) (filled, error) {
	material, err := s.tables.Mount(m.Material)
	if err != nil {
		return filled{}, err
	}
	plate := pot.Mount{
		WidthCM: m.WidthCm.Value, HeightCM: m.HeightCm.Value,
		StoreMM: math.Max(0.05, pick.holding(material.StoreMM)), PadMM: 10 * m.MossCm.Value, PadWater: pick.holding(mossPadWater),
		Wetting: bareMountWetting, Bypass: 0.5,
	}
	if m.MossCm.Value > 0 {
		moss, err := s.tables.Medium("moss-loose")
		if err != nil {
			return filled{}, fmt.Errorf("moss pad: %w", err)
		}
		plate.Wetting = wettability(moss.CaptureFresh, moss.SoakDryPerDay.Value, moss.SoakWetPerDay.Value, pick)
	}
	parameters := pick.parameters()
	parameters.VapourShare = material.VapourShare
	p, err := pot.NewMount(plate, parameters)
	return filled{p, plate.Bypass}, err
}

// The ways to read figures: as they are, or at the end that keeps roots drier
// or wetter.
var (
	central = picks{holding: value, capture: value}
	driest  = picks{holding: low, capture: low}
	wettest = picks{holding: high, capture: high}
)

func value(v basis.Value) float64 { return v.Value }
func low(v basis.Value) float64   { return v.Low }
func high(v basis.Value) float64  { return v.High }

func (p picks) parameters() pot.Parameters {
	parameters := pot.Defaults()
	if p.tune != nil {
		p.tune(&parameters)
	}
	return parameters
}

// describe names a home in a few words.
func (h Home) describe() string {
	if h.Mount != nil {
		text := fmt.Sprintf("%s mount, %.0f × %.0f cm", h.Mount.Material, h.Mount.WidthCm.Value, h.Mount.HeightCm.Value)
		if h.Mount.MossCm.Value > 0 {
			text += fmt.Sprintf(" with %.1f cm of moss", h.Mount.MossCm.Value)
		}
		return text
	}
	text := ""
	for i, c := range h.Medium {
		if i > 0 {
			text += ", "
		}
		text += c.Medium
		if len(h.Medium) > 1 {
			text += fmt.Sprintf(" %g", c.Parts)
		}
	}
	if h.Container != nil && h.Container.TopCm.Value > 0 {
		text += fmt.Sprintf(" in a %s pot, %.1f cm across and %.1f cm high", h.Container.Material, h.Container.TopCm.Value, h.Container.HeightCm.Value)
	}
	return text
}
