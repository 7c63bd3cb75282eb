package water

import (
	"math"

	"velamen/science/basis"
)

// ROFlowFactor returns the permeate flow of a reverse-osmosis membrane at a
// feed-water temperature (2–40 °C) against its flow at the rated 25 °C: about
// 3 % less for each °C colder, compounded. The range spans the makers' tables.
func ROFlowFactor(waterC float64) (basis.Value, error) {
	if err := within("feed-water temperature", waterC, 2, 40, "°C"); err != nil {
		return basis.Value{}, err
	}
	factor := func(percentPerC float64) float64 { return math.Pow(1-percentPerC/100, 25-waterC) }
	a, b := factor(ROPercentPerC.Low), factor(ROPercentPerC.High)
	return basis.Value{Value: factor(ROPercentPerC.Value), Low: math.Min(a, b), High: math.Max(a, b),
		Unit: "1", Grade: ROPercentPerC.Grade, Source: ROPercentPerC.Source}, nil
}

// ROAgeFactor returns the permeate flow of a membrane after some years of use
// (0–20) against its flow when new.
func ROAgeFactor(years float64) (basis.Value, error) {
	if err := within("age of the membrane", years, 0, 20, "years"); err != nil {
		return basis.Value{}, err
	}
	loss := ROLossPercentPerYear
	factor := func(percent float64) float64 { return math.Pow(1-percent/100, years) }
	return basis.Value{Value: factor(loss.Value), Low: factor(loss.High), High: factor(loss.Low), Unit: "1", Grade: loss.Grade}, nil
}

// Membrane is a reverse-osmosis unit as rated by its maker, at 25 °C and with
// feed water of little salt.
type Membrane struct {
	RatedLitresPerDay float64
	RatedBar          float64 // usually 4.1 bar (60 psi)
}

// LitresPerDay returns the permeate to expect from a feed water at a
// temperature (2–40 °C), a pressure before the membrane (bar) and dissolved
// solids (mg/L). Flow goes with the pressure left after osmotic pressure; a
// feed that cannot get through is refused.
func (m Membrane) LitresPerDay(waterC, pressureBar, solidsMgL float64) (basis.Value, error) {
	if err := within("rated output", m.RatedLitresPerDay, 1, 1e6, "L/day"); err != nil {
		return basis.Value{}, err
	}
	if err := within("rated pressure", m.RatedBar, 1, 80, "bar"); err != nil {
		return basis.Value{}, err
	}
	if err := within("dissolved solids", solidsMgL, 0, 10000, "mg/L"); err != nil {
		return basis.Value{}, err
	}
	if err := within("feed pressure", pressureBar, osmoticBar.High*solidsMgL, 80, "bar"); err != nil {
		return basis.Value{}, err
	}
	temperature, err := ROFlowFactor(waterC)
	if err != nil {
		return basis.Value{}, err
	}
	flow := func(factor, osmotic float64) float64 {
		return m.RatedLitresPerDay * factor * (pressureBar - osmotic*solidsMgL) / m.RatedBar
	}
	return basis.Value{
		Value: flow(temperature.Value, osmoticBar.Value),
		Low:   flow(temperature.Low, osmoticBar.High),
		High:  flow(temperature.High, osmoticBar.Low),
		Unit:  "L/day", Grade: basis.Weakest(temperature.Grade, osmoticBar.Grade), Source: temperature.Source + "; " + osmoticBar.Source,
	}, nil
}

// RejectionPercent returns how much of the salt a membrane holds back, from the
// conductivities of feed and permeate in the same unit: 100·(1 − ECp/ECf). New
// membranes reach 95–98; below ROReplaceBelowPercent one is spent.
func RejectionPercent(feedEC, permeateEC float64) (float64, error) {
	if err := within("conductivity of the feed", feedEC, 1e-6, 1e6, "as read"); err != nil {
		return 0, err
	}
	if err := within("conductivity of the permeate", permeateEC, 0, feedEC, "as read"); err != nil {
		return 0, err
	}
	return 100 * (1 - permeateEC/feedEC), nil
}

// RejectLitres returns the water that goes down the drain for a volume of
// permeate at a recovery in percent of the feed (household units 20–35).
func RejectLitres(permeateLitres, recoveryPercent float64) (float64, error) {
	if err := within("permeate", permeateLitres, 0, 1e9, "L"); err != nil {
		return 0, err
	}
	if err := within("recovery", recoveryPercent, 1, 100, "%"); err != nil {
		return 0, err
	}
	return permeateLitres * (100/recoveryPercent - 1), nil
}
