package outcome

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// posterior is the density of centre μ and spread σ of the log days, given a
// prior and records:
//
//	μ | σ ~ Normal(μ₀, σ²/κ),  σ² ~ scaled inverse χ²(κ, s₀²),  κ the prior's plants
//	record with an exact day t:      φ((log t − μ)/σ)/σ
//	record with an interval (a, b]:  Φ((log b − μ)/σ) − Φ((log a − μ)/σ)
//
// Gelman and others, Bayesian Data Analysis, 3rd edition 2013, §3.3 (from
// memory) for the prior, which exact days update in closed form. s₀ is such
// that without records the forecast has the prior's own tenth and nine tenths:
// the forecast is then a Student t of κ degrees with scale s₀ √(1 + 1/κ).
type posterior struct {
	centre, plants, squares float64 // μ₀, κ, κ s₀²
	exact, interval         []weighted
}

// weighted is a record in log days with the number of records equal to it.
type weighted struct{ after, by, count float64 }

func newPosterior(p LogNormalPrior, records []Recovery) posterior {
	t := distuv.StudentsT{Sigma: 1, Nu: p.Plants}
	scale := p.LogSD * distuv.UnitNormal.Quantile(0.9) / (t.Quantile(0.9) * math.Sqrt(1+1/p.Plants))
	post := posterior{centre: math.Log(p.MedianDays), plants: p.Plants, squares: p.Plants * scale * scale}

	ordered := inOrder(records)
	for first := 0; first < len(ordered); {
		r, count := ordered[first], 0.0
		for first < len(ordered) && ordered[first].AfterDay == r.AfterDay && ordered[first].ByDay == r.ByDay {
			first++
			count++
		}
		w := weighted{math.Log(r.AfterDay), math.Log(r.ByDay), count}
		if r.AfterDay == r.ByDay {
			post.exact = append(post.exact, w)
		} else {
			post.interval = append(post.interval, w)
		}
	}
	return post
}

// logDensity returns the log of the density in μ and log σ, up to a constant.
func (p posterior) logDensity(centre, logSpread float64) float64 {
	spread := math.Exp(logSpread)
	off := centre - p.centre
	sum := -(p.plants+1)*logSpread - (p.squares+p.plants*off*off)/(2*spread*spread)
	for _, w := range p.exact {
		z := (w.by - centre) / spread
		sum -= w.count * (logSpread + z*z/2)
	}
	for _, w := range p.interval {
		sum += w.count * logBetween((w.after-centre)/spread, (w.by-centre)/spread)
	}
	return sum
}

// logBetween returns log(Φ(b) − Φ(a)) for a < b; either may be infinite.
func logBetween(a, b float64) float64 {
	if a < 0 && b > 0 {
		return math.Log((math.Erf(b/math.Sqrt2) - math.Erf(a/math.Sqrt2)) / 2)
	}
	if a < 0 {
		a, b = -b, -a
	}
	tail := logTail(a)
	return tail + math.Log1p(-math.Exp(logTail(b)-tail))
}

// logTail returns log(1 − Φ(z)) for z ≥ 0, by its asymptotic series where the
// tail itself underflows.
func logTail(z float64) float64 {
	if z < 25 {
		return math.Log(math.Erfc(z/math.Sqrt2) / 2)
	}
	return -z*z/2 - math.Log(z*math.Sqrt(2*math.Pi)) + math.Log1p(-1/(z*z))
}

// cell is a centre and spread with its probability.
type cell struct{ centre, spread, weight float64 }

// The grid that stands for the density. Rows of equal spread are rowStep
// standard deviations of log σ apart and reach out until they no longer
// count; the cells of a row are cellStep standard deviations of μ at that
// spread apart, and reach to cellReach. Plain sums over such a grid err by
// about exp(−2π²/step²): nothing.
const (
	rowStep, leastRow = 0.5, 1e-10
	cellStep          = 0.5
	cellReach         = 13 // steps to either side
	mostRows          = 400
)

