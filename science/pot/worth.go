package pot

import (
	"math"
	"slices"

	"velamen/science/basis"
)

// Worth is what one reading that could be taken is expected to tell.
type Worth struct {
	Event Event
	// Narrows is by how much the band of what is asked is expected to become
	// narrower, share of its width; never below 0.
	Narrows float64
}

// imagined is how many of the possible pots are taken for the true one, each in
// turn.
const imagined = 40

// Worths returns, for readings that could be taken, how much narrower each alone
// is expected to make the band of how long the pot takes to dry (see DryDown).
// Every so many members are taken for the true pot, its reading is made up with
// the error of the instrument, and the ensemble weighted by it: the expected
// width after the reading, as in the planning of experiments (Chaloner and
// Verdinelli 1995, from memory).
//
// The ensemble stands at the start of its weather; pours are those to come and
// the candidates what could be read between them, both in order. A candidate's
// Value is not used.
func (e *Ensemble) Worths(pours, candidates []Event, day Weather, pourML, driest float64) ([]Worth, error) {
	if slices.ContainsFunc(candidates, func(c Event) bool { return c.What == ReadDrainage }) {
		e.followSalt()
	}
	n := len(e.members)
	foreseen := make([]float64, n*len(candidates)) // water, EC or wetness, per candidate and member
	answers := make([]weighted, n)
	for i := range e.members {
		m := e.members[i]
		hour, next := 0, 0
		for k, c := range candidates {
			for ; next < len(pours) && pours[next].Hour < c.Hour; next++ {
				e.advance(&m, hour, pours[next].Hour, nil)
				hour = pours[next].Hour
				e.happen(&m, pours[next])
			}
			e.advance(&m, hour, c.Hour, nil)
			hour = c.Hour
			switch c.What {
			case WeighedIt:
				foreseen[k*n+i] = m.state.WaterML() + m.Pot.dryMediumG
			case ReadDrainage:
				foreseen[k*n+i] = m.drains
			default:
				foreseen[k*n+i] = m.Pot.Wetness(&m.state)
			}
		}
		answers[i] = weighted{e.dryHours(m, day, pourML, driest), e.weights[i]}
	}
	chance := e.chance
	list := make([]weighted, n)
	copy(list, answers)
	now := span(list).Width()
	out := make([]Worth, len(candidates))
	for k, c := range candidates {
		out[k] = Worth{Event: c}
		if now > 0 {
			width := e.expectedWidth(c, foreseen[k*n:(k+1)*n], answers, list, &chance)
			out[k].Narrows = math.Max(0, 1-width/now)
		}
	}
	return out, nil
}

// expectedWidth is the mean width of the band after a reading. list is room to
// work in.
func (e *Ensemble) expectedWidth(c Event, foreseen []float64, answers, list []weighted, chance *basis.Chance) float64 {
	n := len(e.members)
	at, sum, truth := 0.5/imagined, e.weights[0], 0
	total := 0.0
	for range imagined {
		for sum < at && truth < n-1 {
			truth++
			sum += e.weights[truth]
		}
		at += 1.0 / imagined
		read := e.madeUp(c.What, &e.members[truth], foreseen[truth], chance)
		most := math.Inf(-1)
		for i := range list {
			list[i] = weighted{answers[i].value, e.saysOf(c.What, &e.members[i], foreseen[i], read)}
			most = math.Max(most, list[i].weight)
		}
		for i := range list {
			list[i].weight = e.weights[i] * math.Exp(list[i].weight-most)
		}
		total += span(list).Width() / imagined
	}
	return total
}

// madeUp is what an instrument would show at a member.
func (e *Ensemble) madeUp(what Happened, m *member, foreseen float64, chance *basis.Chance) float64 {
	switch what {
	case WeighedIt:
		// Its tare as far as it is known from its weighings.
		spread := e.tools.TareSpread.Value * e.tareG
		p := 1/(spread*spread) + m.s0
		tare := (e.tareG/(spread*spread) + m.s1) / p
		precision, _ := e.weighing(m, 0)
		return foreseen + tare + chance.Normal()*math.Sqrt(1/p+1/precision)
	case ReadDrainage:
		sd := math.Hypot(e.tools.PenMS.Value, e.tools.DrainageRel.Value*foreseen)
		return math.Max(0, foreseen+sd*chance.Normal())
	}
	u := chance.Next()
	for called := range Looks - 1 {
		if u -= e.look(foreseen, called); u < 0 {
			return float64(called)
		}
	}
	return Looks - 1
}

// saysOf is the log-likelihood that a reading adds at a member.
func (e *Ensemble) saysOf(what Happened, m *member, foreseen, read float64) float64 {
	switch what {
	case WeighedIt:
		precision, _ := e.weighing(m, 0)
		residue := read - foreseen
		return e.tareFree(m.s0+precision, m.s1+precision*residue, m.s2+precision*residue*residue) -
			e.tareFree(m.s0, m.s1, m.s2) + 0.5*math.Log(precision)
	case ReadDrainage:
		return e.drainage(foreseen, read)
	}
	return math.Log(e.look(foreseen, int(read)))
}
