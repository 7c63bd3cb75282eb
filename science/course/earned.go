package course

import "fmt"

// Decision is what became of the step of one week.
type Decision uint8

const (
	// Open: not decided yet. A course reckons with it as a forecast.
	Open Decision = iota
	// Granted: growing roots were seen, and nothing wilted.
	Granted
	// Held: there was no proof of growing roots.
	Held
	// DroppedBack: the plant wilted or declined; the last step is taken back.
	DroppedBack
	// Reached: the grower says that the plant is established.
	Reached
)

// String returns the words shown to the grower.
func (d Decision) String() string {
	switch d {
	case Granted:
		return "earned"
	case Held:
		return "held"
	case DroppedBack:
		return "taken back"
	case Reached:
		return "established, by review"
	}
	return "to be earned"
}

// MarshalText writes the words.
func (d Decision) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads them.
func (d *Decision) UnmarshalText(text []byte) error {
	for one := Open; one <= Reached; one++ {
		if one.String() == string(text) {
			*d = one
			return nil
		}
	}
	return fmt.Errorf("course: %q is not what can become of a step", text)
}

// stair keeps the factors on the way up, so that a step can be taken back.
type stair struct {
	taken []float64 // factors before each step that was granted
	late  int       // days by which regrowth is behind the forecast
}

// next returns the factor of a week after the last one's, by what became of its
// step. A week without growing roots puts the supply forecast off by a week.
func (s *stair) next(factor, supply float64, d Decision) (next float64, decided Limit) {
	switch d {
	case Held:
		s.late += int(StepDays.Value)
		return factor, ByHeld
	case DroppedBack:
		s.late += int(StepDays.Value)
		if n := len(s.taken); n > 0 {
			factor = s.taken[n-1]
			s.taken = s.taken[:n-1]
		}
		return factor, ByDroppedBack
	case Reached:
		return 1, ByReview
	}
	next, decided = NextStep(factor, supply)
	if next > factor {
		s.taken = append(s.taken, factor)
	}
	return next, decided
}
