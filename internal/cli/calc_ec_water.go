package cli

import (
	"errors"
	"fmt"
	"strings"

	"velamen/science/basis"
	"velamen/science/water"
)

// waterFlags describe a water by its analysis, or by three readings a grower
// can take.
type waterFlags struct {
	Calcium     number `name:"calcium-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Calcium of the water's analysis, 0 to 5000 mg/L Ca."`
	Magnesium   number `name:"magnesium-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Magnesium, 0 to 5000 mg/L Mg."`
	Sodium      number `name:"sodium-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Sodium, 0 to 5000 mg/L Na."`
	Potassium   number `name:"potassium-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Potassium, 0 to 5000 mg/L K."`
	Ammonium    number `name:"ammonium-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Ammonium as NH4, not as nitrogen, 0 to 5000 mg/L."`
	Chloride    number `name:"chloride-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Chloride, 0 to 5000 mg/L Cl."`
	Sulphate    number `name:"sulphate-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Sulphate as SO4, not as sulphur, 0 to 5000 mg/L."`
	Bicarbonate number `name:"bicarbonate-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Bicarbonate as HCO3, 0 to 5000 mg/L."`
	Carbonate   number `name:"carbonate-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Carbonate as CO3, 0 to 5000 mg/L."`
	Nitrate     number `name:"nitrate-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Nitrate as NO3, not as nitrogen, 0 to 5000 mg/L."`
	Phosphate   number `name:"phosphate-mg-l" range:"0 to 5000 mg/L" placeholder:"MG" help:"Phosphate as H2PO4, 0 to 5000 mg/L."`

	EC         number `name:"water-ec-ms" range:"0 to 5 mS/cm" placeholder:"MS" help:"EC of the water at 25 °C, 0 to 5 mS/cm; with hardness and alkalinity instead of an analysis."`
	Hardness   number `name:"hardness-mg-l" range:"0 to 2000 mg/L CaCO3" placeholder:"MG" help:"Hardness of the water, 0 to 2000 mg/L as CaCO3 (1 °dH is 17.85)."`
	Alkalinity number `name:"alkalinity-mg-l" range:"0 to 2000 mg/L CaCO3" placeholder:"MG" help:"Alkalinity of the water, 0 to 2000 mg/L as CaCO3."`
}

// knownWater is a water with what its description rests on.
type knownWater struct {
	ions      water.Ions
	low, high water.Ions // equal to ions for an analysis
	estimated bool
	about     string
	because   string
	rests     []parameter
	notes     []string
}

// analysis are the flags of single ions.
func (f waterFlags) analysis() map[water.Ion]number {
	return map[water.Ion]number{
		water.Ca: f.Calcium, water.Mg: f.Magnesium, water.Na: f.Sodium, water.K: f.Potassium, water.NH4: f.Ammonium,
		water.Cl: f.Chloride, water.SO4: f.Sulphate, water.HCO3: f.Bicarbonate, water.CO3: f.Carbonate,
		water.NO3: f.Nitrate, water.H2PO4: f.Phosphate,
	}
}

// analysed tells whether an ion was given.
func (f waterFlags) analysed() bool {
	for _, n := range f.analysis() {
		if n.given {
			return true
		}
	}
	return false
}

// read tells whether one of the three readings was given.
func (f waterFlags) read() bool { return f.EC.given || f.Hardness.given || f.Alkalinity.given }

// water puts the flags together; prefix is "a-" or "b-" where there are two
// waters. Without any flag it is pure water.
func (f waterFlags) water(prefix string) (knownWater, error) {
	readings := []named{{"--" + prefix + "water-ec-ms", f.EC}, {"--" + prefix + "hardness-mg-l", f.Hardness}, {"--" + prefix + "alkalinity-mg-l", f.Alkalinity}}
	switch {
	case f.analysed() && f.read():
		return knownWater{}, fmt.Errorf("--%[1]scalcium-mg-l and the other ions are an analysis; give it, or %s, but not both", prefix, flagList(readings))
	case f.analysed():
		return f.fromAnalysis(prefix)
	case !f.read():
		return knownWater{about: "pure water"}, nil
	}
	var missing []named
	for _, reading := range readings {
		if !reading.given {
			missing = append(missing, reading)
		}
	}
	if len(missing) > 0 {
		return knownWater{}, fmt.Errorf("a water without an analysis needs its EC, hardness and alkalinity; %s is missing", flagList(missing))
	}
	return f.fromReadings(flagList(readings))
}

