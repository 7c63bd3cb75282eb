package course

import "math"

// ModelTurnDown returns δ = 1 − min(1, σ): the share by which the plant's
// demand must fall to meet its supply.
func ModelTurnDown(supply float64) float64 { return 1 - math.Min(1, supply) }

// Limit says what decided a figure.
type Limit string

// What can decide how far to turn down.
const (
	ByModel          Limit = "supply of the remaining roots"
	ByPracticeFloor  Limit = "practice: at least 30 % after any repot"
	ByIntensiveCare  Limit = "supply below half: intensive care"
	BySteppingUp     Limit = "a step closes at most a quarter of the remaining gap in 7 days"
	BySupplyHeld     Limit = "no further than the roots expected by then carry it"
	ByReestablished  Limit = "the usual care is reached"
	ByHeld           Limit = "held: no proof of growing roots in this week"
	ByDroppedBack    Limit = "taken back by a step: the plant wilted or declined"
	ByReview         Limit = "established, by the grower's review"
	ByLightFloor     Limit = "compensation floor"
	ByInhibition     Limit = "photoinhibition limit of the group"
	ByRHCeiling      Limit = "humidity ceiling: above it leaves stay wet"
	ByRottingVPD     Limit = "vapour deficit below which rot spreads"
	ByPracticeRHRise Limit = "practice: at least 10 points more humid"
	ByGroupFloor     Limit = "already no warmer than the lower day limit of the group"
)

// Guarded is a turn-down between the model and the practice of growers.
type Guarded struct {
	Model     float64 // δ as computed
	Chosen    float64 // δ to follow
	Intensive bool    // more than an ordinary turn-down: enclosure, moss, shade
	Decided   Limit
}

// Guard holds the model's turn-down within what growers practise: never less
// than 30 %, and above 50 % the case is no ordinary one and is called
// intensive care. A larger model turn-down never gives a smaller choice.
func Guard(model float64) Guarded {
	g := Guarded{Model: model, Chosen: model, Decided: ByModel}
	switch {
	case model < LeastTurnDown.Value:
		g.Chosen, g.Decided = LeastTurnDown.Value, ByPracticeFloor
	case model > OrdinaryTurnDown.Value:
		g.Intensive, g.Decided = true, ByIntensiveCare
	}
	return g
}
