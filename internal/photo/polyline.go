package photo

import "math"

// polyline is what the marks along a root come to, in pixels of the picture.
type polyline struct {
	straight float64 // length if the root runs straight from mark to mark
	arcs     float64 // length if it runs in arcs
	// bends is the standard error that marks inside the line add to its length,
	// if each of them is off by 1 px either way.
	bends float64
}

// pixels returns the length that is taken: the root may run straight or round
// between marks, so the middle.
func (l polyline) pixels() float64 { return (l.straight + l.arcs) / 2 }

// betweenError returns the standard error of that: of an even distribution
// between the two.
//
//	(arcs − straight)/√12   JCGM 100:2008, section 4.3.7 (from memory)
func (l polyline) betweenError() float64 { return (l.arcs - l.straight) / math.Sqrt(12) }

// measure adds up a line of marks. With c the length of a segment, φ the angle
// by which the root turns on it (half of the turns at its ends; all of the
// turn of its neighbour at the first and last segment, as on a circle), and θ the
// turn at a mark,
//
//	straight = Σ c
//	arcs     = Σ c·(φ/2)/sin(φ/2)     arc and chord
//	bends²   = Σ 2·(1 − cos θ)        law of propagation: ∂length/∂mark = u₁ − u₂, JCGM 100:2008, section 5.1.2 (from memory)
//
// u₁ and u₂ being the directions before and after the mark. A mark on a
// straight line adds nothing, one at which the root turns back counts twice.
func measure(marks []Point) polyline {
	var lengths, directions []float64
	for i := 1; i < len(marks); i++ {
		// Two marks on one spot have no direction.
		if c := distance(marks[i-1], marks[i]); c > 0 {
			lengths = append(lengths, c)
			directions = append(directions, math.Atan2(marks[i].Y-marks[i-1].Y, marks[i].X-marks[i-1].X))
		}
	}
	turn := func(mark int) float64 { // between segments mark−1 and mark
		return math.Abs(math.Remainder(directions[mark]-directions[mark-1], 2*math.Pi))
	}
	var l polyline
	var squares float64
	for i, c := range lengths {
		var phi, neighbours float64
		if i > 0 {
			phi += turn(i)
			neighbours++
			half := math.Sin(turn(i) / 2)
			squares += 4 * half * half
		}
		if i+1 < len(lengths) {
			phi += turn(i + 1)
			neighbours++
		}
		l.straight += c
		if phi == 0 {
			l.arcs += c
			continue
		}
		half := phi / neighbours / 2
		l.arcs += c * half / math.Sin(half)
	}
	l.bends = math.Sqrt(squares)
	return l
}

func distance(a, b Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }
