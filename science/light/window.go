package light

import (
	"math"

	"velamen/science/basis"
)

// lightLevel is a row of the extension service's table of windows.
type lightLevel uint8

const (
	belowLow lightLevel = iota // further in than the table reaches
	lowLight
	mediumLight
	highLight
	directLight
)

var facingNames = [][]string{
	{"north", "n"}, {"north-east", "northeast", "ne"}, {"east", "e"}, {"south-east", "southeast", "se"},
	{"south", "s"}, {"south-west", "southwest", "sw"}, {"west", "w"}, {"north-west", "northwest", "nw"},
}

// ParseFacing reads one of the eight directions ("NE", "south") as degrees
// clockwise from north. The error for an unknown one lists the known.
func ParseFacing(text string) (float64, error) {
	i, err := matchName("direction", text, facingNames)
	return float64(i) * 45, err
}

const tropicDeg = 23.44

// WindowPrior estimates the bright-day peak PPFD, µmol m⁻² s⁻¹, of a place
// indoors at a distance (0 to 10 m) from an unshaded, uncurtained window that
// faces a direction (degrees clockwise from north), at a latitude.
//
// It reads a table for the northern hemisphere and swaps north and south in
// the southern. The four directions between take the geometric mean of their
// neighbours and the range of both; inside the tropics, where the sun stands
// on either side in its season, windows to north and south take the range of
// both. Sources differ five to one, so take it as what to expect before the
// first reading, and Calibrate as soon as there is one.
func WindowPrior(latDeg, facingDeg, distanceM float64) (basis.Value, error) {
	if err := checkLatitude(latDeg); err != nil {
		return basis.Value{}, err
	}
	if err := within("direction faced", facingDeg, 0, 360, "°"); err != nil {
		return basis.Value{}, err
	}
	if err := within("distance from the window", distanceM, 0, 10, "m"); err != nil {
		return basis.Value{}, err
	}
	fc := windowBetween(latDeg, facingDeg, distanceM)
	ppfd := func(in []float64) float64 { return in[0] * luxPerFootCandle / in[1] }
	low, high := basis.Spread(ppfd, fc, luxPerPPFD[Sun])
	return basis.Value{
		Value: ppfd([]float64{fc.Value, luxPerPPFD[Sun].Value}),
		// The spread may reach below zero for so wide a range.
		Low: math.Max(low, fc.Low*luxPerFootCandle/luxPerPPFD[Sun].High), High: high, Unit: "µmol m⁻² s⁻¹",
		Grade: basis.Weakest(fc.Grade, luxPerPPFD[Sun].Grade), Source: fc.Source,
	}, nil
}

func windowBetween(latDeg, facingDeg, distanceM float64) basis.Value {
	sector := int(math.Round(facingDeg/45)) % 8
	if sector%2 == 0 {
		return windowTowards(latDeg, sector, distanceM)
	}
	a, b := windowTowards(latDeg, sector-1, distanceM), windowTowards(latDeg, (sector+1)%8, distanceM)
	mean := a
	mean.Value = math.Sqrt(a.Value * b.Value)
	mean.Low, mean.High = math.Min(a.Low, b.Low), math.Max(a.High, b.High)
	mean.Grade = basis.Assumption // the table has no such row
	return mean
}

// windowTowards takes one of the sectors 0 north, 2 east, 4 south, 6 west.
func windowTowards(latDeg float64, sector int, distanceM float64) basis.Value {
	if sector == 2 || sector == 6 {
		return windowFC[eastWestLevel(distanceM)]
	}
	sunny, shady := windowFC[sunnyLevel(distanceM)], windowFC[shadyLevel(distanceM)]
	v := shady
	if (sector == 4) == (latDeg >= 0) {
		v = sunny
	}
	if math.Abs(latDeg) < tropicDeg {
		v.Low, v.High = shady.Low, sunny.High
		v.Grade = basis.Assumption
	}
	return v
}

// The table's distances in metres, rounded up to the centimetre. It leaves "at the window" and "a few feet"
// open, read here as up to 1 ft and 3 ft, and gaps between its rows go to the
// nearer row.
const (
	atWindowM = 0.31
	threeFtM  = 0.92
	fiveFtM   = 1.53
	tenFtM    = 3.05
	twentyFtM = 6.10
)

func sunnyLevel(distanceM float64) lightLevel {
	switch {
	case distanceM <= atWindowM:
		return directLight
	case distanceM <= fiveFtM:
		return highLight
	case distanceM <= tenFtM:
		return mediumLight
	case distanceM <= twentyFtM:
		return lowLight
	}
	return belowLow
}

func eastWestLevel(distanceM float64) lightLevel {
	switch {
	case distanceM <= atWindowM:
		return highLight
	case distanceM <= threeFtM:
		return mediumLight
	case distanceM <= tenFtM:
		return lowLight
	}
	return belowLow
}

func shadyLevel(distanceM float64) lightLevel {
	switch {
	case distanceM <= atWindowM:
		return mediumLight
	case distanceM <= threeFtM:
		return lowLight
	}
	return belowLow
}
