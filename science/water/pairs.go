package water

import "math"

// Association constants at 25 °C and zero ionic strength, L/mmol.
var (
	associationCaSO4 = math.Pow(10, log10KCaSO4.Value) / 1000
	associationMgSO4 = math.Pow(10, log10KMgSO4.Value) / 1000
	daviesExponent   = daviesSlope.Value * math.Ln10
)

// unpaired returns the free ions of the solution, after calcium and magnesium
// have paired with sulphate. A pair has no charge and does not conduct, which
// is why hard sulphate water conducts less than its ions would.
//
// [CaSO4] = K·γ²·[Ca][SO4], and the same for Mg, with γ of a divalent ion from
// Davies: log γ = −0.509·4·(√I/(1+√I) − 0.3·I), I of the free ions.
func (c *Ions) unpaired() Ions {
	free := *c
	if c[SO4] == 0 || c[Ca]+c[Mg] == 0 {
		return free
	}
	total := c.IonicStrength()
	sulphate := 0.0
	strength := total
	// Each round refreshes γ and makes one Newton step towards the sulphate
	// balance. From zero the steps approach the root from below, so no
	// concentration turns negative; a few rounds reach nine digits.
	for range 40 {
		root := math.Sqrt(strength)
		gammaSquared := math.Exp(-8 * daviesExponent * (root/(1+root) - 0.3*strength))
		ca, mg := associationCaSO4*gammaSquared, associationMgSO4*gammaSquared
		caLeft, mgLeft := 1/(1+ca*sulphate), 1/(1+mg*sulphate)
		excess := sulphate*(1+ca*c[Ca]*caLeft+mg*c[Mg]*mgLeft) - c[SO4]
		slope := 1 + ca*c[Ca]*caLeft*caLeft + mg*c[Mg]*mgLeft*mgLeft
		next := sulphate - excess/slope
		settled := math.Abs(next-sulphate) <= 1e-9*c[SO4]
		sulphate = next
		free[Ca], free[Mg] = c[Ca]/(1+ca*sulphate), c[Mg]/(1+mg*sulphate)
		// A pair takes 4 + 4 out of Σz²c for each mmol: 8/2000 mol/L.
		paired := c[Ca] - free[Ca] + c[Mg] - free[Mg]
		strength = math.Max(0, total-paired/250)
		if settled {
			break
		}
	}
	// Charge is conserved exactly: what left the cations left the sulphate.
	free[SO4] = math.Max(0, c[SO4]-(c[Ca]-free[Ca])-(c[Mg]-free[Mg]))
	return free
}