// rows returns the density as weights on a grid, by row of equal spread.
func (p posterior) rows() ([][]cell, error) {
	centre, logSpread, err := p.peak()
	if err != nil {
		return nil, err
	}
	const h = 1e-3
	top := p.logDensity(centre, logSpread)
	bend := (2*top - p.logDensity(centre, logSpread+h) - p.logDensity(centre, logSpread-h)) / (h * h)
	if !(bend > 0) {
		return nil, fmt.Errorf("outcome: days to the sign: the density has no peak in the spread (curvature %.3g)", bend)
	}
	step := rowStep / math.Sqrt(bend)

	var rows [][]cell
	var total, largest float64
	for _, direction := range []float64{1, -1} {
		at := centre
		for i := range mostRows {
			if direction < 0 && i == 0 {
				continue // the row through the peak is there already
			}
			row, rowCentre, weight := p.row(at, logSpread+direction*float64(i)*step, top)
			rows = append(rows, row)
			at, total, largest = rowCentre, total+weight, math.Max(largest, weight)
			if weight < leastRow*largest {
				break
			}
		}
	}
	for _, row := range rows {
		for j := range row {
			row[j].weight /= total
		}
	}
	return rows, nil
}

// row returns the cells at one spread, about the most likely centre there,
// which is sought from a guess.
func (p posterior) row(guess, logSpread, top float64) (row []cell, centre, weight float64) {
	spread := math.Exp(logSpread)
	centre = guess
	h := 1e-3 * spread
	var bend float64
	for range 30 { // Newton; the density is log-concave in μ
		here, above, below := p.logDensity(centre, logSpread), p.logDensity(centre+h, logSpread), p.logDensity(centre-h, logSpread)
		bend = (2*here - above - below) / (h * h)
		move := (above - below) / (2 * h) / bend
		centre += math.Max(-3*spread, math.Min(3*spread, move))
		if math.Abs(move)*math.Sqrt(bend) < 0.01 {
			break
		}
	}
	width := cellStep / math.Sqrt(bend)
	for i := -cellReach; i <= cellReach; i++ {
		c := cell{centre: centre + float64(i)*width, spread: spread}
		c.weight = width * math.Exp(p.logDensity(c.centre, logSpread)-top)
		weight += c.weight
		row = append(row, c)
	}
	return row, centre, weight
}

// peak returns the centre and log spread of greatest density, by Newton's
// method in μ/σ and 1/σ, in which the log density of normal records, exact or
// not, is concave (Burridge, Journal of the Royal Statistical Society B
// 43:41–45, 1981, from memory).
func (p posterior) peak() (centre, logSpread float64, err error) {
	b := math.Sqrt(p.plants / p.squares)
	a := p.centre * b
	f := func(a, b float64) float64 {
		if b <= 0 {
			return math.Inf(-1)
		}
		return p.logDensity(a/b, -math.Log(b))
	}
	here := f(a, b)
	for range 100 {
		h := 1e-3 * b
		g := func(i, j float64) float64 { return f(a+i*h, b+j*h) }
		da, db := (g(1, 0)-g(-1, 0))/(2*h), (g(0, 1)-g(0, -1))/(2*h)
		aa, bb := (g(1, 0)-2*here+g(-1, 0))/(h*h), (g(0, 1)-2*here+g(0, -1))/(h*h)
		ab := (g(1, 1) - g(1, -1) - g(-1, 1) + g(-1, -1)) / (4 * h * h)
		determinant := aa*bb - ab*ab
		if !(aa < 0 && determinant > 0) {
			return 0, 0, fmt.Errorf("outcome: days to the sign: the density is not concave (curvatures %.3g, %.3g, %.3g)", aa, bb, ab)
		}
		moveA, moveB := -(bb*da-ab*db)/determinant, -(aa*db-ab*da)/determinant
		gain := (da*moveA + db*moveB) / 2 // what a full step would gain on a parabola
		length := 1.0
		for ; length > 1e-9; length /= 2 {
			if next := f(a+length*moveA, b+length*moveB); next > here {
				a, b, here = a+length*moveA, b+length*moveB, next
				break
			}
		}
		if gain < 1e-6 || length <= 1e-9 {
			return a / b, -math.Log(b), nil
		}
	}
	return 0, 0, fmt.Errorf("outcome: days to the sign: no peak of the density found in 100 steps")
}

// centreQuantile returns the centre below which the share of the probability
// lies.
func centreQuantile(rows [][]cell, share float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, row := range rows {
		low, high = math.Min(low, row[0].centre), math.Max(high, row[len(row)-1].centre)
	}
	for range 50 {
		middle := (low + high) / 2
		var below float64
		for _, row := range rows {
			below += weightBelow(row, middle)
		}
		if below < share {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// weightBelow returns the weight of a row below a centre, each cell spread
// evenly over its width.
func weightBelow(row []cell, centre float64) float64 {
	width := row[1].centre - row[0].centre
	var below float64
	for _, c := range row {
		part := (centre-c.centre)/width + 0.5
		if part <= 0 {
			break
		}
		below += c.weight * math.Min(1, part)
	}
	return below
}
