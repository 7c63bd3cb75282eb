package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/pot"
)

// drainageCheck is the check whether a flush is done, from the drainage.
type drainageCheck struct {
	frame
	Plant field
	Input field
	Cup   field
	Cups  []field
	Found *drainageSays
	Path  string // of the plant
}

// drainageSays is what the drainage tells.
type drainageSays struct {
	Plant   string
	Done    bool
	Verdict string
	Says    []string
	Figures []figureView
}

// mostCups is how many cups one form takes; FewestCups of them make a fit.
const mostCups = 6

var cupVolume = measure{"a cup of drainage", "mL", 1, 20_000, pourVolume.usual, volumeWritings}

func (s *Server) newDrainageCheck(u care.Units) *drainageCheck {
	v := &drainageCheck{
		Plant: field{Name: "plant", Label: "Plant", Type: "listed", Required: true},
		Input: field{Name: "input", Label: "EC of the water poured", Unit: drainageEC.usual(u), Mode: "decimal", Hint: "If left empty, the flushing water's own."},
		Cup:   field{Name: "cup", Label: "Each cup of drainage holds", Unit: cupVolume.usual(u), Mode: "decimal", Required: true, Value: "100"},
	}
	for i := range mostCups {
		v.Cups = append(v.Cups, field{Name: fmt.Sprintf("ec.%d", i), Label: fmt.Sprintf("Cup %d", i+1), Unit: drainageEC.usual(u), Mode: "decimal"})
	}
	if u.Inches {
		v.Cup.Value = "3.5"
	}
	s.Book.Read(func(c *care.Collection) {
		for _, p := range c.Plants {
			if p.Recovering(s.Book.Today()) {
				v.Plant.Options = append(v.Plant.Options, choice{p.Record.Label, p.Record.Label + " " + p.Record.Name, false})
			}
		}
	})
	slices.SortFunc(v.Plant.Options, func(a, b choice) int { return strings.Compare(a.Value, b.Value) })
	v.Title, v.Here, v.Style = "Is the flush done?", "water", "water.css"
	return v
}

func (v *drainageCheck) fields() []*field {
	list := []*field{&v.Plant, &v.Input, &v.Cup}
	for i := range v.Cups {
		list = append(list, &v.Cups[i])
	}
	return list
}

func (s *Server) showFinish(w http.ResponseWriter, r *http.Request) error {
	v := s.newDrainageCheck(s.units())
	v.Plant.Value = r.URL.Query().Get("plant")
	return s.render(w, r, http.StatusOK, "water-flush.html", v)
}

// keepFinish notes the readings in the plant's journal, once asked to, and says
// what they tell.
func (s *Server) keepFinish(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	v := s.newDrainageCheck(u)
	label := f.required("plant", "Which plant is it?")
	var plant *care.PlantState
	s.Book.Read(func(c *care.Collection) {
		if p, err := c.ByLabel(label); err == nil {
			plant = p
		}
	})
	if plant == nil && label != "" {
		f.say("plant", "No plant has the label %s.", label)
	}
	input := f.number("input", drainageEC, u)
	var cupML float64
	if f.required("cup", "How much does a cup hold?") != "" {
		if mL := f.number("cup", cupVolume, u); mL != nil {
			cupML = *mL
		}
	}
	var cups []pot.DrainageCup
	for i := range mostCups {
		if ec := f.number(fmt.Sprintf("ec.%d", i), drainageEC, u); ec != nil {
			cups = append(cups, pot.DrainageCup{ML: cupML, ECmS: *ec})
		}
	}
	if len(cups) == 0 {
		f.say("ec.0", "Enter the EC of one cup at least.")
	}
	status := http.StatusOK
	if !f.wrong() {
		found, err := s.finish(u, plant, input, cups)
		switch {
		case err != nil:
			f.say("plant", "%s.", sentence(err.Error()))
		default:
			v.Found, v.Path = found, "/plant/"+plant.ID
		}
		if f.checked("keep") && !f.wrong() {
			if err := s.keepCups(r, plant.ID, cups); err != nil {
				return err
			}
			v.Notice = "Kept in the journal of " + plant.Record.Label + "."
		}
	}
	if f.wrong() {
		status = http.StatusUnprocessableEntity
	}
	f.keep(v.fields()...)
	return s.render(w, r, status, "water-flush.html", v)
}

