package care

import (
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/course"
	"velamen/science/growth"
)

// Advice is what to do about a verdict: nearly always nothing.
type Advice struct {
	LeaveAlone bool      `json:"leave_alone"`
	Text       string    `json:"text"`
	Look       time.Time `json:"next_look"`
	Ladder     []Rung    `json:"ladder"` // from the mildest measure to the last
}

// Rung is one measure, and why it is advised now or not.
type Rung struct {
	Measure string    `json:"measure"`
	Advised bool      `json:"advised"`
	Why     string    `json:"why"`
	From    time.Time `json:"not_before,omitzero"`
}

// The measures, from the mildest to the last.
const (
	MoreHumidity  = "more humidity"
	MoreShade     = "more shade"
	AnotherPlace  = "another place"
	LessFeed      = "no feed for now"
	SpikeDecision = "the flower spike"
	LiftOnce      = "lift it once and look"
	RescueIt      = "rescue"
)

// Emergency is something that cannot wait, and what to do about it now.
type Emergency struct {
	Sign     SeenSign  `json:"sign"`
	Seen     time.Time `json:"seen"`
	Do       []string  `json:"do"`
	Cautions []string  `json:"cautions"`
}

// emergencySteps are what growers do at once; common practice, without any
// product or dose.
var emergencySteps = map[SeenSign][]string{
	SoftCrown: {
		"Tip the plant so that water runs out of the crown, and dry it with a twist of paper. Keep water off it from now on.",
		"Set it apart from other plants, in moving air and shade.",
		"Cut away all that is soft, back into firm pale tissue, with a fresh or flamed blade.",
		"Let the cuts dry in the open for a day or more before it is watered again, at the roots only.",
	},
	SpreadingRot: {
		"Set it apart from other plants, in moving air and shade.",
		"Cut back beyond the edge of the patch into firm pale tissue, with a fresh or flamed blade, and again if the cut shows brown.",
		"Let the cuts dry in the open for a day or more; keep leaves dry and do not mist.",
		"Look morning and evening until nothing has spread for a week.",
	},
	BadSmell: {
		"Lift the plant now: this is the one case in which the six weeks do not count.",
		"Wash the old medium off and cut away every hollow or mushy root, back to firm tissue, with a fresh or flamed blade.",
		"Let the cuts dry for some hours, then pot it into fresh medium in a pot no larger than the roots, and write down a repot.",
	},
}

func (j *judging) emergency(on time.Time) *Emergency {
	sign, there := j.danger(on)
	if !there {
		return nil
	}
	e := &Emergency{Sign: sign.Sign, Seen: sign.At, Do: emergencySteps[sign.Sign]}
	for _, situation := range []culture.Situation{culture.CuttingPlants, culture.UsingPesticide} {
		for _, c := range j.tables.Cautions(situation) {
			e.Cautions = append(e.Cautions, c.Text.Is)
		}
	}
	return e
}

