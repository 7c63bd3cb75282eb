package water

// Mass of element in a unit mass of the oxide that labels quote, from atomic
// weights.
const (
	PFromP2O5 = 2 * weightP / (2*weightP + 5*weightO)
	KFromK2O  = 2 * weightK / (2*weightK + weightO)
	CaFromCaO = weightCa / (weightCa + weightO)
	MgFromMgO = weightMg / (weightMg + weightO)
	SFromSO3  = weightS / (weightS + 3*weightO)
)

// Mass of element in a unit mass of the ion that a laboratory may report.
const (
	NFromNO3 = weightN / (weightN + 3*weightO)
	NFromNH4 = weightN / (weightN + 4*weightH)
	SFromSO4 = weightS / (weightS + 4*weightO)
)

// Elements is what a plant can take up from a solution, in mg/L of the element
// (parts per million, for a dilute solution).
type Elements struct {
	N, P, K, Ca, Mg, S float64
}

// Elements returns the nutrient elements in the solution, mg/L. N counts
// nitrate, ammonium and urea.
func (c Ions) Elements() Elements {
	return Elements{
		N:  weightN * (c[NO3] + c[NH4] + c[UreaN]),
		P:  weightP * (c[H2PO4] + c[HPO4]),
		K:  weightK * c[K],
		Ca: weightCa * c[Ca],
		Mg: weightMg * c[Mg],
		S:  weightS * c[SO4],
	}
}
