package pot

import (
	"iter"

	"velamen/science/basis"
)

// Parameters are the figures of this package that are known only within a
// range and do not belong to one medium. Defaults gives the central set; an
// ensemble draws each Value field between its Low and High.
type Parameters struct {
	RootWetness  basis.Value // wetness below which roots no longer get all they want, share of capacity
	WetRoots     basis.Value // wetness from which roots count as wet, share of capacity
	UptakeECmS   basis.Value // salt taken up with each mL of water the roots take, mS/cm
	UptakeSwitch basis.Value // filling of the particles above which they take water up at the wet rate, 1

	CriticalWetness basis.Value // wetness above which a medium catches water as well as it can, share of capacity
	AgeingDays      basis.Value // moist days in which fresh medium turns into aged medium
	ReleasePerDay   basis.Value // rate at which particles give water back to the film, 1/day
	SoakCapture     basis.Value // share of the film's free space that is filled after immersion, 1
	SaltDiffusivity basis.Value // of salt inside wet particles, m²/s

	FloorMM         basis.Value // evaporation by diffusion through a dry surface of a wet pot, mm/day
	MountReadyShare basis.Value // share of a mount's store that evaporates at the full rate, 1
	VapourShare     basis.Value // share of a mount's store that saturated air can fill, 1
	VapourHours     basis.Value // time constant of that filling, hours
	StillAirMMPerS  basis.Value // transfer of vapour from a surface to still room air, mm/s
	FanAirMMPerS    basis.Value // the same under a fan
	SurfaceWarmth   basis.Value // where the wet surface lies between wet bulb (0) and air temperature (1)
	WaitShortestMin basis.Value // shortest wait between two pours of one flush, minutes
	WaitLongestMin  basis.Value // longest wait, minutes
	MostPours       basis.Value // most pours of one flush
	PourSaving      basis.Value // share of the water that one more pour must save to be worth it, 1
	StopRatio       basis.Value // drainage EC over input EC at which a flush is done, 1
	StopAgreement   basis.Value // difference between two successive leachates that counts as none, 1
	PenAccuracyMS   basis.Value // what a hand-held EC meter can tell apart, mS/cm
}

// Defaults returns the central set with its ranges and sources.
func Defaults() Parameters {
	practice := func(value, low, high float64, unit string) basis.Value {
		return basis.Value{Value: value, Low: low, High: high, Unit: unit, Grade: basis.CommonPractice}
	}
	remembered := func(value, low, high float64, unit, source string) basis.Value {
		return basis.Value{Value: value, Low: low, High: high, Unit: unit, Grade: basis.FromMemory, Source: source}
	}
	const roomAir = "mass-transfer coefficients of horizontal wet surfaces in room air, handbook values"
	return Parameters{
		RootWetness: basis.Assumed(0.30, 0.15, 0.45, "1"),
		WetRoots:    basis.Assumed(0.35, 0.20, 0.50, "1"),
		UptakeECmS:  basis.Assumed(0.5, 0.2, 1.0, "mS/cm"),
		UptakeSwitch: basis.Value{Value: 0.35, Low: 0.2, High: 0.5, Unit: "1", Grade: basis.Assumption,
			Source: "after the 35 % moisture of Airhart et al. 1978, HortScience 13:432, abstract, which does not tell of what"},

		// Bark captures at 33 % moisture only 5 to 10 % less than at 67 %
		// (Schulker et al. 2021, Agronomy 11:1355, summary), which puts the
		// bend near the wetness that 33 % moisture stands for, 0.19.
		CriticalWetness: basis.Value{Value: 0.21, Low: 0.15, High: 0.30, Unit: "1", Grade: basis.Assumption,
			Source: "fitted to the summary of Schulker et al. 2021, Agronomy 11:1355"},
		AgeingDays: basis.Value{Value: 180, Low: 60, High: 270, Unit: "days", Grade: basis.Assumption,
			Source: "pine bark differed between one month or less and six months or more of ageing: Virginia Tech, hdl 10919/97261, abstract"},
		ReleasePerDay:   basis.Assumed(1.0, 0.3, 3.0, "1/day"),
		SoakCapture:     basis.Assumed(0.9, 0.75, 1.0, "1"),
		SaltDiffusivity: basis.Assumed(0.5e-9, 0.25e-9, 1.0e-9, "m²/s"),

		FloorMM:         basis.Assumed(0.2, 0.1, 0.3, "mm/day"),
		MountReadyShare: basis.Assumed(0.5, 0.3, 0.8, "1"),
		VapourShare: basis.Value{Value: 0.2, Low: 0.1, High: 0.3, Unit: "1", Grade: basis.Published,
			Source: "hygroscopic uptake of tree bark from saturated air by species, iForest, ifor1979-009, abstract"},
		VapourHours:    basis.Assumed(6, 2, 24, "hours"),
		StillAirMMPerS: remembered(3, 2, 5, "mm/s", roomAir),
		FanAirMMPerS:   remembered(8, 5, 12, "mm/s", roomAir),
		// A quarter of the way gives the 1.0 to 1.5 mm a day of a living room.
		SurfaceWarmth: basis.Assumed(0.25, 0.0, 0.6, "1"),

		WaitShortestMin: practice(15, 10, 30, "minutes"),
		WaitLongestMin:  practice(60, 30, 90, "minutes"),
		MostPours:       practice(5, 3, 8, "1"),
		PourSaving:      basis.Assumed(0.15, 0.05, 0.30, "1"),
		StopRatio:       practice(1.2, 1.1, 1.3, "1"),
		StopAgreement:   practice(0.10, 0.05, 0.15, "1"),
		PenAccuracyMS:   basis.Assumed(0.03, 0.01, 0.05, "mS/cm"),
	}
}

