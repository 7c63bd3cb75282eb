package care

import (
	"fmt"
	"math"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/leaf"
)

// Course is the recovery of one plant: where it stands on a day, what to aim
// for now and in the weeks to come, and why.
type Course struct {
	Label string       `json:"label"`
	Name  string       `json:"name,omitempty"`
	Group string       `json:"group"`
	Space string       `json:"space"`
	Work  Work         `json:"work"`
	Home  string       `json:"home"`
	From  string       `json:"from"`
	Repot time.Time    `json:"repotted_on"`
	On    time.Time    `json:"on"`
	Day   int          `json:"day"` // since the repot; negative before it
	Stage course.Stage `json:"stage"`

	// Verdict is what its journal says of it; nil without a journal.
	Verdict *Verdict `json:"verdict,omitempty"`

	Supply    Figure `json:"supply"`    // lowest of the first six weeks, share of the usual loss
	TurnDown  Figure `json:"turn_down"` // chosen for this week
	Model     Figure `json:"model_turn_down"`
	Intensive bool   `json:"intensive_care"`
	Advice    string `json:"advice"`

	Usual Usual   `json:"usual"`
	Now   Targets `json:"now"`
	Flush Flush   `json:"flush"`
	Weeks []Week  `json:"weeks"`

	// The next flush and the next feed from On on, today included, counted from
	// the repot as if every one had been kept; a journal knows better.
	NextFlush time.Time `json:"next_flush"`
	NextFeed  time.Time `json:"next_feed"`

	Marks []Mark `json:"marks"`

	Patience Figure `json:"patience"` // days without any root until three tenths of the stored water is gone

	Normal    []Sign   `json:"normal_now"`
	Watch     []Sign   `json:"watch_for"`
	NotNormal []Sign   `json:"not_normal"`
	Cautions  []string `json:"cautions"`
	Warnings  []string `json:"warnings,omitempty"`

	Assumed []Assumed `json:"assumed"`
	Learned *Learned  `json:"learned,omitempty"` // from readings of its pot

	LuxPerPPFD float64 `json:"lux_per_ppfd"` // of the plant's light, for showing lux and foot-candles
}

// Usual is the care before the repot.
type Usual struct {
	FeedGramsPerLitre basis.Value `json:"feed_g_per_l,omitzero"`
	FeedPpmN          basis.Value `json:"feed_ppm_n,omitzero"`
	FeedECmS          basis.Value `json:"feed_ec"`
	FeedEvery         basis.Value `json:"feed_every"`
	Feed              string      `json:"feed,omitempty"` // name of the feed, empty when nothing is known of it
	FeedWater         string      `json:"feed_water"`     // name of the water it is dissolved in
	LightPPFD         basis.Value `json:"light_ppfd"`
	LightDLI          basis.Value `json:"light_dli"`
	DayC              basis.Value `json:"day"`
	NightC            basis.Value `json:"night"`
	DayRHPercent      basis.Value `json:"day_humidity"`
	NightRHPercent    basis.Value `json:"night_humidity"`
	Air               AirMovement `json:"air"`
	WaterEvery        basis.Value `json:"water_every"`
	LossGM2           float64     `json:"leaf_loss_g_per_m2_day"`
}

// Week is one week of a course.
type Week struct {
	FromDay int          `json:"from_day"`
	ToDay   int          `json:"to_day"`
	From    time.Time    `json:"from"`
	To      time.Time    `json:"to"`
	Stage   course.Stage `json:"stage"`
	Supply  float64      `json:"supply"`
	Targets Targets      `json:"targets"`
	Flush   Flush        `json:"flush"`
	Earned  bool         `json:"to_be_earned"` // given only if growing roots were seen
	// Step is what became of it, as far as a journal says: to be earned while it
	// is a forecast.
	Step course.Decision `json:"step,omitempty"`
}

// Sign is something that may be seen, with where the knowledge comes from.
type Sign struct {
	Text   string      `json:"text"`
	Basis  basis.Grade `json:"basis"`
	Source string      `json:"source,omitempty"`
}

// horizonDays is as far as a course is laid out.
const horizonDays = 371 // 53 weeks: past the one-year mark

// NewCourse works out the course of one plant of a case as it stands on a day.
func NewCourse(c Case, p Plant, tables culture.Table, on time.Time) (Course, error) {
	return NewLearnedCourse(c, p, tables, nil, on)
}

// NewLearnedCourse works out the course of a plant of whose pot something was
// learned; l may be nil.
func NewLearnedCourse(c Case, p Plant, tables culture.Table, l *Learned, on time.Time) (Course, error) {
	s, err := settle(c, p, tables)
	if err != nil {
		return Course{}, err
	}
	s.knows = l
	out, err := s.course(on, nil)
	if err != nil {
		return Course{}, fmt.Errorf("plant %s: %w", p.Label, err)
	}
	return out, nil
}

