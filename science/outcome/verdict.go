package outcome

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Answer says what a comparison of two groups amounts to.
type Answer uint8

const (
	// NotEnoughPlants: the interval of the difference includes zero, and a
	// group has fewer cases than the least number. Nothing is known yet.
	NotEnoughPlants Answer = iota + 1
	// NoDifferenceSeen: the interval includes zero although both groups have
	// the least number. Its ends say how large a difference may still hide.
	NoDifferenceSeen
	// Hint: the interval excludes zero, but a group has fewer cases than the
	// least number.
	Hint
	// Differs: the interval excludes zero and both groups have the number.
	Differs
)

// String returns the words shown to the grower.
func (a Answer) String() string {
	switch a {
	case NotEnoughPlants:
		return "not enough plants to tell"
	case NoDifferenceSeen:
		return "no difference seen"
	case Hint:
		return "a hint, from few plants"
	case Differs:
		return "differs"
	}
	return "no answer"
}

// Verdict is the answer with the facts it rests on.
type Verdict struct {
	Answer       Answer
	IncludesZero bool
	// FirstCases and SecondCases are what the groups have to show: signs seen
	// where days are compared, plants whose ending is known where shares are.
	// LeastCases is the least either must have for a firm answer.
	FirstCases, SecondCases, LeastCases int
	// FirstMore and SecondMore are the plants each group still lacks before a
	// difference worth knowing would most likely show (see PowerToTell).
	FirstMore, SecondMore int
}

// judge applies the rule. needed is the number of plants per group from
// plantsPerArm.
func judge(low, high float64, firstCases, secondCases, firstPlants, secondPlants, needed int) Verdict {
	least := int(LeastCases.Value)
	v := Verdict{
		IncludesZero: low <= 0 && high >= 0,
		FirstCases:   firstCases,
		SecondCases:  secondCases,
		LeastCases:   least,
		FirstMore:    lacking(firstCases, firstPlants, needed, least),
		SecondMore:   lacking(secondCases, secondPlants, needed, least),
	}
	enough := firstCases >= least && secondCases >= least
	switch {
	case v.IncludesZero && enough:
		v.Answer = NoDifferenceSeen
	case v.IncludesZero:
		v.Answer = NotEnoughPlants
	case enough:
		v.Answer = Differs
	default:
		v.Answer = Hint
	}
	return v
}

// lacking returns how many plants a group lacks to have the needed number, and
// the least number of cases at the rate it has shown them. A group without a
// case so far lacks at least that many plants.
func lacking(cases, plants, needed, least int) int {
	switch {
	case cases >= least:
	case cases == 0:
		needed = max(needed, plants+least)
	default:
		needed = max(needed, (least*plants+cases-1)/cases)
	}
	return max(0, needed-plants)
}

// plantsPerArm returns the plants each of two equal groups needs for a
// difference of the given size to be told from zero at the level with the
// chance PowerToTell. varianceSum is the variance of one plant of the first
// group and that of one of the second, added.
//
//	n = (z_level + z_power)² · varianceSum / difference²
//
// Fleiss, Levin & Paik, Statistical Methods for Rates and Proportions, 3rd
// edition 2003, ch. 4, without continuity correction (from memory).
func plantsPerArm(varianceSum, difference, level float64) int {
	z := twoSided(level) + distuv.UnitNormal.Quantile(PowerToTell.Value)
	return int(math.Ceil(z * z * varianceSum / (difference * difference)))
}

// PlantsToTellShares returns the plants each of two groups needs before
// recovered shares of p and q would most likely be told apart. Both lie from 0
// to 1 and differ by at least 0.01.
func PlantsToTellShares(p, q, level float64) (int, error) {
	if err := within("share", p, 0, 1); err != nil {
		return 0, err
	}
	if err := within("share", q, 0, 1); err != nil {
		return 0, err
	}
	if err := checkLevel(level); err != nil {
		return 0, err
	}
	if err := within("difference of the shares", math.Abs(p-q), 0.01, 1); err != nil {
		return 0, err
	}
	return plantsPerArm(p*(1-p)+q*(1-q), p-q, level), nil
}
