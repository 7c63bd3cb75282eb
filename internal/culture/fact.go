package culture

import (
	"fmt"

	"velamen/science/basis"
)

// Fact is something known that is not a measured quantity: a class, a count on
// a scale, a few words. Source is empty only for assumptions, common practice
// and what the grower gave.
type Fact[T any] struct {
	Is     T           `json:"is"`
	Grade  basis.Grade `json:"basis"`
	Source string      `json:"source,omitempty"`
}

// Band is a range in which plants of a group do well, or an interval of days.
// Its ends are figures to act on, not the uncertainty of one figure in
// between.
type Band struct {
	Low    float64     `json:"low"`
	High   float64     `json:"high"`
	Unit   string      `json:"unit"`
	Grade  basis.Grade `json:"basis"`
	Source string      `json:"source,omitempty"`
}

// Value returns the middle of the band, with the band as its range.
func (b Band) Value() basis.Value {
	return basis.Value{
		Value: b.Low + (b.High-b.Low)/2, Low: b.Low, High: b.High,
		Unit: b.Unit, Grade: b.Grade, Source: b.Source,
	}
}

// Optional is a figure that is known for some rows only. When Known is false
// the Value is empty and must not be used.
type Optional struct {
	Value basis.Value `json:"value"`
	Known bool        `json:"known"`
}

// Interval is how often a group is repotted, in years. Open means "HighYears
// is only the shortest": three or more. Never means that the plant is not
// repotted at all; the years are then zero.
type Interval struct {
	LowYears  float64     `json:"low_years"`
	HighYears float64     `json:"high_years"`
	Open      bool        `json:"open"`
	Never     bool        `json:"never"`
	Grade     basis.Grade `json:"basis"`
	Source    string      `json:"source,omitempty"`
}

// Division is the smallest piece worth dividing off. Possible is false for
// plants with a single stem; Fewest is then empty.
type Division struct {
	Possible bool        `json:"possible"`
	Fewest   basis.Value `json:"fewest"`
}

// Prior is what is expected of a delay before this collection has its own
// record: a log-normal with the median in Value and the 10 % and 90 % points in
// Low and High, in days after the repot.
type Prior struct {
	Days basis.Value `json:"days"`
}

// Recovery is how long a repotted plant of a group may take, with at least
// three living roots and in its warm season, and how much longer when it was
// disturbed out of season.
type Recovery struct {
	FirstRoot              Prior `json:"first_root"`
	Reestablished          Prior `json:"reestablished"`
	FirstRootOffSeason     Prior `json:"first_root_off_season"`
	ReestablishedOffSeason Prior `json:"reestablished_off_season"`
}

func (i Interval) String() string {
	switch {
	case i.Never:
		return "never"
	case i.Open:
		return number(i.LowYears) + " or more"
	}
	return span(i.LowYears, i.HighYears)
}

func (d Division) String() string {
	if !d.Possible {
		return "none"
	}
	return fmt.Sprintf("%s %s", span(d.Fewest.Low, d.Fewest.High), d.Fewest.Unit)
}
