package basis

import "math"

// At returns the figure that the share u (0 to 1) of all possible ones lies
// below, when the range is read as a triangle: certain ends, and the central
// value the likeliest. It is how an ensemble draws a figure of which nothing is
// known but low, value and high. u outside 0 to 1 counts as the nearer end.
//
//	F⁻¹(u) = low + √(u·(high−low)·(value−low)) below the peak, mirrored above it
func (v Value) At(u float64) float64 {
	span := v.High - v.Low
	if !(span > 0) {
		return v.Value
	}
	u = math.Min(1, math.Max(0, u))
	peak := (v.Value - v.Low) / span
	if u < peak {
		return v.Low + math.Sqrt(u*span*(v.Value-v.Low))
	}
	return v.High - math.Sqrt((1-u)*span*(v.High-v.Value))
}

// Chance is a stream of random numbers that is the same for the same seed, on
// every machine. The zero Chance is a stream like any other.
//
// It is the generator of Steele, Lea and Flood 2014, "Fast splittable
// pseudorandom number generators", OOPSLA, doi 10.1145/2660193.2660195; its
// constants are from memory, and its numbers are checked for their moments.
// It is good enough for drawing ensembles and for nothing secret.
type Chance uint64

// ChanceOf returns a stream for a name, such as the id of a plant: the FNV-1a
// hash of its bytes is the seed.
func ChanceOf(name string) Chance {
	hash := uint64(14695981039346656037)
	for i := range len(name) {
		hash = (hash ^ uint64(name[i])) * 1099511628211
	}
	return Chance(hash)
}

// Next returns the next number, evenly spread over 0 to 1 without the ends.
func (c *Chance) Next() float64 {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return (float64(z>>11) + 0.5) / (1 << 53)
}

// Below returns a whole number from 0 to n−1.
func (c *Chance) Below(n int) int { return min(n-1, int(c.Next()*float64(n))) }

// Normal returns a number from the standard normal distribution (Box and
// Muller 1958).
func (c *Chance) Normal() float64 {
	radius := math.Sqrt(-2 * math.Log(c.Next()))
	return radius * math.Cos(2*math.Pi*c.Next())
}
