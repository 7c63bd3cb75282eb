package cli

import (
	"errors"
	"fmt"

	"velamen/science/air"
	"velamen/science/basis"
	"velamen/science/leaf"
	"velamen/science/light"
)

// calcLeaf are the calculations about one leaf.
type calcLeaf struct {
	Hour calcLeafHour `cmd:"" default:"withargs" help:"One hour in a steady climate, by the full and the fast solution (this is meant if neither is said)."`
	Day  calcLeafDay  `cmd:"" help:"A typical day: water lost in light and dark, and the hottest leaf."`
}

// leafKind says what leaf it is and how the air moves around it.
type leafKind struct {
	Class    string `required:"" placeholder:"CLASS" help:"Kind of leaf: phalaenopsis, cattleya, thin-c3, cymbidium or paphiopedilum."`
	Speed    number `name:"speed-m-s" required:"" range:"0 to 20 m/s" placeholder:"M/S" help:"Air speed at the leaf, 0 to 20 m/s; 0.05 to 0.15 in a still room, 0.3 to 1 near a small fan."`
	Width    number `name:"width-cm" required:"" range:"0.1 to 50 cm" placeholder:"CM" help:"Greatest width of the leaf, 0.1 to 50 cm."`
	From     string `name:"light-from" placeholder:"SOURCE" help:"What gives the light: sun, sky, led, hps, lps, mh, fluorescent or incandescent."`
	Altitude number `name:"altitude-m" range:"-430 to 5600 m" placeholder:"M" help:"Height above the sea, -430 to 5600 m; sea level if left out."`
}

// leafClassNames are the kinds of leaf by the word for the flag.
var leafClassNames = []struct {
	word  string
	class leaf.Class
}{
	{"phalaenopsis", leaf.Phalaenopsis}, {"cattleya", leaf.CattleyaVanda}, {"thin-c3", leaf.ThinC3},
	{"cymbidium", leaf.Cymbidium}, {"paphiopedilum", leaf.Paphiopedilum},
}

func (k leafKind) class() (leaf.Class, error) {
	for _, known := range leafClassNames {
		if k.Class == known.word {
			return known.class, nil
		}
	}
	return leaf.UnknownClass, fmt.Errorf("--class: %q is not known; phalaenopsis, cattleya, thin-c3, cymbidium or paphiopedilum is allowed", k.Class)
}

// heat is what a leaf absorbs of each µmol of the light.
func (k leafKind) heat() (parameter, light.Source, error) {
	if k.From == "" {
		return parameter{}, 0, errors.New("--light-from is missing: the same PPFD heats a leaf more under the sun than under LEDs; say sun, led or another source")
	}
	source, err := light.ParseSource(k.From)
	if err != nil {
		return parameter{}, 0, at("--light-from", err)
	}
	heat, err := light.AbsorbedPerPPFD(source)
	return parameter{"absorbed_j_per_umol", "heat absorbed from the light of " + source.String(), heat}, source, at("--light-from", err)
}

// leafBecause is what both leaf calculations follow.
const leafBecause = "energy balance of a leaf that loses heat from both faces and vapour from the lower (Campbell & Norman 1998 ch. 14, from memory; Schymanski & Or 2017)"

// notRanged says which figures behind a leaf stand without their range.
const notRanged = "the answers of stomata to light and dry air are assumptions of the simplest shape"

func conductanceParameters(class leaf.Class) (row leaf.ClassConductance, rests []parameter, err error) {
	row, err = leaf.Conductances(class)
	return row, []parameter{
		{"open_conductance", "conductance of open stomata", row.OpenMmol},
		{"closed_conductance", "of closed leaves", row.ClosedMmol},
	}, at("--class", err)
}

