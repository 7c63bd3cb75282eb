package water

import "velamen/science/basis"

const (
	crc      = "CRC Handbook of Chemistry and Physics, ionic conductivity at infinite dilution, 25 °C"
	onsager  = "Onsager 1927, limiting law for 1:1 electrolytes in water at 25 °C (from memory)"
	phreeqc  = "Parkhurst & Appelo, PHREEQC database phreeqc.dat"
	standard = "Standard Methods 2510 (from memory)"
)

// limitingConductivity is λ° of each ion at 25 °C, S·cm² per equivalent. Ranges
// are the spread between the CRC set and the Marcus set.
var limitingConductivity = [IonCount]basis.Value{
	Ca:   {Value: 59.47, Low: 59.47, High: 59.5, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	Mg:   {Value: 53.0, Low: 53.0, High: 53.05, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	Na:   {Value: 50.08, Low: 50.08, High: 50.1, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	K:    {Value: 73.48, Low: 73.48, High: 73.5, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	NH4:  {Value: 73.5, Low: 73.5, High: 73.6, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	H:    {Value: 349.65, Low: 349.6, High: 349.65, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	Cl:   {Value: 76.31, Low: 76.31, High: 76.4, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	SO4:  {Value: 80.0, Low: 80.0, High: 80.0, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	HCO3: {Value: 44.5, Low: 44.5, High: 44.5, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	CO3:  {Value: 69.3, Low: 69.3, High: 69.3, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	NO3:  {Value: 71.42, Low: 71.42, High: 71.5, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc},
	// The two sets disagree on phosphate; no measurement here decides.
	H2PO4: {Value: 36, Low: 33, High: 36, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc + "; low end the Marcus set"},
	HPO4:  {Value: 57, Low: 33, High: 57, Unit: "S·cm²/eq", Grade: basis.Published, Source: crc + "; low end the Marcus set"},
	// Between the first anion of citric acid, the acetate ion and full citrate.
	Organic: {Value: 50, Low: 30, High: 70, Unit: "S·cm²/eq", Grade: basis.Assumption, Source: "between acetate 40.9 (CRC) and citrate about 70 (from memory)"},
	// Urea does not conduct, so a meter says nothing about its nitrogen.
	UreaN: basis.Exactly(0, "S·cm²/eq", basis.FromMemory, "urea is not an electrolyte"),
}

// Parameters of the conductivity laws.
var (
	relaxation      = basis.Exactly(0.2289, "L½/mol½", basis.FromMemory, onsager)
	electrophoresis = basis.Exactly(30.1, "S·cm²/eq·L½/mol½", basis.FromMemory, onsager)
	inverseLength   = basis.Exactly(0.3286, "1/Å·L½/mol½", basis.FromMemory, "Debye–Hückel length in water at 25 °C")
	// One size for all ions, chosen so that the chlorides and potassium
	// nitrate fall on their measured conductances.
	ionSize = basis.Assumed(3.8, 3.0, 4.5, "Å")

	daviesSlope = basis.Exactly(0.509, "L½/mol½", basis.FromMemory, "Davies equation, water at 25 °C")
	log10KCaSO4 = basis.Value{Value: 2.25, Low: 2.14, High: 2.31, Unit: "log10(L/mol)", Grade: basis.Published, Source: phreeqc + ": 2.25 in most editions, 2.14 in the newest"}
	// The database says 2.37 with its own activity coefficients. With the
	// Davies equation 2.20 meets the measured conductances of magnesium
	// sulphate (Tomšič et al.), so this figure is fitted, inside the
	// published spread.
	log10KMgSO4 = basis.Value{Value: 2.20, Low: 2.10, High: 2.37, Unit: "log10(L/mol)", Grade: basis.Assumption, Source: "fitted to the conductances of Tomšič et al.; " + phreeqc + " has 2.37"}
)

// Parameters a caller may show, replace by a measurement or pass on.
var (
	// LinearPercentPerC is the usual linear temperature coefficient of
	// natural water.
	LinearPercentPerC = basis.Value{Value: 1.91, Low: 1.8, High: 2.1, Unit: "%/°C", Grade: basis.FromMemory, Source: standard}
	// PenPercentPerC is the coefficient most handheld meters are set to.
	PenPercentPerC = basis.Value{Value: 2.0, Low: 1.9, High: 2.1, Unit: "%/°C", Grade: basis.CommonPractice}
	// GramsPerTeaspoon is what a level US teaspoon of feed powder weighs.
	GramsPerTeaspoon = basis.Value{Value: 6, Low: 5, High: 7, Unit: "g", Grade: basis.Published, Source: "Argo, Understanding pH Management and Plant Nutrition, part 5: 1 US tsp ≈ 0.2 oz ≈ 6 g; range assumed"}

	// MainsCaToMg is the molar ratio of calcium to magnesium taken for a
	// water of which only the hardness is known.
	MainsCaToMg = basis.Assumed(4, 1.5, 12, "mol/mol")
	// MainsChlorideShare is the share of the anions other than bicarbonate
	// taken to be chloride, by charge; the rest is sulphate.
	MainsChlorideShare = basis.Assumed(0.6, 0.3, 0.9, "eq/eq")
	// PocketMeterPercent is the error of a pocket meter's EC, either way.
	PocketMeterPercent = basis.Assumed(0, -5, 5, "%")

	// labelRounding is how much of a feed's charge may be missing because
	// labels print whole percents.
	labelRounding = basis.Assumed(0.01, 0.005, 0.03, "eq/eq")

	// ROPercentPerC is the gain in permeate for each °C warmer feed water.
	ROPercentPerC = basis.Value{Value: 3.0, Low: 2.6, High: 3.8, Unit: "%/°C", Grade: basis.Published, Source: "Water Quality Association education kit: about 3 %/°C; range spans published tables and the membrane formula"}
	// ROLossPercentPerYear is how much of its flow a household membrane loses
	// in a year of use, compounded, as it fouls and packs down.
	ROLossPercentPerYear = basis.Assumed(7, 3, 15, "%/year")
	// RORecoveryPercent is the share of the water that a household unit without
	// a pump turns into permeate.
	RORecoveryPercent = basis.Value{Value: 25, Low: 20, High: 35, Unit: "%", Grade: basis.FromMemory, Source: "makers' sheets of household units: 2 to 4 litres are let away for each litre made"}
	// ROReplaceBelowPercent is the rejection below which a membrane is spent.
	ROReplaceBelowPercent = basis.Exactly(90, "%", basis.CommonPractice, "")
	// ROMinimumBar is the feed pressure below which a household unit without
	// a pump gives too little (50 psi).
	ROMinimumBar = basis.Exactly(50*barPerPSI, "bar", basis.CommonPractice, "")
	osmoticBar   = basis.Value{Value: 0.01 * barPerPSI, Low: 0.007 * barPerPSI, High: 0.0125 * barPerPSI, Unit: "bar per mg/L", Grade: basis.CommonPractice, Source: "1 psi per 100 mg/L of dissolved solids; range assumed"}

	// DrainageFactor multiplies EC in / leaching fraction. The low end is
	// where plants take up much of the salt, the high end was measured at a
	// leaching fraction of 0.4.
	DrainageFactor = basis.Value{Value: 1, Low: 0.7, High: 1.15, Unit: "1", Grade: basis.Published, Source: "trial with poinsettia, J. Amer. Soc. Hort. Sci. 116(5):802: leachate about 6, 9 and 15 dS/m at 0.4, 0.2 and 0.1 with feed of 2.1"}

	// SafeAlkalinity is what should stay in the water after acid, so that the
	// pH does not fall freely.
	SafeAlkalinity = basis.Value{Value: 40, Low: 20, High: 40, Unit: "mg/L CaCO3", Grade: basis.CommonPractice}
	// CitricProtons is how many protons of citric acid are given off at the
	// pH of a watering solution.
	CitricProtons = basis.Value{Value: 2.6, Low: 2.3, High: 2.9, Unit: "eq/mol", Grade: basis.FromMemory, Source: "dissociation constants pK 3.13, 4.76, 6.40; range for pH 5.8 to 6.8"}
)

const barPerPSI = 0.0689476