// advice chooses from the ladder. How long it has gone on decides how far up.
func (j *judging) advice(e growth.Evidence, v Verdict, on time.Time) Advice {
	a := Advice{Look: j.nextLookAfter(on, v)}
	look := a.Look.Format("Monday 2 January")
	standing := v.Judged.Standing
	declines := standing == growth.Declining && v.Emergency == nil
	stalls := standing == growth.Stalled
	weeks := 0
	if declines || stalls {
		weeks = j.weeksOf(standing, on)
	}
	lifted, liftedDead := j.lifted(on)
	sixWeeks := j.s.date(int(course.RecoveryDays.Value))
	rung := func(measure string, advised bool, why string) {
		a.Ladder = append(a.Ladder, Rung{Measure: measure, Advised: advised, Why: why})
	}
	if declines {
		rung(MoreHumidity, true, "It loses more water than its roots bring: up to the humidity of its targets first, in moving air.")
	} else {
		rung(MoreHumidity, false, "Its losses are within what is normal.")
	}
	switch {
	case declines && (weeks >= 1 || e.Day <= course.SettlingDays.Value):
		rung(MoreShade, true, "A week of humid air has not stopped it: take more light off, down to its lowest targets.")
	case declines:
		rung(MoreShade, false, "After a week, if humidity has not stopped it.")
	default:
		rung(MoreShade, false, "Less light than its targets would only slow its roots.")
	}
	if place := j.placeTrouble(); place != "" && (declines || stalls) {
		rung(AnotherPlace, true, place)
	} else if place != "" {
		rung(AnotherPlace, false, place+" Worth a change if it stalls.")
	} else {
		rung(AnotherPlace, false, "Its place suits its group.")
	}
	if declines {
		rung(LessFeed, true, "Roots that do not take up leave the salt in the pot. Flush on; feed again once roots grow.")
	} else {
		rung(LessFeed, false, "The feed of its targets is weak already.")
	}
	switch {
	case !j.flowers(on):
		rung(SpikeDecision, false, "It carries no spike, as far as was said.")
	case declines || stalls:
		rung(SpikeDecision, true, "Its roots do not grow while it flowers: cutting is worth considering. Flowers draw on the same store, and no trial on repotted orchids was found; it is your choice.")
	default:
		rung(SpikeDecision, false, "Keeping or cutting it is your choice; nothing speaks for cutting now.")
	}
	loose := j.rocks(on)
	switch wait := stalls && weeks < 2 || declines && weeks < 2; {
	case lifted:
		rung(LiftOnce, false, "It was lifted since the repot: once is enough.")
	case !declines && !stalls && !loose:
		rung(LiftOnce, false, "Lifting tears the finest roots; nothing here asks for it.")
	case on.Before(sixWeeks):
		rung(LiftOnce, false, "Not before six weeks, unless rot is seen.")
		a.Ladder[len(a.Ladder)-1].From = sixWeeks
	case wait && !loose:
		rung(LiftOnce, false, "If two weeks more change nothing.")
		a.Ladder[len(a.Ladder)-1].From = on.AddDate(0, 0, (2-weeks)*int(course.StepDays.Value))
	default:
		rung(LiftOnce, true, "Six weeks are over and it still does not root: lift it once, gently, look, and write down what you find. Put it back the same day.")
	}
	switch {
	case liftedDead:
		rung(RescueIt, true, "Hardly a living root was found: cut the dead ones, pot it small into damp moss or above it, under a bag that is aired daily, in shade, and write down a repot as a rescue.")
	default:
		rung(RescueIt, false, "Only when a look at the roots finds hardly a living one.")
	}

	var now []string
	for _, r := range a.Ladder {
		if r.Advised {
			now = append(now, r.Measure)
		}
	}
	switch {
	case v.Emergency != nil:
		a.Text = "Act now. Nothing else counts until it is dry and firm again."
	case len(now) == 0:
		a.LeaveAlone = true
		a.Text = fmt.Sprintf("Leave it alone. Look again on %s.", look)
	case stalls && len(now) == 1 && now[0] == SpikeDecision:
		a.Text = fmt.Sprintf("Leave it alone but for its spike: %s Look again on %s.", a.Ladder[4].Why, look)
	case len(now) == 1 && now[0] == LiftOnce:
		a.Text = fmt.Sprintf("Lift it once, gently, and look at its roots; change nothing else. Look again on %s.", look)
	default:
		a.Text = fmt.Sprintf("Change this and nothing else: %s. Look again on %s.", joinWords(now), look)
	}
	return a
}

func joinWords(list []string) string {
	text := ""
	for i, one := range list {
		switch {
		case i == 0:
		case i == len(list)-1:
			text += " and "
		default:
			text += ", "
		}
		text += one
	}
	return text
}

// nextLookAfter is when a look is next worth it: the next reading, but at the
// latest in a fortnight, and soon where something is wrong.
func (j *judging) nextLookAfter(on time.Time, v Verdict) time.Time {
	week := int(course.StepDays.Value)
	latest := on.AddDate(0, 0, 2*week)
	switch {
	case v.Emergency != nil:
		return on.AddDate(0, 0, 1)
	case v.Judged.Standing == growth.Declining:
		latest = on.AddDate(0, 0, week)
	}
	if v.Next != nil && v.Next.On.Before(latest) {
		if v.Next.On.After(on) {
			return v.Next.On
		}
		return on
	}
	if next := j.s.nextLook(max(0, j.day(on)+1)); next.Before(latest) {
		return next
	}
	return latest
}

// weeksOf counts the weeks before a day on which the verdict was the same.
func (j *judging) weeksOf(standing growth.Standing, on time.Time) int {
	const enough = 4
	for n := range enough {
		e, _, err := j.evidence(on.AddDate(0, 0, -(n+1)*int(course.StepDays.Value)))
		if err != nil || e.Day < 0 || e.Judge().Standing != standing {
			return n
		}
	}
	return enough
}