// calcLeafHour is one leaf in a steady climate.
type calcLeafHour struct {
	Leaf  leafKind `embed:""`
	Air   number   `name:"air-c" required:"" range:"-10 to 60 °C" placeholder:"C" help:"Air temperature, -10 to 60 °C."`
	RH    number   `name:"rh-percent" required:"" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity, 0 to 100 %."`
	Light number   `name:"light-umol" xor:"light" required:"" range:"0 to 2500 µmol" placeholder:"UMOL" help:"Light on the leaf, PPFD, 0 to 2500 µmol per m² and second."`
	Night bool     `xor:"light" required:"" help:"No light at all, instead of --light-umol."`

	Out calcOutput `embed:""`
}

// Run prints the leaf's temperature and loss by both solutions.
func (c calcLeafHour) Run(r *run) error {
	class, err := c.Leaf.class()
	if err != nil {
		return err
	}
	row, rests, err := conductanceParameters(class)
	if err != nil {
		return err
	}
	pressureKPa, altitude, err := pressureAt(c.Leaf.Altitude)
	if err != nil {
		return err
	}
	heat := parameter{}
	if c.Light.value > 0 {
		if heat, _, err = c.Leaf.heat(); err != nil {
			return err
		}
		rests = append(rests, heat)
	}
	h := leafHour{
		class: class, widthM: c.Leaf.Width.value / 100, ppfd: c.Light.value,
		around: leaf.Surroundings{AirC: c.Air.value, RHPercent: c.RH.value, PressureKPa: pressureKPa, SpeedMS: c.Leaf.Speed.value},
	}
	conductance, err := h.conductance(row.OpenMmol.Value, row.ClosedMmol.Value)
	if err != nil {
		return at("--light-umol", err)
	}
	solutions, err := h.solutions(row, heat)
	if err != nil {
		return at("--light-umol with --light-from", err)
	}
	solutions.rests = append(rests, altitude...)
	return c.Out.show(r, answer{"velamen-calc-leaf-hour-1", []section{
		{key: "conductance", title: "Conductance", about: row.Name + ", " + row.Photosynthesis.String(), rests: rests[:2],
			lines: []line{
				{key: "air_vpd_kpa", name: "deficit of the air", value: air.VPDKPa(c.Air.value, c.RH.value), unit: "kPa", decimals: 3},
				{key: "stomatal_mmol_per_m2_s", name: "conductance of the stomata, lower face", value: 1000 * conductance.StomatalMol, unit: "mmol m⁻² s⁻¹", decimals: 2},
				{key: "cuticular_mmol_per_m2_s", name: "conductance of the cuticle, both faces", value: 1000 * conductance.CuticularMol, unit: "mmol m⁻² s⁻¹", decimals: 2},
			},
			because: "open by day with light in C3, in the dark in CAM; closing in dry air as (D0 + 1 kPa)/(D0 + D) after Lohammar 1980 and Leuning 1995 (from memory); " + notRanged},
		solutions,
	}})
}

// leafHour is one leaf in one climate.
type leafHour struct {
	class  leaf.Class
	widthM float64
	ppfd   float64
	around leaf.Surroundings
}

// conductance splits the leaf's conductance, open and closed in mmol, into
// stomata and cuticle as the engine does: closed leaves leak by the cuticle.
func (h leafHour) conductance(openMmol, closedMmol float64) (leaf.Leaf, error) {
	stomata, err := h.class.Stomata(false)
	if err != nil {
		return leaf.Leaf{}, err
	}
	stomata.OpenMol, stomata.ClosedMol = openMmol/1000, closedMmol/1000
	g, err := stomata.ConductanceMol(h.ppfd, air.VPDKPa(h.around.AirC, h.around.RHPercent), false)
	return leaf.Leaf{WidthM: h.widthM, StomatalMol: max(0, g-stomata.ClosedMol), CuticularMol: stomata.ClosedMol}, err
}

// solve returns the balance for one choice of the uncertain figures.
func (h leafHour) solve(by func(leaf.Leaf, leaf.Surroundings) (leaf.Result, error), openMmol, closedMmol, heat float64) (leaf.Result, error) {
	l, err := h.conductance(openMmol, closedMmol)
	if err != nil {
		return leaf.Result{}, err
	}
	h.around.AbsorbedWM2 = h.ppfd * heat
	return by(l, h.around)
}

