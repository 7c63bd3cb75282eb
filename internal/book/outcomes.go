package book

import (
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// outcomes remembers how the recoveries of each plant went, and the answers to
// the last questions about them.
type outcomes struct {
	mu      sync.Mutex
	around  int // of the stamp, what they were worked out with
	plants  map[string]plantOutcomes
	stamp   stamp
	all     []*care.Outcome
	answers []answered
	paces   map[paceOf]care.Pace
}

// paceOf is whose pace is asked for.
type paceOf struct {
	group   string
	awaited care.Awaited
	usual   float64
}

// plantOutcomes are those of a plant in one state.
type plantOutcomes struct {
	state *care.PlantState
	list  []care.Outcome
}

// answered is one question with its answer.
type answered struct {
	question care.OutcomeQuestion
	on       time.Time
	report   *care.OutcomeReport
}

// mostAnswers is how many answers are kept.
const mostAnswers = 8

// Outcomes returns how every recovery went, as of the entries there are, in the
// order of plants and repots. What it returns must not be changed.
func (b *Book) Outcomes() []*care.Outcome {
	b.outcomes.mu.Lock()
	defer b.outcomes.mu.Unlock()
	return b.outcomes.bring(b)
}

// bring brings the outcomes up to date: those of plants that changed are worked
// out again, and all of them when what they have in common changed.
func (o *outcomes) bring(b *Book) []*care.Outcome {
	b.mu.RLock()
	defer b.mu.RUnlock()
	if o.all != nil && o.stamp.all == b.stamp.all {
		return o.all
	}
	old := o.plants
	if o.around != b.stamp.around {
		old = nil
	}
	o.plants, o.around, o.stamp, o.answers = make(map[string]plantOutcomes, len(b.collection.Plants)), b.stamp.around, b.stamp, nil
	o.paces = map[paceOf]care.Pace{}
	o.all = []*care.Outcome{}
	for id, p := range b.collection.Plants {
		if len(p.Repots) == 0 {
			continue
		}
		one := old[id]
		if one.state != p {
			one = plantOutcomes{p, p.Outcomes(b.collection, b.tables)}
		}
		o.plants[id] = one
		for i := range one.list {
			o.all = append(o.all, &one.list[i])
		}
	}
	slices.SortFunc(o.all, func(x, y *care.Outcome) int {
		if c := strings.Compare(x.Plant, y.Plant); c != 0 {
			return c
		}
		return x.Number - y.Number
	})
	return o.all
}

// AskOutcomes answers a question about past recoveries as of a day. The answer is
// shared and must not be changed.
func (b *Book) AskOutcomes(q care.OutcomeQuestion, on time.Time) (*care.OutcomeReport, error) {
	b.outcomes.mu.Lock()
	defer b.outcomes.mu.Unlock()
	all := b.outcomes.bring(b)
	for _, a := range b.outcomes.answers {
		if a.question == q && a.on.Equal(on) {
			return a.report, nil
		}
	}
	report, err := care.NewOutcomeReport(all, q, on, OutcomeDraws())
	if err != nil {
		return nil, err
	}
	if len(b.outcomes.answers) == mostAnswers {
		b.outcomes.answers = b.outcomes.answers[1:]
	}
	b.outcomes.answers = append(b.outcomes.answers, answered{q, on, &report})
	return &report, nil
}

// Pace sets the usual days of a plant of a group against what was recorded here.
func (b *Book) Pace(group string, a care.Awaited, usual basis.Value) (care.Pace, error) {
	b.outcomes.mu.Lock()
	defer b.outcomes.mu.Unlock()
	all := b.outcomes.bring(b)
	key := paceOf{group, a, usual.Value}
	if p, ok := b.outcomes.paces[key]; ok {
		return p, nil
	}
	p, err := care.PaceOf(all, group, a, usual)
	if err == nil {
		b.outcomes.paces[key] = p
	}
	return p, err
}

// OutcomeDraws are the random numbers of a band, always the same ones, so that
// a page does not change when nothing did.
func OutcomeDraws() *rand.PCG { return rand.NewPCG(1976, 38) }
