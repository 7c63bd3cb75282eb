package batch

import (
	"math"
	"slices"

	"velamen/science/water"
)

// Tools are what a mix is measured out with.
type Tools struct {
	ScaleG float64 // what the scale shows to, 0.001 to 100 g
	JugL   float64 // what the water is measured to, 0.001 to 10 L
}

// Weighed is a mix as it comes out when it is weighed and poured as finely as
// the tools allow.
type Weighed struct {
	WaterL []float64 // rounded
	Grams  []float64
	Always []float64
	Litres float64 // of them together

	Ions            water.Ions
	ECmS            float64
	ECLow, ECHigh   float64 // when each weighing is off by half of what the scale shows
	Goal            float64
	GoalLow         float64
	GoalHigh        float64
	Thin            []int // products of which so little is weighed that the scale is off by more than ThinShare
	ThinStrength    []Concentrate
	ThinAlways      []int
	ThinAlwaysStock []Concentrate
}

// ThinShare is the error of one weighing that is worth a dilution.
const ThinShare = 0.05

// Concentrate is a way to weigh little: dissolve Grams in a litre of water and
// measure ML of it.
type Concentrate struct{ Grams, ML float64 }

// PourL returns how much of water j is poured besides the concentrates, which
// are made up with the water there is most of and count as part of it.
func (w *Weighed) PourL(j int) float64 {
	litres := w.WaterL[j]
	if j == largestOf(w.WaterL) {
		for _, stocks := range [][]Concentrate{w.ThinStrength, w.ThinAlwaysStock} {
			for _, c := range stocks {
				litres -= c.ML / 1000
			}
		}
	}
	return litres
}

// Weigh returns the mix as it comes out with the tools. What is weighed is
// rounded to the nearest the scale can show; a product that is in the mix at all
// stays in it. The largest water takes what rounding the others leaves.
func (r *Request) Weigh(m Mix, t Tools) (Weighed, error) {
	if !(t.ScaleG >= 0.001 && t.ScaleG <= 100) {
		return Weighed{}, &water.RangeError{Chapter: "water", Quantity: "what the scale shows to", Value: t.ScaleG, Low: 0.001, High: 100, Unit: "g"}
	}
	if !(t.JugL >= 0.001 && t.JugL <= 10) {
		return Weighed{}, &water.RangeError{Chapter: "water", Quantity: "what water is measured to", Value: t.JugL, Low: 0.001, High: 10, Unit: "L"}
	}
	w := Weighed{WaterL: slices.Clone(m.WaterL), Grams: slices.Clone(m.Grams), Always: slices.Clone(m.Always)}
	t.pour(&w)
	// All concentrates together are at most half of the water that they are made
	// up with.
	most, products := 1000*slices.Max(w.WaterL)/2, 0
	for _, g := range slices.Concat(w.Grams, w.Always) {
		if g > 0 {
			products++
		}
	}
	thin := func(grams []float64, into *[]int, how *[]Concentrate) {
		for i, exact := range grams {
			if exact == 0 {
				continue
			}
			grams[i] = roundTo(exact, t.ScaleG)
			if exact < t.ScaleG/2/ThinShare {
				*into, *how = append(*into, i), append(*how, t.dilute(exact, most/float64(products)))
				grams[i] = exact // by the millilitre it comes out as it should
			}
		}
	}
	thin(w.Grams, &w.Thin, &w.ThinStrength)
	thin(w.Always, &w.ThinAlways, &w.ThinAlwaysStock)
	var err error
	if w.Ions, w.ECmS, w.Goal, err = r.comes(&w, m.Acid, 0); err != nil {
		return w, err
	}
	half := t.ScaleG / 2
	if _, w.ECLow, w.GoalLow, err = r.comes(&w, m.Acid, -half); err != nil {
		return w, err
	}
	_, w.ECHigh, w.GoalHigh, err = r.comes(&w, m.Acid, half)
	return w, err
}

// pour rounds the waters; the largest takes up the rest.
func (t Tools) pour(w *Weighed) {
	largest, sum, rounded := largestOf(w.WaterL), 0.0, 0.0
	for _, l := range w.WaterL {
		sum += l
	}
	for j, l := range w.WaterL {
		if j != largest {
			w.WaterL[j] = roundTo(l, t.JugL)
			rounded += w.WaterL[j]
		}
	}
	w.WaterL[largest] = math.Max(0, sum-rounded)
	w.Litres = sum
}

// largestOf returns the first of the waters of which there is most.
func largestOf(litres []float64) int { return slices.Index(litres, slices.Max(litres)) }

func roundTo(x, step float64) float64 {
	n := math.Round(x / step)
	if n == 0 && x > 0 {
		n = 1
	}
	// Steps of 0.1 and the like have no exact form: divide rather than multiply.
	if inverse := math.Round(1 / step); math.Abs(inverse*step-1) < 1e-9 {
		return n / inverse
	}
	return n * step
}

// comes is what the weighed amounts, each off by some grams, make.
func (r *Request) comes(w *Weighed, acid *water.AcidDose, off float64) (c water.Ions, ec, goal float64, err error) {
	for j, l := range w.WaterL {
		c = c.Plus(times(r.Waters[j].Ions, l/w.Litres))
	}
	add := func(grams []float64, thin []int, per func(int) *water.Ions) {
		for i, g := range grams {
			if g == 0 {
				continue
			}
			if !slices.Contains(thin, i) {
				g = math.Max(0, g+off)
			}
			c = c.Plus(times(*per(i), g/w.Litres))
		}
	}
	add(w.Grams, w.Thin, func(i int) *water.Ions { return &r.Products[i].PerGram })
	add(w.Always, w.ThinAlways, func(i int) *water.Ions { return &r.Always[i].Product.PerGram })
	if acid != nil {
		per := times(r.Acid.Anions, 1/r.Acid.EqPerMole)
		per[water.HCO3]--
		c = c.Plus(times(per, acid.MeqPerL))
	}
	for i := range c {
		c[i] = math.Max(0, c[i])
	}
	ec, err = c.ECmS()
	return c, ec, r.Goal.of(&c), err
}

// dilute finds round grams for a litre of concentrate, of which a measurable
// part, at most so many millilitres, holds what is wanted.
func (t Tools) dilute(grams, mostML float64) Concentrate {
	least := math.Max(10*t.ScaleG, 1000*grams/math.Min(mostML, 500)) // weighed to 5 %, and less than all of it used
	size := math.Pow10(int(math.Floor(math.Log10(least))))
	for _, step := range []float64{1, 2, 5, 10} {
		if whole := step * size; whole >= least*(1-1e-9) {
			return Concentrate{Grams: whole, ML: 1000 * grams / whole}
		}
	}
	return Concentrate{Grams: 10 * size, ML: 100 * grams / size}
}
