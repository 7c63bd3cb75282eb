package outcome

import "velamen/science/basis"

var (
	// LeastCases is how many cases each of two groups must have before a
	// difference, or its absence, is called more than a hint.
	LeastCases = basis.Assumed(8, 5, 10, "1")

	// OwnCasesReplacePrior is how many own signs make the prior needless.
	OwnCasesReplacePrior = basis.Assumed(8, 5, 15, "1")

	// PriorPlants is how many own plants a weak prior is worth.
	PriorPlants = basis.Assumed(3, 1, 5, "plants")

	// PowerToTell is the chance that a difference of the size asked about
	// shows once both groups have the plants called for.
	PowerToTell = basis.Value{Value: 0.8, Low: 0.8, High: 0.9, Unit: "1", Grade: basis.FromMemory,
		Source: "Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd edition 1988, p. 56: a convention"}

	// LeastImbalance is the difference in a covariate between two groups that
	// is named beside their comparison: the share of plants of one group that
	// would have to be exchanged to make the groups alike.
	LeastImbalance = basis.Assumed(0.25, 0.15, 0.35, "1")
)

// Parameter is one figure this chapter rests on, with its name in the
// grower's words.
type Parameter struct {
	Name  string
	Value basis.Value
}

// Parameters lists every figure behind the answers, for showing under them.
// Priors for the days to a sign belong to the culture group and are passed in.
func Parameters() []Parameter {
	return []Parameter{
		{"cases in each group before an answer is firm", LeastCases},
		{"own signs before the prior is left out", OwnCasesReplacePrior},
		{"plants that the prior is worth", PriorPlants},
		{"chance of seeing a difference with the plants called for", PowerToTell},
		{"difference between groups that is named", LeastImbalance},
	}
}
