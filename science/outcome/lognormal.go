package outcome

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"velamen/science/basis"
)

// LogNormalPrior is what is held to be known of the days to a sign before any
// own plant is counted: their logarithms are normal about log MedianDays with
// standard deviation LogSD, as if Plants plants had shown that.
type LogNormalPrior struct {
	MedianDays, LogSD, Plants float64
	// Grade is that of the days the prior was taken from.
	Grade basis.Grade
}

// NewLogNormalPrior reads a prior from the days to the sign: Value the median,
// Low and High the days by which a tenth and nine tenths of plants show it.
// plants says how many own plants the prior is worth (see PriorPlants), 1 to
// 100.
func NewLogNormalPrior(days, plants basis.Value) (LogNormalPrior, error) {
	if err := days.Check(); err != nil {
		return LogNormalPrior{}, err
	}
	if err := within("median days of the prior", days.Value, 0.1, LatestDay); err != nil {
		return LogNormalPrior{}, err
	}
	if err := within("days by which a tenth of plants show the sign", days.Low, 0.01, days.Value); err != nil {
		return LogNormalPrior{}, err
	}
	if err := within("days by which nine tenths of plants show the sign", days.High, days.Value, LatestDay); err != nil {
		return LogNormalPrior{}, err
	}
	p := LogNormalPrior{
		MedianDays: days.Value,
		LogSD:      math.Log(days.High/days.Low) / (2 * distuv.UnitNormal.Quantile(0.9)),
		Plants:     plants.Value,
		Grade:      basis.Weakest(days.Grade, plants.Grade),
	}
	return p, p.check()
}

func (p LogNormalPrior) check() error {
	if err := within("median days of the prior", p.MedianDays, 0.1, LatestDay); err != nil {
		return err
	}
	if err := within("spread of the prior, in logarithms", p.LogSD, 0.05, 3); err != nil {
		return err
	}
	return within("plants the prior is worth", p.Plants, 1, 100)
}

// Outlook is what is held to be known of the days to a sign once own records
// have been added to a prior.
type Outlook struct {
	// OwnSigns are the signs among the own records; FromPrior is the part that
	// the prior still speaks for, Plants/(Plants + OwnSigns).
	OwnSigns  int
	FromPrior float64
	// UseOwn says that there are OwnCasesReplacePrior own signs or more: show
	// their Turnbull curve and leave the prior out.
	UseOwn bool
	// MedianDays is the median with its central interval of the level asked
	// for.
	MedianDays, Low, High float64

	cells []cell
}

// Update adds own records to the prior and returns the outlook for the next
// plant: nothing is taken for known of the median or of the spread but what
// prior and records say. No records return the prior's own forecast. Deaths
// are refused; see DeathsAsUnseen.
func (p LogNormalPrior) Update(records []Recovery, level float64) (Outlook, error) {
	if err := p.check(); err != nil {
		return Outlook{}, err
	}
	if err := checkLevel(level); err != nil {
		return Outlook{}, err
	}
	if err := Check(records); err != nil {
		return Outlook{}, err
	}
	if err := checkNoDeaths(records); err != nil {
		return Outlook{}, err
	}
	o := Outlook{}
	for _, r := range records {
		if r.Ending == Seen {
			o.OwnSigns++
		}
	}
	o.FromPrior = p.Plants / (p.Plants + float64(o.OwnSigns))
	o.UseOwn = o.OwnSigns >= int(OwnCasesReplacePrior.Value)

	rows, err := newPosterior(p, records).rows()
	if err != nil {
		return Outlook{}, err
	}
	// Cells too light to show in any digit only cost time.
	o.cells = slices.DeleteFunc(slices.Concat(rows...), func(c cell) bool { return c.weight < 1e-13 })
	o.MedianDays = math.Exp(centreQuantile(rows, 0.5))
	o.Low = math.Exp(centreQuantile(rows, (1-level)/2))
	o.High = math.Exp(centreQuantile(rows, (1+level)/2))
	return o, nil
}

// Unseen returns the chance that the next plant shows no sign by a day.
func (o Outlook) Unseen(day float64) (float64, error) {
	if err := checkDay("day of the outlook", day); err != nil {
		return 0, err
	}
	if day == 0 {
		return 1, nil
	}
	return o.unseen(math.Log(day)), nil
}

func (o Outlook) unseen(logDay float64) float64 {
	var sum float64
	for _, c := range o.cells {
		switch z := (logDay - c.centre) / (c.spread * math.Sqrt2); {
		case z < -6:
			sum += c.weight
		case z < 6: // beyond, 1e-17 is left
			sum += c.weight * math.Erfc(z) / 2
		}
	}
	return sum
}

// DayBy returns the day by which the next plant shows the sign with a chance
// from 0.01 to 0.99.
func (o Outlook) DayBy(chance float64) (float64, error) {
	if err := within("chance", chance, 0.01, 0.99); err != nil {
		return 0, err
	}
	// Halving finds the neighbourhood, false position the day: of the two ends the
	// one that stays is counted half (Illinois).
	low, high := math.Log(1e-6), math.Log(1e12)
	for high-low > 1 {
		if middle := (low + high) / 2; 1-o.unseen(middle) < chance {
			low = middle
		} else {
			high = middle
		}
	}
	below, above := 1-o.unseen(low)-chance, 1-o.unseen(high)-chance
	for last := 0; high-low > 1e-12; {
		middle := (low*above - high*below) / (above - below)
		if !(middle > low && middle < high) {
			break
		}
		switch off := 1 - o.unseen(middle) - chance; {
		case math.Abs(off) < 1e-13:
			return math.Exp(middle), nil
		case off < 0:
			low, below = middle, off
			if last < 0 {
				above /= 2
			}
			last = -1
		default:
			high, above = middle, off
			if last > 0 {
				below /= 2
			}
			last = 1
		}
	}
	return math.Exp((low + high) / 2), nil
}