// placeTrouble says what is wrong with the climate of the plant's space for its
// group, if anything is.
func (j *judging) placeTrouble() string {
	s := j.s
	switch {
	case s.usualPPFD.Value < s.lightFloor.Value:
		return "Its place is darker than roots need."
	case s.space.NightC.Value < s.group.NightC.Low-unusualC || s.space.DayC.Value < s.group.DayC.Low-unusualC:
		return "Its place is colder than its group is kept; roots are slow in the cold."
	case s.space.NightC.Value > s.group.NightC.High+unusualC || s.space.DayC.Value > s.group.DayC.High+unusualC:
		return "Its place is hotter than its group is kept."
	}
	return ""
}

// lifted reports whether the plant was lifted since its repot, and whether hardly
// a living root was found.
func (j *judging) lifted(on time.Time) (lifted, dead bool) {
	for _, sign := range j.p.Seen.Signs {
		if j.since(sign.At, on) && (sign.Sign == LiftedAlive || sign.Sign == LiftedDead) {
			lifted, dead = true, sign.Sign == LiftedDead
		}
	}
	return lifted, dead
}

// rocks reports whether the plant was lately seen to rock in its pot.
func (j *judging) rocks(on time.Time) bool {
	for _, sign := range j.p.Seen.Signs {
		if sign.Sign == RocksInPot && j.since(sign.At, on) && on.Sub(midnight(sign.At)).Hours()/24 <= growth.FreshDays.Value {
			return true
		}
	}
	return false
}

// stepsSoFar returns what became of the steps of a course up to a day, one for
// each week from the sixth on, from what was known at the end of that week, or
// of the day in the last. A review that says where the plant stands decides its
// week.
//
// so are those that are known of weeks that were over before a day, on which the
// journal was the same.
func (j *judging) stepsSoFar(on time.Time, so []course.Decision, before time.Time) ([]course.Decision, error) {
	on = midnight(on)
	week, first := int(course.StepDays.Value), int(course.RecoveryDays.Value)
	over := min(max(0, (j.day(midnight(before))-first)/week), len(so))
	list := slices.Clone(so[:over])
	if over > 0 && list[over-1] == course.Reached {
		return list, nil
	}
	for from := first + over*week; from <= j.day(on) && from < horizonDays; from += week {
		end := j.s.date(from + week - 1)
		if end.After(on) {
			end = on
		}
		e, _, err := j.evidence(end)
		if err != nil {
			return nil, err
		}
		judged := e.Judge()
		step := course.Held
		switch {
		case judged.TakesStepBack():
			step = course.DroppedBack
		case judged.EarnsStep(math.Max(0, e.Day)):
			step = course.Granted
		}
		if said, ok := j.reviewed(j.s.date(from), end); ok {
			step = said
		}
		list = append(list, step)
		if step == course.Reached {
			break
		}
	}
	return list, nil
}

// reviewed returns what the last review of some days decided.
func (j *judging) reviewed(from, to time.Time) (course.Decision, bool) {
	step, said := course.Held, false
	for _, r := range j.p.Seen.Reviews {
		if d := midnight(r.At); r.Stage == "" || d.Before(from) || d.After(to) {
			continue
		}
		said = true
		switch course.Stage(r.Stage) {
		case course.SteppingUp:
			step = course.Granted
		case course.Established:
			step = course.Reached
		default:
			step = course.Held
		}
	}
	return step, said
}

// Progress is what lists and rounds need to know of how a plant is doing.
type Progress struct {
	Steps     []course.Decision // of its course, from the sixth week on
	Standing  growth.Standing
	Emergency bool
}

// ProgressOf returns the progress of a plant up to a day. so may hold what this
// returned for an earlier day, before, from the same journal: weeks that were
// over then are not looked at again.
func ProgressOf(c Case, p *PlantState, tables culture.Table, on time.Time, so Progress, before time.Time) (Progress, error) {
	j, err := newJudging(c, p, tables)
	if err != nil {
		return Progress{}, err
	}
	e, _, err := j.evidence(midnight(on))
	if err != nil {
		return Progress{}, err
	}
	is := Progress{Standing: e.Judge().Standing, Emergency: e.Emergency}
	is.Steps, err = j.stepsSoFar(on, so.Steps, before)
	return is, err
}
