package pest

import (
	"fmt"
	"time"
)

// Sighting is the result of one check of a plant.
type Sighting struct {
	Day   time.Time
	Found bool // anything alive
}

// Clearance says whether the watch over a plant may end, and how far it is.
type Clearance struct {
	Cleared bool
	// CleanChecks is how many checks in a row, the latest among them, were
	// clean.
	CleanChecks int
	// GatheredDegreeDays (°C·d) lie between the first and the last of them;
	// NeededDegreeDays is one generation.
	GatheredDegreeDays, NeededDegreeDays float64
}

// Cleared judges checks in order of their days. The watch ends only after two
// clean checks in a row that span one generation (assumption): a check earlier
// than that may have been clean because what was left sat in eggs. The
// generation is taken at the slow end of its range. The record must reach from
// the first clean check to the last; a day without a temperature is an error.
func Cleared(checks []Sighting, generation Stage, record Temperatures) (Clearance, error) {
	if err := generation.Check(); err != nil {
		return Clearance{}, fmt.Errorf("judging the checks: %w", err)
	}
	firstClean := 0
	for i, check := range checks {
		if i > 0 && check.Day.Before(checks[i-1].Day) {
			return Clearance{}, fmt.Errorf("pest: check of %s comes after that of %s; give checks in order",
				check.Day.Format(time.DateOnly), checks[i-1].Day.Format(time.DateOnly))
		}
		if check.Found {
			firstClean = i + 1
		}
	}
	clean := checks[firstClean:]
	th, needed := generation.at(slow)
	c := Clearance{CleanChecks: len(clean), NeededDegreeDays: needed}
	if len(clean) < int(cleanChecks.Value) {
		return c, nil
	}
	if err := record.check(); err != nil {
		return Clearance{}, fmt.Errorf("judging the checks: %w", err)
	}
	first := dayNumber(record.Start, clean[0].Day)
	last := dayNumber(record.Start, clean[len(clean)-1].Day)
	if first < 0 || last > record.days() {
		return Clearance{}, fmt.Errorf("pest: temperatures cover %d days from %s, not all days from %s to %s",
			record.days(), record.Start.Format(time.DateOnly), clean[0].Day.Format(time.DateOnly), clean[len(clean)-1].Day.Format(time.DateOnly))
	}
	sums := record.warmth(th).byMorning
	c.GatheredDegreeDays = sums[last] - sums[first]
	c.Cleared = c.GatheredDegreeDays >= needed*(1-roundingShare)
	return c, nil
}