// All yields every parameter with its name, in the order of the fields, so
// that an ensemble can draw them and a page can list them.
func (p *Parameters) All() iter.Seq2[string, *basis.Value] {
	return func(yield func(string, *basis.Value) bool) {
		for i, v := range p.fields() {
			if !yield(parameterNames[i], v) {
				return
			}
		}
	}
}

// parameterNames are their names, and fields the figures, in the order of the
// fields.
var parameterNames = [...]string{
	"root wetness",
	"wet roots",
	"uptake concentration",
	"uptake switch",
	"critical wetness",
	"ageing",
	"release",
	"soak capture",
	"salt diffusivity",
	"diffusion floor",
	"ready share of a mount",
	"vapour share",
	"vapour time",
	"still air",
	"fan air",
	"surface warmth",
	"shortest wait",
	"longest wait",
	"most pours",
	"saving of a pour",
	"stop ratio",
	"stop agreement",
	"pen accuracy",
}

func (p *Parameters) fields() [len(parameterNames)]*basis.Value {
	return [...]*basis.Value{
		&p.RootWetness,
		&p.WetRoots,
		&p.UptakeECmS,
		&p.UptakeSwitch,
		&p.CriticalWetness,
		&p.AgeingDays,
		&p.ReleasePerDay,
		&p.SoakCapture,
		&p.SaltDiffusivity,
		&p.FloorMM,
		&p.MountReadyShare,
		&p.VapourShare,
		&p.VapourHours,
		&p.StillAirMMPerS,
		&p.FanAirMMPerS,
		&p.SurfaceWarmth,
		&p.WaitShortestMin,
		&p.WaitLongestMin,
		&p.MostPours,
		&p.PourSaving,
		&p.StopRatio,
		&p.StopAgreement,
		&p.PenAccuracyMS,
	}
}

// check reports a parameter without a basis or with a value no pot can have.
func (p *Parameters) check() error {
	for _, v := range p.fields() {
		if err := v.Check(); err != nil {
			return err
		}
	}
	share := func(name string, v *basis.Value) error { return within(name, v.Value, 0, 1, "1") }
	return firstError(
		share("root wetness", &p.RootWetness),
		share("wetness of wet roots", &p.WetRoots),
		within("uptake concentration", p.UptakeECmS.Value, 0, LargestECmS, "mS/cm"),
		share("uptake switch", &p.UptakeSwitch),
		within("critical wetness", p.CriticalWetness.Value, 0.01, 1, "1"),
		within("ageing", p.AgeingDays.Value, 1, 3650, "days"),
		within("release", p.ReleasePerDay.Value, slowestUptakePerDay, fastestUptakePerDay, "1/day"),
		share("soak capture", &p.SoakCapture),
		within("salt diffusivity", p.SaltDiffusivity.Value, 1e-11, 2e-9, "m²/s"),
		within("diffusion floor", p.FloorMM.Value, 0, 2, "mm/day"),
		share("ready share of a mount", &p.MountReadyShare),
		share("vapour share", &p.VapourShare),
		within("vapour time", p.VapourHours.Value, 0.1, 1000, "hours"),
		within("vapour transfer in still air", p.StillAirMMPerS.Value, 0.1, 50, "mm/s"),
		within("vapour transfer under a fan", p.FanAirMMPerS.Value, 0.1, 50, "mm/s"),
		share("surface warmth", &p.SurfaceWarmth),
		within("shortest wait", p.WaitShortestMin.Value, 1, p.WaitLongestMin.Value, "minutes"),
		within("longest wait", p.WaitLongestMin.Value, 1, 24*60, "minutes"),
		within("most pours", p.MostPours.Value, 1, 20, "1"),
		share("saving of a pour", &p.PourSaving),
		within("stop ratio", p.StopRatio.Value, 1, 3, "1"),
		share("stop agreement", &p.StopAgreement),
		within("pen accuracy", p.PenAccuracyMS.Value, 0, 0.5, "mS/cm"),
	)
}
