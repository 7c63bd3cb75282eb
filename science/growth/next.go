package growth

import "math"

// NextRule is what decided the day of the next reading.
type NextRule uint8

const (
	// FirstReading: there is nothing to build on yet.
	FirstReading NextRule = iota + 1
	// AnswerQuestion: a reading was set aside and the root must be looked at.
	AnswerQuestion
	// LikelySettles: on this day a reading is more likely than not to make the
	// root clearly growing or clearly stopped.
	LikelySettles
	// ChangeShows: by this day growth at the present rate, or at GrowingRate if
	// that is more, exceeds the smallest real change.
	ChangeShows
)

// String returns the words shown to the grower.
func (r NextRule) String() string {
	switch r {
	case FirstReading:
		return "first reading"
	case AnswerQuestion:
		return "a reading is in question"
	case LikelySettles:
		return "likely to settle it"
	case ChangeShows:
		return "growth would show by then"
	}
	return "no reading needed"
}

// NextReading is when a root is worth measuring again. It is zero for a root
// that rests or has lost its tip: there the tip is looked at, not the length.
type NextReading struct {
	Day  float64
	Rule NextRule
	// ChanceSettles is the probability that a reading on Day leaves the chance
	// of growth outside the unclear middle.
	ChanceSettles float64
}

// Next returns when the root is worth measuring again, with a reading like the
// last one: 3 to 28 days after that, but not before the day of the track.
//
// While the root is unclear it is the first whole day on which a reading will
// more likely than not settle it. The reading to come is not known, but what it
// will do to the belief is: the variance of the rate falls from P to a known
// p, and the rate itself moves by a normal step of variance P − p. So
//
//	chance = 1 − Φ((r₀ + z·√p − r)/√(P−p)) + Φ((r₀ − z·√p − r)/√(P−p)),
//
// r₀ the rate that counts as growing and Φ(z) = ClearChance: the preposterior
// analysis of Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961
// (from memory). When no day does it, and when all is clear, it is the day on
// which the change would show.
func (j Judge) Next(t Track) NextReading {
	switch {
	case t.Status == InQuestion:
		return NextReading{Day: t.Day, Rule: AnswerQuestion}
	case t.Status == Unread || t.Status == Followed && t.RateReadings == 0:
		return NextReading{Day: t.Day, Rule: FirstReading}
	case t.Status != Followed:
		return NextReading{}
	}
	from, errorVar := t.last()
	soonest := max(t.Day, from.Day+SoonestReadingDays.Value)
	latest := max(t.Day, from.Day+LatestReadingDays.Value)

	if chance := t.Now.ChanceFaster(GrowingRate.Value); t.RateReadings < 2 || !settled(chance) {
		for day := math.Ceil(soonest); day <= latest; day++ {
			if chance := j.chanceSettles(from, day, errorVar); chance >= 0.5 {
				return NextReading{Day: day, Rule: LikelySettles, ChanceSettles: chance}
			}
		}
	}
	rate := max(from.RateMMPerDay, GrowingRate.Value)
	shows := math.Ceil(from.Day + smallestChangeMM(errorVar, errorVar)/rate)
	day := min(max(shows, soonest), latest)
	return NextReading{Day: day, Rule: ChangeShows, ChanceSettles: j.chanceSettles(from, day, errorVar)}
}

// chanceSettles returns the probability that a reading on the given day will
// leave the chance of growth clear.
func (j Judge) chanceSettles(from Belief, day, errorVar float64) float64 {
	before := j.Trend.Ahead(from, day)
	after, _ := before.Read(before.LengthMM, errorVar)
	step := math.Sqrt(max(0, before.RateVar-after.RateVar))
	margin := normalQuantile(ClearChance.Value) * math.Sqrt(after.RateVar)
	if step == 0 {
		if settled(after.ChanceFaster(GrowingRate.Value)) {
			return 1
		}
		return 0
	}
	above := normalBelow((after.RateMMPerDay - GrowingRate.Value - margin) / step)
	below := normalBelow((GrowingRate.Value - margin - after.RateMMPerDay) / step)
	return above + below
}

// settled reports whether a chance of growth lies outside the unclear middle.
func settled(chance float64) bool {
	return chance >= ClearChance.Value || chance <= 1-ClearChance.Value
}