// solutions is the table of both ways and their difference.
func (h leafHour) solutions(row leaf.ClassConductance, heat parameter) (section, error) {
	full, err := h.solve(leaf.Solve, row.OpenMmol.Value, row.ClosedMmol.Value, heat.Value.Value)
	if err != nil {
		return section{}, err
	}
	fast, err := h.solve(leaf.PenmanMonteith, row.OpenMmol.Value, row.ClosedMmol.Value, heat.Value.Value)
	if err != nil {
		return section{}, err
	}
	s := section{key: "balance", title: "Leaf",
		because: leafBecause + "; full: bracketing search; fast: isothermal Penman–Monteith form"}
	s.grid = &grid{key: "solutions", columns: []column{
		{key: "solution"},
		{key: "leaf_c", head: "leaf °C", decimals: 2},
		{key: "transpiration_g_per_m2_h", head: "g/m² h", decimals: 2},
		{key: "leaf_vpd_kpa", head: "VPD kPa", decimals: 3},
		{key: "net_radiation_w_per_m2", head: "net W/m²", decimals: 1},
		{key: "sensible_w_per_m2", head: "to the air W/m²", decimals: 1},
		{key: "latent_w_per_m2", head: "by water W/m²", decimals: 1},
	}}
	for _, solution := range []struct {
		name string
		leaf.Result
	}{{"full", full}, {"fast", fast}, {"fast less full", leaf.Result{
		LeafC: fast.LeafC - full.LeafC, TranspirationGPerM2H: fast.TranspirationGPerM2H - full.TranspirationGPerM2H,
		LeafVPDKPa: fast.LeafVPDKPa - full.LeafVPDKPa, NetRadiationWM2: fast.NetRadiationWM2 - full.NetRadiationWM2,
		SensibleWM2: fast.SensibleWM2 - full.SensibleWM2, LatentWM2: fast.LatentWM2 - full.LatentWM2,
	}}} {
		s.grid.rows = append(s.grid.rows, []any{
			solution.name, solution.LeafC, solution.TranspirationGPerM2H, solution.LeafVPDKPa,
			solution.NetRadiationWM2, solution.SensibleWM2, solution.LatentWM2,
		})
	}
	s.lines, err = h.ranges(full, row, heat)
	return s, err
}

// ranges are the results with what the range of conductances and absorbed heat
// makes of them.
func (h leafHour) ranges(full leaf.Result, row leaf.ClassConductance, heat parameter) ([]line, error) {
	var failure error
	spread := func(pick func(leaf.Result) float64) *[2]float64 {
		low, high := basis.Spread(func(in []float64) float64 {
			result, err := h.solve(leaf.Solve, in[0], in[1], in[2])
			if err != nil && failure == nil {
				failure = err
			}
			return pick(result)
		}, row.OpenMmol, row.ClosedMmol, heat.Value)
		return spanOf(low, high)
	}
	lines := []line{
		{key: "leaf_c", name: "leaf temperature", value: full.LeafC, unit: "°C", decimals: 1,
			span: spread(func(r leaf.Result) float64 { return r.LeafC })},
		{key: "leaf_less_air_k", name: "above the air", value: full.LeafC - h.around.AirC, unit: "K", decimals: 1,
			span: spread(func(r leaf.Result) float64 { return r.LeafC - h.around.AirC })},
		{key: "transpiration_g_per_m2_h", name: "water lost", value: full.TranspirationGPerM2H, unit: "g/m² an hour", decimals: 1,
			span: spread(func(r leaf.Result) float64 { return r.TranspirationGPerM2H })},
		{key: "transpiration_mmol_per_m2_s", name: "", value: 1000 * full.TranspirationMol, unit: "mmol m⁻² s⁻¹", decimals: 3,
			span: spread(func(r leaf.Result) float64 { return 1000 * r.TranspirationMol })},
	}
	return lines, failure
}
