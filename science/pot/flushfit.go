package pot

import (
	"errors"
	"math"
	"slices"

	"velamen/science/basis"
)

// DrainageCup is one cup of drainage that was caught and read.
type DrainageCup struct {
	ML   float64 // that ran out since the cup before
	ECmS float64
}

// FlushFit is what successive cups of drainage tell of a pot: how much of what is
// poured runs past, how many tanks the rest goes through, and what is left.
type FlushFit struct {
	Bypass  basis.Value // share of running water that does not mix
	Tanks   basis.Value // in series
	StartMS basis.Value // pore water before the flush, mS/cm
	LeftMS  basis.Value // pore water now
	MoreML  basis.Value // of drainage until the pore water is at the wanted EC; 0 if it is
	// Off is the root mean square by which the best fit misses the readings, in
	// standard errors of a pen: above 2 something else than a flush goes on.
	Off float64
	// Rises is set when a later cup is clearly saltier than the first: salt still
	// comes out of the particles, or dry patches are being reached. The fit does
	// not hold then.
	Rises bool
}

// PenSharePercent is the standard error of a pen's reading beyond what it cannot
// tell apart.
var PenSharePercent = basis.Assumed(3, 2, 5, "%")

// FewestCups is how many cups a fit needs.
const FewestCups = 3

// errFewCups says that there is too little to fit.
var errFewCups = errors.New("pot: three cups of drainage are the fewest that tell anything")

// FitFlush fits bypass and tanks in series to the EC of successive cups of
// drainage. The pot holds heldML (with its range), water of inputECmS is poured,
// and wantedECmS is what the pore water is to come to.
//
// The model is that of Flush with one EC in the pot at the start:
//
//	EC out = b·in + (1−b)·[in + (start − in)·R(n)],  n = (1−b)·drained/held
//
// with R the share of the old water in what leaves N tanks, e^(−Nn)·Σ (Nn)ʲ/j!,
// taken as the mean over each cup. A grid over bypass, tanks and what the pot
// holds is weighted by how well each fits, the start being the best for each
// (least squares); values are weighted medians with a range from 10 to 90 %.
// Bypass and what the pot holds act alike on the fall, so the range of the one
// carries over to the other.
func FitFlush(cups []DrainageCup, inputECmS float64, heldML basis.Value, wantedECmS float64) (FlushFit, error) {
	if err := firstError(
		within("EC of the water", inputECmS, 0, LargestECmS, "mS/cm"),
		within("water held", heldML.Value, 1, LargestPourML, "mL"),
		within("wanted EC", wantedECmS, 0, LargestECmS, "mS/cm"),
	); err != nil {
		return FlushFit{}, err
	}
	for _, c := range cups {
		if err := firstError(within("cup of drainage", c.ML, 0.1, LargestPourML, "mL"), within("EC of a cup", c.ECmS, 0, LargestECmS, "mS/cm")); err != nil {
			return FlushFit{}, err
		}
	}
	if len(cups) < FewestCups {
		return FlushFit{}, errFewCups
	}
	pen := Defaults().PenAccuracyMS.Value
	errorOf := func(ec float64) float64 { return math.Hypot(pen/2, PenSharePercent.Value/100*ec) }
	first := cups[0].ECmS
	fit := FlushFit{}
	for _, c := range cups[1:] {
		fit.Rises = fit.Rises || c.ECmS > first+2*math.Hypot(errorOf(c.ECmS), errorOf(first))
	}
	f := fitter{cups: cups, input: inputECmS, wanted: wantedECmS, errorOf: errorOf}
	low, high := heldML.Low, heldML.High
	if !(low > 0 && low < heldML.Value) {
		low = 0.7 * heldML.Value
	}
	if !(high > heldML.Value) {
		high = 1.3 * heldML.Value
	}
	best := math.Inf(1)
	const steps = 9
	for tanks := 1; tanks <= MaxTanks; tanks++ {
		for b := 0; b <= 45; b++ {
			bypass := float64(b) / 50
			for i := range steps {
				z := float64(i)/(steps-1)*2 - 1 // the ends of the range are two standard errors off
				held := heldML.Value + z*(high-heldML.Value)
				if z < 0 {
					held = heldML.Value + z*(heldML.Value-low)
				}
				p := f.try(tanks, bypass, held)
				best = math.Min(best, p.squares)
				p.squares += 4 * z * z
				f.points = append(f.points, p)
			}
		}
	}
	fit.Off = math.Sqrt(best / float64(len(cups)))
	fit.Bypass = f.median("share", func(p fitPoint) float64 { return p.bypass })
	fit.Tanks = f.median("tanks", func(p fitPoint) float64 { return float64(p.tanks) })
	fit.StartMS = f.median("mS/cm", func(p fitPoint) float64 { return p.start })
	fit.LeftMS = f.median("mS/cm", func(p fitPoint) float64 { return p.left })
	fit.MoreML = f.median("mL", func(p fitPoint) float64 { return p.more })
	return fit, nil
}