// flagList names flags in a row.
func flagList(flags []named) string {
	names := make([]string, len(flags))
	for i, f := range flags {
		names[i] = f.flag
	}
	return strings.Join(names, " and ")
}

func (f waterFlags) fromAnalysis(prefix string) (knownWater, error) {
	mgPerL := map[water.Ion]float64{}
	for ion, n := range f.analysis() {
		if n.given {
			mgPerL[ion] = n.value
		}
	}
	ions, err := water.FromMgPerL(mgPerL)
	if err == nil && ions == (water.Ions{}) {
		err = errors.New("every ion is zero; leave them out for pure water")
	}
	k := knownWater{ions: ions, low: ions, high: ions, about: "the ions as given", because: "ions from their masses"}
	if off := ions.ChargeBalance().ErrorPercent; off < -mostChargeError || off > mostChargeError {
		k.notes = append(k.notes, fmt.Sprintf("The analysis is out of balance by %s %%: an ion is missing or a figure is wrong. The EC is that of the ions given.", shown(off, 1, 0)))
	}
	return k, at("--"+prefix+"calcium-mg-l and the other ions", err)
}

// mostChargeError is the error of the ion balance beyond which an analysis has
// left something out, percent (Standard Methods 1030 E, from memory).
const mostChargeError = 5

func (f waterFlags) fromReadings(flags string) (knownWater, error) {
	e, err := water.EstimateIons(f.EC.value, f.Hardness.value, f.Alkalinity.value)
	if err != nil {
		return knownWater{}, at(flags, err)
	}
	k := knownWater{ions: e.Ions, low: e.Low, high: e.High, estimated: true,
		about: fmt.Sprintf("a water of %g mS/cm, hardness %g and alkalinity %g mg/L CaCO3", f.EC.value, f.Hardness.value, f.Alkalinity.value),
		because: "ions guessed from EC, hardness and alkalinity: alkalinity is bicarbonate, hardness calcium and magnesium, what charge is missing chloride and sulphate or sodium, " +
			"and the conductivity left over sodium with chloride and sulphate",
		rests: []parameter{
			{"mains_ca_to_mg", "calcium to magnesium", water.MainsCaToMg},
			{"mains_chloride_share", "chloride among the other anions", water.MainsChlorideShare},
			{"pocket_meter_error_percent", "error of a pocket meter", water.PocketMeterPercent},
		}}
	if e.Contradictory {
		k.notes = append(k.notes, fmt.Sprintf("So hard or alkaline a water conducts at least %s mS/cm: one of the three readings, or its unit, is wrong. The ions follow hardness and alkalinity.", shown(e.ECFromHardnessMS, 3, 0)))
	}
	if e.SodiumWater {
		k.notes = append(k.notes, "Sodium outweighs calcium and magnesium. In a water that is not low in salt anyway that is the mark of an ion-exchange softener or of the sea, and unfit for orchids.")
	}
	return k, nil
}

// How far the computed conductivity may be off: measured solutions and waters
// lie within these bounds of the law.
var (
	feedECError  = parameter{"ec_error_percent", "error of the conductivity law", basis.Assumed(0, -3, 3, "%")}
	waterECError = parameter{"ec_error_percent", "error of the conductivity law", basis.Assumed(0, -5, 5, "%")}
)

// conducts is one solution's conductivity by three methods, mS/cm.
type conducts struct{ main, standard, free float64 }

func conductivities(c water.Ions) (conducts, error) {
	var found conducts
	for _, method := range []struct {
		into *float64
		of   func() (float64, error)
	}{{&found.main, c.ECmS}, {&found.standard, c.StandardMethodECmS}, {&found.free, c.FreeIonECmS}} {
		var err error
		if *method.into, err = method.of(); err != nil {
			return conducts{}, err
		}
	}
	return found, nil
}

// around is the range of a conductivity by the law's error, as a cell.
func (p parameter) around(ec float64) ranged {
	return ranged{ec, ec * (1 + p.Low/100), ec * (1 + p.High/100)}
}

// ecBecause names the laws of the three figures.
const ecBecause = "EC by the Kohlrausch–Onsager law (Onsager 1927, from memory) over free ions after CaSO4 and MgSO4 pairs, limiting conductivities CRC Handbook, 25 °C; " +
	"free ions is the same without pairs, an upper figure; standard method is Standard Methods 2510, from memory, made for natural water of 0.09 to 2 mS/cm and too low for feed"