// FollowCourse works out the course of a plant of a collection as it stands on a
// day: its steps are granted, held and taken back by what its journal says up to
// the end of the day known; later ones are a forecast.
func FollowCourse(c Case, p *PlantState, tables culture.Table, on, known time.Time) (Course, error) {
	return FollowLearnedCourse(c, p, tables, nil, on, known)
}

// FollowLearnedCourse is FollowCourse for a plant of whose pot something was
// learned; l may be nil.
func FollowLearnedCourse(c Case, p *PlantState, tables culture.Table, l *Learned, on, known time.Time) (Course, error) {
	if known.After(on) {
		known = on
	}
	j, err := newJudging(c, p, tables)
	if err != nil {
		return Course{}, err
	}
	j.s.knows = l
	so, err := j.stepsSoFar(known, nil, time.Time{})
	if err != nil {
		return Course{}, fmt.Errorf("plant %s: %w", p.Record.Label, err)
	}
	out, err := j.s.course(on, so)
	if err != nil {
		return Course{}, fmt.Errorf("plant %s: %w", p.Record.Label, err)
	}
	return out, j.follow(&out, known)
}

// follow adds the verdict to a course, and lets it speak in the advice.
func (j *judging) follow(c *Course, on time.Time) error {
	if c.Day < 0 {
		return nil
	}
	v, err := j.verdict(on)
	if err != nil {
		return fmt.Errorf("plant %s: %w", c.Label, err)
	}
	c.Verdict = &v
	switch {
	case v.Emergency != nil:
		c.Advice = v.Advice.Text
	case c.Intensive && c.Stage != course.Established: // its words on shelter stay
	case c.Stage == course.Established && v.Advice.LeaveAlone:
	default:
		c.Advice = v.Advice.Text
		if step := c.Weeks[weekOf(c.Day, len(c.Weeks))].Step; c.Stage == course.SteppingUp {
			c.Advice += " " + stepWords[step]
		}
	}
	return nil
}

// stepWords say what became of the step of the present week.
var stepWords = map[course.Decision]string{
	course.Granted:     "The step of this week is earned: its roots grow.",
	course.Held:        "The step of this week is held until its roots are known to grow.",
	course.DroppedBack: "The last step is taken back until it is firm again.",
	course.Reached:     "Your review says that it is established.",
}

func (s *subject) course(on time.Time, so []course.Decision) (Course, error) {
	t, err := s.newTranspiration()
	if err != nil {
		return Course{}, err
	}
	usual, err := s.usualStrength()
	if err != nil {
		return Course{}, err
	}
	a := &aim{s: s, t: t, usual: usual}
	watering, err := s.watering(a)
	if err != nil {
		return Course{}, err
	}
	steps := course.Steps(a.supply, horizonDays, so...)
	a.weekly = make([]basis.Value, 0, len(steps))
	for _, step := range steps {
		a.weekly = append(a.weekly, a.lowest(step.FromDay-step.Late, step.ToDay-step.Late))
	}
	low, high := a.factors(steps, so)

	out := s.heading(on, usual, t)
	out.Weeks = make([]Week, 0, len(steps))
	for i, step := range steps {
		targets, err := a.week(step, low[i], high[i])
		if err != nil {
			return Course{}, err
		}
		flush := watering.on(step.FromDay)
		if step.Stage == course.Established {
			flush = s.usualWaterings(flush)
		}
		out.Weeks = append(out.Weeks, Week{
			FromDay: step.FromDay, ToDay: step.ToDay,
			From: s.date(step.FromDay), To: s.date(step.ToDay),
			Stage: step.Stage, Supply: step.Supply, Targets: targets,
			Flush: flush, Earned: step.FromDay >= int(course.RecoveryDays.Value), Step: step.Decision,
		})
	}
	current := weekOf(out.Day, len(out.Weeks))
	week, step := out.Weeks[current], steps[current]
	out.Stage, out.Now, out.Flush = week.Stage, week.Targets, week.Flush
	out.NextFlush, out.NextFeed = s.nextPours(out)
	if out.Patience, err = s.patienceFigure(out.Now); err != nil {
		return Course{}, err
	}
	s.judge(&out, a, step)
	s.gap(&out)
	if out.Marks, err = s.marks(on); err != nil {
		return Course{}, err
	}
	s.signs(&out)
	out.Assumed, out.Learned = s.assumed, s.knows
	return out, nil
}

