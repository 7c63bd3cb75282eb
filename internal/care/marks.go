package care

import (
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/pest"
)

// Mark is a day that matters in a course.
type Mark struct {
	Name    string    `json:"name"`
	Date    time.Time `json:"date"`
	Day     int       `json:"day"`
	What    string    `json:"what"`           // to do or to expect
	Task    Task      `json:"task,omitempty"` // the job it becomes on its day
	Because *Because  `json:"because,omitempty"`
	// Latest is set on looks for pests that a watch asks for: the last day on
	// which a survivor cannot have laid yet.
	Latest time.Time `json:"latest,omitzero"`
}

// FirstRootMark names the day about which a first root is expected; the first
// input of its because is the days it takes.
const FirstRootMark = "first root"

// marks returns the days that matter, in order.
func (s *subject) marks(on time.Time) ([]Mark, error) {
	mark := func(name string, day int, what string, because Because) Mark {
		return Mark{Name: name, Date: s.date(day), Day: day, What: what, Because: &because}
	}
	first, _ := s.rootTimes()
	expected := "a first new root tip is expected about now, between day %.0f and %.0f"
	if s.plant.Repot.LiveRootTips.Value > 0 {
		expected = "the root tips seen at the repot should lengthen again about now, between day %.0f and %.0f"
	}
	marks := []Mark{
		mark("root look", int(s.nextLook(max(0, int(on.Sub(s.plant.Repot.Date).Hours()/24))).Sub(s.plant.Repot.Date).Hours()/24),
			"mark two or three root tips and measure them; weekly is often enough", Because{
				Rule: "a week's growth is the smallest that a ruler can tell from its own error", Inputs: []Input{{"look every", course.StepDays}},
			}),
		mark(FirstRootMark, int(math.Round(first.Value)), fmt.Sprintf(expected, first.Low, first.High), Because{
			Rule: "median of the group until this collection has a record of its own", Inputs: []Input{{"days to a first new tip", first}},
		}),
		task(Review, mark("review", int(course.RecoveryDays.Value), "are roots growing? If so, start stepping up; if not, stay as you are and look again in a week", Because{
			Rule: "six weeks of turned-down care, then steps that growing roots have earned", Inputs: []Input{{"six weeks", course.RecoveryDays}},
		})),
		task(Review, mark("six months", int(course.SixMonthsDays.Value), "not re-established yet is still normal, if it is not declining", Because{
			Rule: "half a year to a year of patience", Inputs: []Input{{"six months", course.SixMonthsDays}},
		})),
		task(Review, mark("one year", int(course.OneYearDays.Value), "time for a review: the slow ones are done by now", Because{
			Rule: "half a year to a year of patience", Inputs: []Input{{"one year", course.OneYearDays}},
		})),
	}
	looks, err := s.pestLooks()
	if err != nil {
		return nil, err
	}
	marks = append(marks, looks...)
	slices.SortStableFunc(marks, func(a, b Mark) int { return a.Day - b.Day })
	return marks, nil
}

func task(t Task, m Mark) Mark {
	m.Task = t
	return m
}

// latestPestLook is the latest day of the first look for pests.
var latestPestLook = basis.Exactly(14, "days", basis.CommonPractice, "")

// pestLooks returns the first look for each pest seen at the repot, or one
// general look when none was, or nothing but harmless animals.
func (s *subject) pestLooks() ([]Mark, error) {
	var marks []Mark
	var seen []string
	for _, name := range s.plant.Repot.Pests {
		animal, err := s.tables.Pest(name)
		if err != nil {
			return nil, err
		}
		if animal.Harmless || slices.Contains(seen, animal.Key) {
			continue
		}
		seen = append(seen, animal.Key)
		day, because := s.firstRecheck(animal)
		marks = append(marks, Mark{Name: "pest look, " + animal.Name, Task: LookForPests, Date: s.date(day), Day: day, What: animal.Where.Is, Because: &because})
	}
	if len(marks) > 0 {
		return marks, nil
	}
	day := int(latestPestLook.Value)
	return []Mark{{
		Name: "pest look", Task: LookForPests, Date: s.date(day), Day: day,
		What:    generalLookAt,
		Because: &Because{Rule: "what survived as eggs has hatched by then; no pest was seen at the repot", Inputs: []Input{{"at the latest", latestPestLook}}},
	}}, nil
}