func (s *Server) keepCups(r *http.Request, plant string, cups []pot.DrainageCup) error {
	entries := make([]care.Entry, len(cups))
	for i, c := range cups {
		entries[i] = s.newEntry(care.DrainageRead, plant, care.Detail{ECmS: &c.ECmS, VolumeML: &c.ML})
		entries[i].By = byOf(r)
	}
	_, err := s.Book.Append(r.Context(), entries...)
	return err
}

// finish says what the drainage of a plant tells.
func (s *Server) finish(u care.Units, plant *care.PlantState, input *float64, cups []pot.DrainageCup) (*drainageSays, error) {
	course, err := s.Book.Course(plant.ID, s.Book.Today())
	if err != nil {
		return nil, fmt.Errorf("%w: %s has no course: %w", book.ErrUnknownPlant, plant.Record.Label, err)
	}
	in := course.Flush.DoneAt.Value.Low // of the flushing water
	if input != nil {
		in = *input
	}
	readings := make([]float64, len(cups))
	for i, c := range cups {
		readings[i] = c.ECmS
	}
	parameters := pot.Defaults()
	rule, err := parameters.FlushDone(in, readings)
	if err != nil {
		return nil, err
	}
	ms := func(x float64) string { return u.Show(basis.Exactly(x, "mS/cm", basis.Measured, "")) }
	found := &drainageSays{Plant: plant.Record.Label, Done: rule.Done}
	switch {
	case rule.StillToDrain && rule.NearInput:
		found.Verdict = "Nearly: catch one more cup. The rule is two in a row."
	case rule.StillToDrain:
		found.Verdict = "Not yet: the drainage is well above the water poured."
	case rule.Done:
		found.Verdict = "Done, by the rule growers use."
	case !rule.NearInput:
		found.Verdict = "Not yet: the last cup is above " + ms(rule.LimitECmS) + "."
	default:
		found.Verdict = "Not yet: the last two cups are still apart."
	}
	found.Says = append(found.Says, fmt.Sprintf("The rule: the last cup at most %s (1.2 times the water, or what a pen can tell apart), and the last two within a tenth. Common practice.", ms(rule.LimitECmS)))
	if len(cups) < pot.FewestCups {
		found.Says = append(found.Says, "From three cups on, the pot's own bypass and what is left in it can be told.")
		return found, nil
	}
	fit, err := pot.FitFlush(cups, in, course.Flush.Held(), course.Flush.Wanted().Value)
	if err != nil {
		return nil, err
	}
	found.tell(u, fit, course.Flush)
	return found, nil
}

// tell adds what the fit says.
func (found *drainageSays) tell(u care.Units, fit pot.FlushFit, flush care.Flush) {
	if fit.Rises {
		found.Done = false
		found.Verdict = "Not yet: the drainage gets saltier. Salt still comes out of the particles, or dry patches are being reached. Wait and pour again."
		return
	}
	wanted := flush.Wanted()
	if fit.LeftMS.Value > wanted.Value && found.Done {
		found.Verdict = "The drainage is clean, but the pot is not: much of the water runs past."
		found.Done = false
	}
	because := &care.Because{
		Rule: "tanks in series with a bypass, fitted to the cups: EC out = b·in + (1−b)·[in + (start − in)·share of the old water]; a grid over bypass, tanks and what the pot holds, weighted by how well each fits",
		Inputs: []care.Input{
			{Name: "the pot holds", Value: flush.Held()}, {Name: "wanted in the root zone", Value: wanted},
			{Name: "tanks", Value: fit.Tanks}, {Name: "in the pot before the flush", Value: fit.StartMS},
		},
	}
	figure := func(name string, v basis.Value) figureView {
		return newFigure(u, name, care.Figure{Value: v, Because: because})
	}
	found.Figures = append(found.Figures, figure("Left in the pot now", fit.LeftMS), figure("Runs past unmixed", fit.Bypass))
	if fit.MoreML.Value > 0 {
		found.Figures = append(found.Figures, figure("More has to drain", fit.MoreML))
	}
	if fit.Off > 2 {
		found.Says = append(found.Says, "The cups do not fall as in a flush: read the pen's cup again, or the pot is not evenly wet.")
	}
}
