package growth_test

import (
	"math"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/growth"
)

// Half a unit of the last digit of the check tables.
const (
	fourDecimals = 0.00005
	sixDecimals  = 0.0000005
)

func TestNile(t *testing.T) {
	rows := checktable.Rows(t, "nile.csv")
	years, flows := columns(t, rows, "year", "flow")
	const errorVar = 15099
	filter := growth.Filter{Trend: growth.Trend{LengthNoise: 1469.1}}
	start := growth.Unmeasured(years[0], growth.Rate{})
	if err := filter.Run(start, years, flows, repeat(errorVar, len(years))); err != nil {
		t.Fatal(err)
	}
	for _, row := range checktable.Rows(t, "nile-filter.csv") {
		at := row["year"] + ": "
		s := filter.Steps[int(row.Number(t, "year")-years[0])]
		near(t, at+"level", s.LengthMM, row.Number(t, "level"), fourDecimals)
		near(t, at+"level variance", s.LengthVar, row.Number(t, "levelVar"), fourDecimals)
		near(t, at+"gain", s.LengthVar/errorVar, row.Number(t, "gain"), fourDecimals)
		if row["innovation"] == "" {
			if s.Surprise != (growth.Surprise{}) {
				t.Errorf("%sa diffuse start expected something: %+v", at, s.Surprise)
			}
			continue
		}
		near(t, at+"innovation", s.Surprise.MM, row.Number(t, "innovation"), fourDecimals)
		near(t, at+"its variance", s.Surprise.Var, row.Number(t, "innovationVar"), fourDecimals)
	}

	smoothed := growth.Smooth(nil, filter.Steps)
	for _, row := range checktable.Rows(t, "nile-smoothed.csv") {
		b := smoothed[int(row.Number(t, "year")-years[0])]
		near(t, row["year"]+": smoothed level", b.LengthMM, row.Number(t, "level"), fourDecimals)
		near(t, row["year"]+": its variance", b.LengthVar, row.Number(t, "levelVar"), fourDecimals)
	}

	// Computed independently, with the columns above.
	last := filter.Steps[len(filter.Steps)-1].Belief
	for i, want := range []float64{20600.2579, 22069.3579, 23538.4579} {
		b := filter.Trend.Ahead(last, float64(1971+i))
		near(t, "forecast", b.LengthMM, 798.3703, fourDecimals)
		near(t, "variance of the forecast observation", b.LengthVar+errorVar, want, fourDecimals)
	}
}

// The diffuse log-likelihood at its maximum, computed independently in Python
// and with statsmodels 0.13.5. The variances are given to the second decimal;
// at a maximum that rounding cannot move the sixth decimal of the value.
func TestNileDiffuseLogLikelihood(t *testing.T) {
	years, flows := columns(t, checktable.Rows(t, "nile.csv"), "year", "flow")
	logLikelihood := func(errorVar, levelNoise float64) float64 {
		filter := growth.Filter{Trend: growth.Trend{LengthNoise: levelNoise}}
		start := growth.Unmeasured(years[0], growth.Rate{})
		if err := filter.Run(start, years, flows, repeat(errorVar, len(years))); err != nil {
			t.Fatal(err)
		}
		return filter.LogLikelihood
	}
	best := logLikelihood(15098.52, 1469.18)
	near(t, "log-likelihood", best, -632.545625, sixDecimals)
	for _, other := range [][2]float64{{15098.52 * 1.02, 1469.18}, {15098.52 / 1.02, 1469.18}, {15098.52, 1469.18 * 1.05}, {15098.52, 1469.18 / 1.05}} {
		if logLikelihood(other[0], other[1]) >= best {
			t.Errorf("variances %v are likelier than the maximum", other)
		}
	}
}

// orchidSeries filters one of the two invented roots.
func orchidSeries(t *testing.T, name string) (*growth.Filter, []checktable.Row) {
	t.Helper()
	rows := checktable.Rows(t, name)
	days, lengths := columns(t, rows, "day", "lengthMM")
	filter := &growth.Filter{Trend: growth.Trend{RateNoise: 0.01}}
	start := growth.Belief{Day: days[0], LengthVar: 1e4, RateVar: 4}
	if err := filter.Run(start, days, lengths, repeat(0.49, len(days))); err != nil {
		t.Fatal(err)
	}
	return filter, rows
}