// factors returns the range of each week's factor. A variant that is through
// earlier has the usual care from then on.
func (a *aim) factors(steps []course.Step, so []course.Decision) (low, high []float64) {
	n := len(steps)
	below, above := make([]float64, n), make([]float64, n)
	for _, pair := range a.variants {
		var ends [2][]course.Step
		for i, s := range pair {
			ends[i] = course.Steps(s, n*int(course.StepDays.Value), so...)
		}
		for i, step := range steps {
			if step.FromDay < int(course.RecoveryDays.Value) {
				continue // its range follows from the supply's alone
			}
			one, other := factorIn(ends[0], i)-step.Factor, factorIn(ends[1], i)-step.Factor
			down, up := math.Min(0, math.Min(one, other)), math.Max(0, math.Max(one, other))
			below[i] += down * down
			above[i] += up * up
		}
	}
	low, high = below, above
	for i, step := range steps {
		if step.FromDay < int(course.RecoveryDays.Value) {
			supply := a.lowestIn(step)
			low[i] = 1 - course.Guard(course.ModelTurnDown(supply.Low)).Chosen
			high[i] = 1 - course.Guard(course.ModelTurnDown(supply.High)).Chosen
			continue
		}
		low[i] = math.Max(0, step.Factor-math.Sqrt(below[i]))
		high[i] = math.Min(1, step.Factor+math.Sqrt(above[i]))
	}
	return low, high
}

func factorIn(steps []course.Step, week int) float64 { return steps[min(week, len(steps)-1)].Factor }

func (s *subject) date(day int) time.Time { return s.plant.Repot.Date.AddDate(0, 0, day) }

func (s *subject) heading(on time.Time, usual strength, t *transpiration) Course {
	p := s.plant
	return Course{
		Label: p.Label, Name: p.Name, Group: s.group.Name, Space: s.space.Name,
		Work: p.Repot.Work, Home: p.Repot.To.describe(), From: p.Repot.From.describe(),
		Repot: p.Repot.Date, On: on, Day: daysBetween(p.Repot.Date, on),
		LuxPerPPFD: s.luxPerPPFD,
		Usual: Usual{
			FeedGramsPerLitre: usual.gramsPerLitre, FeedPpmN: usual.ppmN, FeedECmS: usual.ECmS, FeedEvery: s.routine.FeedEveryDays,
			Feed: s.feedName(), FeedWater: s.feedWater.Name,
			LightPPFD: s.usualPPFD, LightDLI: s.usualDLI, DayC: s.space.DayC, NightC: s.space.NightC,
			DayRHPercent: s.space.DayRHPercent, NightRHPercent: s.space.NightRHPercent,
			Air: s.space.Air, WaterEvery: s.routine.WaterEveryDays, LossGM2: t.usual,
		},
	}
}

