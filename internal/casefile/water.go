package casefile

import (
	"velamen/internal/care"
	"velamen/science/water"
)

// waterFields are the keys of [[water]].
var waterFields = fields[care.Water]{
	{"name", func(f *file, v *node, w *care.Water) { f.text(v, &w.Name) }},
	{"ec", func(f *file, v *node, w *care.Water) { f.quantity(v, &sourceEC, &w.ECmS) }},
	{"hardness", func(f *file, v *node, w *care.Water) { f.quantity(v, &waterHardness, &w.HardnessMgLCaCO3) }},
	{"alkalinity", func(f *file, v *node, w *care.Water) { f.quantity(v, &waterAlkalinity, &w.AlkalinityMgLCaCO3) }},
	{"softened", func(f *file, v *node, w *care.Water) { f.yesNo(v, &w.SoftenedByIonExchange) }},
	{"ions", func(f *file, v *node, w *care.Water) {
		var ions water.Ions
		if readTable(f, v, ionFields, &ions) {
			w.Ions = &ions
		}
	}},
}

func (f *file) readWater(table *node, w *care.Water) {
	waterFields.read(f, table, w)
	f.define(aWater, table, w.Name)
}

// ionFields are the keys of an analysis. Laboratories write names or symbols;
// nitrate, ammonium and sulphate may be reported as the element.
var ionFields = fields[water.Ions]{
	ion("calcium", water.Ca, "", 0), ion("Ca", water.Ca, "", 0),
	ion("magnesium", water.Mg, "", 0), ion("Mg", water.Mg, "", 0),
	ion("sodium", water.Na, "", 0), ion("Na", water.Na, "", 0),
	ion("potassium", water.K, "", 0), ion("K", water.K, "", 0),
	ion("ammonium", water.NH4, "N", water.NFromNH4), ion("NH4", water.NH4, "N", water.NFromNH4),
	ion("chloride", water.Cl, "", 0), ion("Cl", water.Cl, "", 0),
	ion("sulphate", water.SO4, "S", water.SFromSO4), ion("sulfate", water.SO4, "S", water.SFromSO4), ion("SO4", water.SO4, "S", water.SFromSO4),
	ion("bicarbonate", water.HCO3, "", 0), ion("HCO3", water.HCO3, "", 0),
	ion("carbonate", water.CO3, "", 0), ion("CO3", water.CO3, "", 0),
	ion("nitrate", water.NO3, "N", water.NFromNO3), ion("NO3", water.NO3, "N", water.NFromNO3),
}

// ion makes the field of one ion. element is what its mass may be reported as,
// of which a unit mass of the ion holds elementShare.
func ion(key string, which water.Ion, element string, elementShare float64) field[water.Ions] {
	m := measure{"a concentration in mg/L, mmol/L or meq/L", `"40 mg/L"`, []quantity{
		{kind: perMillimole(&ionMass, which.GramsPerMole()), subject: "an ion in a water", low: 0, high: 100},
		{kind: &ionAmount, subject: "an ion in a water", low: 0, high: 100},
		{kind: perMillimole(&ionCharge, max(1, abs(which.Charge()))), subject: "an ion in a water", low: 0, high: 100},
	}}
	if element != "" {
		asElement := kind{name: "a concentration", unit: "mmol/L", units: []unit{{
			symbol: "mg/L " + element, also: []string{foldUnit("ppm " + element), foldUnit("mg/L " + which.String() + "-" + element)},
			factor: 1 / (elementShare * which.GramsPerMole()),
		}}}
		m.any = append(m.any, quantity{kind: &asElement, subject: "an ion in a water", low: 0, high: 100})
	}
	return field[water.Ions]{key, func(f *file, v *node, ions *water.Ions) {
		if r, ok := f.reading(v, &m); ok && f.free(v, ions[which] != 0) {
			ions[which] = r.value
		}
	}}
}

// perMillimole returns a kind of concentration in mmol/L.
func perMillimole(k *kind, perMillimole float64) *kind {
	converted := *k
	converted.unit = "mmol/L"
	converted.units = make([]unit, len(k.units))
	for i, u := range k.units {
		u.factor /= perMillimole
		converted.units[i] = u
	}
	return &converted
}

func abs(charge int) float64 {
	if charge < 0 {
		charge = -charge
	}
	return float64(charge)
}