// fitter weighs the points of a grid.
type fitter struct {
	cups          []DrainageCup
	input, wanted float64
	errorOf       func(float64) float64
	points        []fitPoint
}

type fitPoint struct {
	tanks               int
	bypass, start, left float64
	more                float64
	squares             float64 // χ²
}

// try finds the start that fits best for one set of parameters.
func (f *fitter) try(tanks int, bypass, held float64) fitPoint {
	var xy, xx float64
	drained := 0.0
	shares := make([]float64, 0, 32)
	for _, c := range f.cups {
		share := (1 - bypass) * meanOut(tanks, (1-bypass)*drained/held, (1-bypass)*(drained+c.ML)/held)
		drained += c.ML
		shares = append(shares, share)
		e := f.errorOf(c.ECmS)
		xy += share * (c.ECmS - f.input) / (e * e)
		xx += share * share / (e * e)
	}
	above := math.Max(0, xy/math.Max(xx, 1e-300)) // of the old water over the new
	p := fitPoint{tanks: tanks, bypass: bypass, start: f.input + above}
	for i, c := range f.cups {
		miss := (c.ECmS - f.input - above*shares[i]) / f.errorOf(c.ECmS)
		p.squares += miss * miss
	}
	if over := p.start - LargestECmS; over > 0 {
		p.squares += over * over // no pot is that salty
	}
	now := (1 - bypass) * drained / held
	p.left = f.input + above*meanLeft(tanks, now)
	p.more = f.until(tanks, above, now) * held / (1 - bypass)
	return p
}

// until returns how much further n has to go until what is left is at the wanted
// EC.
func (f *fitter) until(tanks int, above, now float64) float64 {
	wanted := f.wanted - f.input
	if above*meanLeft(tanks, now) <= wanted {
		return 0
	}
	const most = 20.0
	low, high := now, now+most
	if above*meanLeft(tanks, high) > wanted {
		return most // the water itself is saltier than what is wanted
	}
	for range 40 {
		if middle := (low + high) / 2; above*meanLeft(tanks, middle) > wanted {
			low = middle
		} else {
			high = middle
		}
	}
	return high - now
}

// meanLeft is the share of the old water still in N tanks after n volumes.
//
//	(1/N)·Σ_{k<N} P(k, Nn),  P(k, x) = e^(−x)·Σ_{j≤k} xʲ/j!
func meanLeft(tanks int, n float64) float64 {
	x := float64(tanks) * n
	term, poisson, sum := math.Exp(-x), 0.0, 0.0
	for k := range tanks {
		if k > 0 {
			term *= x / float64(k)
		}
		poisson += term
		sum += poisson
	}
	return sum / float64(tanks)
}

// meanOut is the mean share of the old water in what leaves N tanks between two
// volumes: what they lose, since nothing else leaves.
func meanOut(tanks int, from, to float64) float64 {
	if to-from < 1e-12 {
		return 1
	}
	return (meanLeft(tanks, from) - meanLeft(tanks, to)) / (to - from)
}

// median is the weighted median of a figure over the grid, with its range.
func (f *fitter) median(unit string, of func(fitPoint) float64) basis.Value {
	least := math.Inf(1)
	for _, p := range f.points {
		least = math.Min(least, p.squares)
	}
	type weighed struct{ value, weight float64 }
	list := make([]weighed, len(f.points))
	total := 0.0
	for i, p := range f.points {
		w := math.Exp(-(p.squares - least) / 2)
		list[i], total = weighed{of(p), w}, total+w
	}
	slices.SortFunc(list, func(a, b weighed) int {
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	at := func(share float64) float64 {
		sum := 0.0
		for _, l := range list {
			if sum += l.weight; sum >= share*total {
				return l.value
			}
		}
		return list[len(list)-1].value
	}
	return basis.Value{Value: at(0.5), Low: at(0.1), High: at(0.9), Unit: unit, Grade: basis.Measured, Source: "fitted to the drainage read"}
}