// judge says how far down the plant is turned, whether that is still ordinary,
// and what to do: nearly always nothing.
func (s *subject) judge(out *Course, a *aim, step course.Step) {
	inputs := out.Now.Factor.Because.Inputs
	days := int(course.RecoveryDays.Value) - 1
	lowest := a.lowest(0, days)
	out.Supply = figure(lowest.Value, lowest.Low, lowest.High, "share", Because{
		Rule: "σ = headroom · (old roots · contact + new roots) / leaves, its lowest in the first six weeks", Inputs: inputs,
	})
	week := a.lowestIn(step)
	out.Model = figure(course.ModelTurnDown(week.Value), course.ModelTurnDown(week.High), course.ModelTurnDown(week.Low), "share", Because{
		Rule: "1 − min(1, σ) this week", Inputs: inputs,
	})
	f := out.Now.Factor
	out.TurnDown = figure(1-f.Value.Value, 1-f.High, 1-f.Low, "share", *f.Because)
	out.Intensive = needsIntensiveCare(step.FromDay, step.Supply, step.Factor)
	look := "today"
	if next := s.nextLook(out.Day); !next.Equal(out.On) {
		look = "on " + next.Format("Monday 2 January")
	}
	switch {
	case out.Day < 0:
		out.Advice = fmt.Sprintf("Not repotted yet: these are the targets from %s on.", s.date(0).Format("2 January 2006"))
	case out.Stage == course.Established:
		out.Advice = "The usual care is reached if every step was earned. Look at it as at any other plant."
	case out.Intensive:
		bed := ""
		if step.Supply < hardlyAnyRoots {
			bed = " Keep its base above damp moss rather than in it."
		}
		out.Advice = fmt.Sprintf("Intensive care: the roots bring about %.0f %% of what the leaves used to lose. Put the plant in an enclosure or under a bag that is aired daily, in shade, and leave it alone otherwise.%s Look at the root tips %s.", 100*math.Max(0, step.Supply), bed, look)
	case out.Stage == course.SteppingUp:
		out.Advice = fmt.Sprintf("Look at the marked root tips %s. Only if they have grown since the week before is the next step earned; otherwise leave everything as it is.", look)
	default:
		out.Advice = fmt.Sprintf("Leave it alone. Keep the targets below, flush on time, and look at the root tips %s.", look)
	}
	if floor := s.lightFloor.Value; s.usualPPFD.Value < floor || s.usualDLI.Value == 0 {
		out.Warnings = append(out.Warnings, fmt.Sprintf("The usual light is %.0f µmol for %.0f hours; below about %.0f µmol a plant lives on its reserves and makes few roots. Find it a brighter place or a lamp before anything else.", s.usualPPFD.Value, s.lighting.Hours, floor))
	}
	for _, half := range []struct {
		name  string
		usual basis.Value
		band  culture.Band
	}{{"day", s.space.DayC, s.group.DayC}, {"night", s.space.NightC, s.group.NightC}} {
		switch {
		case half.usual.Value < half.band.Low-unusualC:
			out.Warnings = append(out.Warnings, fmt.Sprintf("A usual %s of %.0f °C is colder than %s is kept (%.0f to %.0f °C); roots are slow in the cold, so a warmer place comes first.", half.name, half.usual.Value, s.group.Name, half.band.Low, half.band.High))
		case half.usual.Value > half.band.High+unusualC:
			out.Warnings = append(out.Warnings, fmt.Sprintf("A usual %s of %.0f °C is hotter than %s is kept (%.0f to %.0f °C); a cooler place comes before all else.", half.name, half.usual.Value, s.group.Name, half.band.Low, half.band.High))
		}
	}
	for _, half := range []struct {
		name        string
		usual, airC float64
	}{{"day", s.space.DayRHPercent.Value, out.Now.DayHeatCapC.Value.Value}, {"night", s.space.NightRHPercent.Value, s.space.NightC.Value}} {
		if limit := a.ceiling(half.airC, step.Supply); half.usual > course.EnclosureCeilingPercent.Value && half.usual > limit.CeilingPercent {
			out.Warnings = append(out.Warnings, fmt.Sprintf("The usual %s humidity of %.0f %% keeps leaves wet; rot spreads above about %.0f %%. Air the place rather than raise humidity further.", half.name, half.usual, limit.CeilingPercent))
		}
	}
	out.Warnings = append(out.Warnings, out.Flush.Warnings...)
}

// gap says what it means that no humidity within the limits closes the gap
// between what the leaves lose and what the roots bring: the plant shuts its
// stomata and lives on its store.
func (s *subject) gap(out *Course) {
	if out.Now.UnmetDemand == 0 || out.Day < 0 {
		return
	}
	text := fmt.Sprintf("Even at the humidity ceiling the leaves would lose %.0f %% of the usual more than the roots bring. The plant shuts its stomata then and draws on its store, which lasts about %.0f days without any root at all: ", 100*out.Now.UnmetDemand, out.Patience.Value.Value)
	if out.Patience.Value.Value >= course.RecoveryDays.Value {
		text += "some wrinkling is to be expected and no reason to act."
	} else {
		text += "give it more shade, or an enclosure, before it wrinkles."
	}
	out.Warnings = append(out.Warnings, text)
}

// hardlyAnyRoots is the supply below which a plant is treated as rootless.
const hardlyAnyRoots = 0.1

// unusualC is how far outside its band a group's temperature has to lie to be
// worth a word: bands of different societies differ by that much.
const unusualC = 3

// nextLook is the day on which root tips are next worth a look: weekly, from
// the repot on; growth of less than a week is hard to tell from reading error.
func (s *subject) nextLook(day int) time.Time {
	week := int(course.StepDays.Value)
	return s.date(max(week, (day+week-1)/week*week))
}

func (s *subject) patienceFigure(now Targets) (Figure, error) {
	vpd := (now.DayVPDKPa.Value.Value + now.NightVPDKPa.Value.Value) / 2
	v, err := leaf.PatienceDays(s.parts(), math.Max(0.01, vpd), s.pressure)
	if err != nil {
		return Figure{}, err
	}
	return figure(v.Value, v.Low, v.High, "days", Because{
		Rule: "0.3 · water stored in leaves and bulbs / (minimum conductance · deficit): the patience a plant without any root could afford with its stomata shut",
		Inputs: []Input{
			{"mean deficit at these targets", basis.Assumed(vpd, math.Min(vpd, now.NightVPDKPa.Low), math.Max(vpd, now.DayVPDKPa.High), "kPa")},
			{"leaf area", s.plant.LeafAreaCm2}, {"pseudobulbs", s.plant.Pseudobulbs}, {"surface of a pseudobulb", bulbSurfaceCm2},
			{"minimum conductance of the leaf", s.group.Derived.MinimumConductance},
		},
	}), nil
}