// firstRecheck returns the day after the repot on which survivors of a pest
// have hatched but not laid yet, at the space's mean temperature; never later
// than two weeks.
func (s *subject) firstRecheck(animal culture.Pest) (int, Because) {
	mean := s.meanC()
	latest := int(latestPestLook.Value)
	because := Because{Inputs: []Input{
		{"mean temperature of the space", basis.Value{Value: mean, Low: mean - 2, High: mean + 2, Unit: "°C", Grade: basis.Weakest(s.space.DayC.Grade, s.space.NightC.Grade)}},
		{"at the latest", latestPestLook},
	}}
	if cycle, ok := lifeCycle(animal); ok {
		days := make([]float64, 60)
		for i := range days {
			days[i] = mean
		}
		plan, err := pest.AfterTreatment(cycle, pest.Temperatures{Start: s.plant.Repot.Date, MeanC: days})
		if err == nil && !plan.Paused && len(plan.Passes) > 0 {
			because.Rule = "degree-days since the repot reach 1.1 times what the eggs need, before survivors lay"
			because.Inputs = append(because.Inputs, Input{"degree-days of the egg", cycle.Egg.DegreeDays}, Input{"degree-days of a generation", cycle.Generation.DegreeDays})
			due := int(math.Round(plan.Passes[0].Due.Sub(s.plant.Repot.Date).Hours() / 24))
			return min(max(due, 1), latest), because
		}
	}
	if animal.Schedule.Known {
		band := daysAt(animal.Schedule.FirstRecheck, mean)
		because.Rule = "first look back, between the days known for 15, 20 and 25 °C"
		because.Inputs = append(because.Inputs, Input{"days for " + animal.Name, band})
		return min(max(1, int(math.Round(band.Value))), latest), because
	}
	because.Rule = "nothing is known of its pace: the general look"
	return latest, because
}

// meanC is the mean of a typical day.
func (s *subject) meanC() float64 {
	lit := s.lighting.Hours / 24
	return lit*s.space.DayC.Value + (1-lit)*s.space.NightC.Value
}

// lifeCycle returns the stages of a pest as degree-days, where both the egg and
// the generation are known.
func lifeCycle(animal culture.Pest) (pest.LifeCycle, bool) {
	var c pest.LifeCycle
	for _, stage := range animal.Stages {
		if !stage.ThresholdC.Known || !stage.ConstantDD.Known {
			continue
		}
		one := pest.Stage{LowerC: stage.ThresholdC.Value, DegreeDays: stage.ConstantDD.Value}
		if stage.UpperC.Known {
			one.UpperC = stage.UpperC.Value
		}
		switch stage.Name {
		case "egg":
			c.Egg = one
		case "generation":
			c.Generation = one
		}
	}
	return c, c.Egg.DegreeDays.Grade != 0 && c.Generation.DegreeDays.Grade != 0
}

// daysAt reads a schedule at a temperature between the three it is known for;
// outside them the nearest counts.
func daysAt(t culture.ByTemperature, meanC float64) basis.Value {
	cold, mild, warm := t.At15C.Value(), t.At20C.Value(), t.At25C.Value()
	low, high, share := cold, mild, (meanC-15)/5
	if meanC > 20 {
		low, high, share = mild, warm, (meanC-20)/5
	}
	share = math.Max(0, math.Min(1, share))
	mix := func(a, b float64) float64 { return a + share*(b-a) }
	return basis.Value{
		Value: mix(low.Value, high.Value), Low: mix(low.Low, high.Low), High: mix(low.High, high.High),
		Unit: "days", Grade: basis.Weakest(low.Grade, high.Grade), Source: low.Source,
	}
}
