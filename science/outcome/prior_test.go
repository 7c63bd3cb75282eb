package outcome_test

import (
	"math"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/basis"
	"velamen/science/outcome"
)

// firstRoot is a working prior for the first root of Phalaenopsis.
var firstRoot = basis.Value{Value: 30, Low: 14, High: 70, Unit: "d", Grade: basis.FromMemory, Source: "growers' rule of thumb"}

func firstRootPrior(t *testing.T) outcome.LogNormalPrior {
	t.Helper()
	return must[outcome.LogNormalPrior](t)(outcome.NewLogNormalPrior(firstRoot, outcome.PriorPlants))
}

// scipy 1.10, computed independently; see SOURCE.md.
func TestRatePrior(t *testing.T) {
	for _, row := range checktable.Rows(t, "rates.csv") {
		at := row["events"] + " in " + row["plant_days"] + " "
		prior := outcome.RatePrior{Events: 2, PlantDays: 80}
		posterior := must[outcome.RatePrior](t)(prior.Plus(int(row.Number(t, "events")), row.Number(t, "plant_days")))
		rate := must[outcome.Rate](t)(posterior.Rate(0.9))
		printed(t, at+"rate", rate.PerPlantDay, row["rate"])
		if row["low"] != "" {
			printed(t, at+"low", rate.Low, row["low"])
			printed(t, at+"high", rate.High, row["high"])
		}
		printed(t, at+"still none", must[float64](t)(posterior.StillNone(row.Number(t, "days_ahead"))), row["still_none"])
	}
}

// Logarithms of 30 and of 70/14 over 2.563, computed independently.
func TestLogNormalPriorFromDays(t *testing.T) {
	p := firstRootPrior(t)
	printed(t, "log median", math.Log(p.MedianDays), "3.401")
	printed(t, "log sd", p.LogSD, ".628")
	equal(t, "grade", p.Grade, basis.Assumption)
}

// Without records the forecast is the prior itself: a log-normal's tenth and
// nine tenths, and its median.
func TestForecastWithoutRecords(t *testing.T) {
	o := must[outcome.Outlook](t)(firstRootPrior(t).Update(nil, 0.9))
	half := math.Sqrt(70. / 14) // from the median to either side
	near(t, "median", o.MedianDays, 30, 1e-3)
	// Rows that weigh less than 1e-10 of the largest are left out.
	near(t, "tenth", must[float64](t)(o.DayBy(0.1)), 30/half, 0.01)
	near(t, "half", must[float64](t)(o.DayBy(0.5)), 30, 0.01)
	near(t, "nine tenths", must[float64](t)(o.DayBy(0.9)), 30*half, 0.01)
	equal(t, "from the prior", o.FromPrior, 1)
	equal(t, "use own", o.UseOwn, false)
}

// Exact days update the prior in closed form: with three plants' worth of prior
// and three plants the centre is the mean of the log days and the prior's, and
// the next plant's log day is Student t of six degrees about it. Gelman and
// others, Bayesian Data Analysis, 3rd edition 2013, §3.3 (from memory);
// quantiles of t₃ and t₆ at 0.9 from tables (from memory): 1.637744, 1.439756.
func TestUpdateWithExactDays(t *testing.T) {
	days := []float64{20, 25, 22}
	var records []outcome.Recovery
	var mean, squares float64
	for _, day := range days {
		records = append(records, outcome.SeenOn("", day))
		mean += math.Log(day) / 3
	}
	for _, day := range days {
		squares += math.Pow(math.Log(day)-mean, 2)
	}
	prior := firstRootPrior(t)
	scale := prior.LogSD * 1.2815516 / (1.637744 * math.Sqrt(4./3))
	centre := (math.Log(30) + mean) / 2
	squares += 3*scale*scale + 1.5*math.Pow(mean-math.Log(30), 2)
	tenth := 1.439756 * math.Sqrt(squares/6*(1+1./6))

	o := must[outcome.Outlook](t)(prior.Update(records, 0.9))
	near(t, "log median", math.Log(o.MedianDays), centre, 1e-4)
	// The table's quantiles have seven figures, the grid about six.
	near(t, "log of a tenth", math.Log(must[float64](t)(o.DayBy(0.1))), centre-tenth, 1e-4)
	near(t, "log of nine tenths", math.Log(must[float64](t)(o.DayBy(0.9))), centre+tenth, 1e-4)
	// The median itself is t₆ about the centre with √(squares/6/6), and the
	// cells of the grid, half a standard deviation wide, blur it by up to 1 %
	// of that: 1.943180 is the 0.95 quantile of t₆ (from memory).
	width := 1.943180 * math.Sqrt(squares/36)
	near(t, "log low", math.Log(o.Low), centre-width, 0.015*width)
	near(t, "log high", math.Log(o.High), centre+width, 0.015*width)
	near(t, "from the prior", o.FromPrior, 0.5, 1e-12)
}

// A narrow interval about a day says the same as the day.
func TestNarrowIntervalsSayTheDay(t *testing.T) {
	exact := []outcome.Recovery{outcome.SeenOn("", 20), outcome.SeenOn("", 45), outcome.NotSeenBy("", 50)}
	narrow := []outcome.Recovery{outcome.SeenBetween("", 19.99, 20.01), outcome.SeenBetween("", 44.99, 45.01), outcome.NotSeenBy("", 50)}
	a := must[outcome.Outlook](t)(firstRootPrior(t).Update(exact, 0.9))
	b := must[outcome.Outlook](t)(firstRootPrior(t).Update(narrow, 0.9))
	near(t, "median", b.MedianDays, a.MedianDays, 1e-3)
	near(t, "nine tenths", must[float64](t)(b.DayBy(0.9)), must[float64](t)(a.DayBy(0.9)), 1e-2)
}

// Own records pull the outlook their way, and more of them more.
func TestOwnRecordsReplaceThePrior(t *testing.T) {
	last := must[outcome.Outlook](t)(firstRootPrior(t).Update(nil, 0.9)).MedianDays
	var records []outcome.Recovery
	for n := 1; n <= 12; n++ {
		records = append(records, outcome.SeenBetween("", 56, 63))
		o := must[outcome.Outlook](t)(firstRootPrior(t).Update(records, 0.9))
		if !(o.MedianDays > last && o.MedianDays < 63) {
			t.Errorf("%d plants of 56 to 63 days: median %.2f after %.2f", n, o.MedianDays, last)
		}
		last = o.MedianDays
		equal(t, "use own", o.UseOwn, n >= 8)
		near(t, "from the prior", o.FromPrior, 3/(3+float64(n)), 1e-12)
	}
	silent := must[outcome.Outlook](t)(firstRootPrior(t).Update([]outcome.Recovery{outcome.NotSeenBy("", 90)}, 0.9))
	if silent.MedianDays <= 30 {
		t.Errorf("a plant silent for 90 days moved the median to %.2f, not later than 30", silent.MedianDays)
	}
}
