package cli

import (
	"fmt"

	"velamen/science/pot"
)

// plan is the flush that the pot needs at the start and after the days.
func (p *potRun) plan() (section, error) {
	defaults := pot.Defaults()
	s := section{key: "flush", title: "The flush it needs",
		about: fmt.Sprintf("with water of %g mS/cm, down to %g mS/cm, with at most %.0f mL", p.waterEC, p.targetEC, p.mostML),
		because: "the least water in equal pours that displaces the salt, tanks in series with a bypass; the wait is the chips' time constant 4·L²/(π²·D), held to what growers wait; " +
			"done when the drainage reads at most that EC and two cups in a row agree",
		rests: append(p.targetRests,
			parameter{"salt_diffusivity_m2_per_s", "diffusion of salt inside particles", defaults.SaltDiffusivity},
			parameter{"wait_shortest_min", "shortest wait", defaults.WaitShortestMin},
			parameter{"wait_longest_min", "longest wait", defaults.WaitLongestMin},
			parameter{"most_pours", "most pours", defaults.MostPours},
			parameter{"pour_saving", "one more pour must save", defaults.PourSaving},
			parameter{"stop_ratio", "drainage over input EC", defaults.StopRatio},
			parameter{"stop_agreement", "agreement of two cups", defaults.StopAgreement},
			parameter{"pen_accuracy_ms_per_cm", "what a pen can tell apart", defaults.PenAccuracyMS}),
		grid: &grid{key: "plans", columns: []column{
			{key: "when"}, {key: "ec_ms_per_cm", head: "EC now", decimals: 2},
			{key: "total_ml", head: "mL"}, {key: "holdings", head: "holdings", decimals: 1},
			{key: "pours", head: "pours"}, {key: "pour_ml", head: "each mL"}, {key: "wait_min", head: "wait min"},
			{key: "ec_after_ms_per_cm", head: "EC then", decimals: 2}, {key: "done_below_ec_ms_per_cm", head: "done at EC", decimals: 2}, {key: "outcome"},
		}}}
	for _, moment := range []struct {
		when  string
		state pot.State
	}{{"at the start", p.start}, {fmt.Sprintf("after %d days", p.days), p.trace.Result.End}} {
		plan, err := pot.PlanFlush(p.pot, moment.state, pot.FlushTarget{
			ECmS: p.targetEC, CaptureShare: p.filling, InputECmS: p.waterEC, LimitML: p.mostML,
		})
		if err != nil {
			return s, at("--target-ec-ms, --water-ec-ms, --most-flush-ml", err)
		}
		outcome := plan.Shortfall.String()
		if plan.Pours == 0 && plan.Shortfall == pot.ReachesTarget {
			outcome = "needs none"
		}
		wait := any(plan.WaitMinutes)
		if plan.Pours < 2 {
			wait = nil
		}
		s.grid.rows = append(s.grid.rows, []any{moment.when, p.pot.ECmS(&moment.state), plan.TotalML, plan.Holdings, plan.Pours, plan.PourML, wait, plan.ECmS, plan.DoneBelowECmS, outcome})
		if plan.Shortfall == pot.TooRepellent && len(s.notes) == 0 {
			s.notes = append(s.notes, "Where the medium does not catch enough, stand the pot in water for 20 minutes before it is flushed.")
		}
		if p.home.Mount == nil && len(s.lines) == 0 {
			s.lines = append(s.lines, line{key: "chip_min", name: "salt leaves the particles in", value: plan.ChipMinutes, unit: "min, time constant", decimals: 0})
		}
	}
	return s, nil
}

// longestDays is the longest interval that is looked at.
const longestDays = 30

// interval is how often the pot has to be watered.
func (p *potRun) interval() (section, error) {
	s := section{key: "interval", title: "How often", rests: append(p.limitRests, p.waterRests...),
		because: fmt.Sprintf("plain water only, from the first pour to the end of %d days: the longest interval, up to %d days, at which neither limit is broken in any hour", 2*longestDays, longestDays)}
	forcing := p.forcing(2 * longestDays)
	answer, err := pot.LongestInterval(p.pot, p.start, forcing, pot.Rhythm{
		LongestDays: longestDays, PourHour: wateringHour, PourML: p.flushML, PourECmS: p.waterEC, LeastWetness: p.driest, MostECmS: p.mostEC,
	})
	if err != nil {
		return s, at("--least-wetness-percent, --most-ec-ms", err)
	}
	s.lines = []line{
		{key: "pour_ml", name: "each pour", value: p.flushML, unit: "mL", decimals: 0},
		{key: "least_wetness_share", name: "driest allowed", value: p.driest, unit: "% of what it holds", decimals: 0, scale: 100},
		{key: "most_ec_ms_per_cm", name: "saltiest allowed", value: p.mostEC, unit: "mS/cm", decimals: 2},
		{key: "longest_days", name: "longest interval", value: answer.Days, unit: "days"},
		{key: "decided_by", name: "decided by", value: answer.DecidedBy.String()},
	}
	if answer.DecidedBy != pot.LongestAllowed {
		breaks := line{key: "breaks_at_ec_ms_per_cm", name: "which breaks at", value: answer.Value, unit: "mS/cm", decimals: 3}
		if answer.DecidedBy == pot.TooDry {
			breaks = line{key: "breaks_at_wetness_share", name: "which breaks at", value: answer.Value, unit: "% of what it holds", decimals: 1, scale: 100}
		}
		s.lines = append(s.lines, breaks, line{key: "breaks_at_hour", name: "in hour", value: answer.Hour})
	}
	if answer.Days == 0 {
		s.notes = append(s.notes, "Even a daily pour of this size does not keep both limits.")
	}
	if p.home.Mount != nil {
		wetHours, err := pot.WetHoursPerDay(p.pot, p.forcing(1), []pot.Pour{{Hour: wateringHour, ML: p.flushML, ECmS: p.waterEC}})
		if err != nil {
			return s, at("--flush-ml", err)
		}
		s.lines = append(s.lines, line{key: "wet_hours_per_day", name: "roots wet, watered once a day", value: wetHours, unit: "h a day", decimals: 1})
		s.rests = append(s.rests, parameter{"wet_roots", "roots are wet from a wetness of", pot.Defaults().WetRoots})
	}
	return s, nil
}
