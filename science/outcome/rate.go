package outcome

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// RatePrior is what is held to be known of a constant rate, such as deaths or
// first roots per plant-day: as much as if Events had been seen in PlantDays.
// Both are above 0. It fits hazards that do not change with the days since the
// repot; for the days to a first root, which start slowly, see LogNormalPrior.
type RatePrior struct{ Events, PlantDays float64 }

func (r RatePrior) check() error {
	if err := within("events behind the rate", r.Events, 1e-3, 1e9); err != nil {
		return err
	}
	return within("plant-days behind the rate", r.PlantDays, 1e-3, 1e12)
}

// Plus adds events counted in plant-days of own watching: the rule of Bayes
// for a Gamma prior on a Poisson rate.
func (r RatePrior) Plus(events int, plantDays float64) (RatePrior, error) {
	if err := r.check(); err != nil {
		return RatePrior{}, err
	}
	if err := within("events counted", float64(events), 0, 1e9); err != nil {
		return RatePrior{}, err
	}
	if err := within("plant-days watched", plantDays, 0, 1e12); err != nil {
		return RatePrior{}, err
	}
	return RatePrior{r.Events + float64(events), r.PlantDays + plantDays}, nil
}

// Rate is a rate per plant-day with its central interval.
type Rate struct{ PerPlantDay, Low, High float64 }

// Rate returns the expected rate and its central interval of the level.
func (r RatePrior) Rate(level float64) (Rate, error) {
	if err := r.check(); err != nil {
		return Rate{}, err
	}
	if err := checkLevel(level); err != nil {
		return Rate{}, err
	}
	return Rate{
		PerPlantDay: r.Events / r.PlantDays,
		Low:         mathext.GammaIncRegInv(r.Events, (1-level)/2) / r.PlantDays,
		High:        mathext.GammaIncRegInv(r.Events, (1+level)/2) / r.PlantDays,
	}, nil
}

// StillNone returns the chance that one plant shows no event in the days
// ahead: (PlantDays/(PlantDays + days))^Events, the average of exp(−rate·days)
// over what is known of the rate.
func (r RatePrior) StillNone(days float64) (float64, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	if err := checkDay("days ahead", days); err != nil {
		return 0, err
	}
	return math.Exp(-r.Events * math.Log1p(days/r.PlantDays)), nil
}