func TestOrchidSeries(t *testing.T) {
	for _, name := range []string{"orchid-a.csv", "orchid-b.csv"} {
		filter, rows := orchidSeries(t, name)
		smoothed := growth.Smooth(nil, filter.Steps)
		for i, row := range rows {
			at := name + " day " + row["day"] + ": "
			s, b := filter.Steps[i], smoothed[i]
			for column, got := range map[string]float64{
				"innovation": s.Surprise.MM, "innovationVar": s.Surprise.Var,
				"level": s.LengthMM, "rate": s.RateMMPerDay,
				"levelVar": s.LengthVar, "covariance": s.Covariance, "rateVar": s.RateVar,
				"chanceAbove0": s.ChanceFaster(0), "chanceAbove0.1": s.ChanceFaster(0.1),
				"smoothedLevel": b.LengthMM, "smoothedRate": b.RateMMPerDay,
				"smoothedLevelVar": b.LengthVar, "smoothedCovariance": b.Covariance, "smoothedRateVar": b.RateVar,
			} {
				near(t, at+column, got, row.Number(t, column), sixDecimals)
			}
		}
	}
}

func TestOrchidForecast(t *testing.T) {
	// Computed independently, with the tables.
	for _, row := range []struct {
		series                           string
		logLikelihood                    float64
		week, weekVar, fortnight, twoVar float64
	}{
		{"orchid-a.csv", -19.057778, 53.135451, 5.088992, 58.899705, 20.904615},
		{"orchid-b.csv", -22.830820, 30.608602, 4.866491, 30.758216, 19.714660},
	} {
		filter, _ := orchidSeries(t, row.series)
		near(t, row.series+" log-likelihood", filter.LogLikelihood, row.logLikelihood, sixDecimals)
		last := filter.Steps[len(filter.Steps)-1].Belief
		week := must[growth.Forecast](t)(filter.Trend.Forecast(last, last.Day+7, 0.9, 0.7))
		near(t, row.series+" +7 d", week.LengthMM, row.week, sixDecimals)
		near(t, row.series+" +7 d variance", week.ReadingVar, row.weekVar, sixDecimals)
		fortnight := must[growth.Forecast](t)(filter.Trend.Forecast(last, last.Day+14, 0.9, 0.7))
		near(t, row.series+" +14 d", fortnight.LengthMM, row.fortnight, sixDecimals)
		near(t, row.series+" +14 d variance", fortnight.ReadingVar, row.twoVar, sixDecimals)
		// 1.645 standard deviations enclose 90 % (normal tables, four digits).
		near(t, row.series+" band", (week.HighMM-week.LowMM)/2/math.Sqrt(week.LengthVar), 1.645, 0.0005)
	}
}

// A local level without slope, irregular and diffuse.
func TestRootLevel(t *testing.T) {
	rows := checktable.Rows(t, "root-level-b.csv")
	days, lengths := columns(t, rows, "day", "lengthMM")
	filter := growth.Filter{Trend: growth.Trend{LengthNoise: 1}}
	if err := filter.Run(growth.Unmeasured(days[0], growth.Rate{}), days, lengths, repeat(0.49, len(days))); err != nil {
		t.Fatal(err)
	}
	for i, row := range rows {
		near(t, "level on day "+row["day"], filter.Steps[i].LengthMM, row.Number(t, "level"), sixDecimals)
	}
	near(t, "final variance", filter.Steps[len(rows)-1].LengthVar, 0.465877, sixDecimals)
	near(t, "log-likelihood", filter.LogLikelihood, -23.469415, sixDecimals)
}

// 1.96·√2·sd, computed independently to two decimals.
func TestSmallestChange(t *testing.T) {
	for _, row := range [][2]float64{{0.3, 0.83}, {0.5, 1.39}, {1, 2.77}, {2, 5.54}} {
		near(t, "smallest change", must[float64](t)(growth.SmallestChangeMM(row[0], row[0])), row[1], 0.005)
	}
	// At an error of 1 mm, to the digits given.
	for _, row := range [][3]float64{{1, 2.8, 0.05}, {0.3, 9.2, 0.05}, {0.1, 28, 0.5}} {
		near(t, "days to show", must[float64](t)(growth.DaysToShow(row[0], 1)), row[1], row[2])
	}
}

// Shares computed independently, in percent to one decimal.
func TestPictureErrors(t *testing.T) {
	for _, row := range [][2]float64{{5, 0.4}, {10, 1.5}, {15, 3.4}, {20, 6.0}, {30, 13.4}} {
		near(t, "tilt", 100*growth.TiltShortening(row[0]), row[1], 0.05)
	}
	for _, row := range [][3]float64{{300, 10, 3.4}, {300, 30, 11.1}, {500, 30, 6.4}} {
		near(t, "parallax", 100*growth.ScaleParallax(row[0], row[1]), row[2], 0.05)
	}
}
