package cli

import (
	"fmt"

	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// calcPlacement is where plants should stand, by how each place suits each.
type calcPlacement struct {
	File   string `arg:"" help:"CSV file with the columns plant,place,misfit,here: one line for each plant and place that it may stand in, 0 to 1000 steps by which the place fails it, and yes where it stands now."`
	Places string `required:"" help:"CSV file with the columns place,holds: how many plants each place holds." placeholder:"FILE"`

	Out calcOutput `embed:""`
}

// Run prints the moves that are worth making.
func (c calcPlacement) Run(r *run) error {
	places, err := c.places()
	if err != nil {
		return err
	}
	tenants, standing, err := c.tenants(places)
	if err != nil {
		return err
	}
	placed, err := plan.Place(places, standing, tenants)
	if err != nil {
		return at(c.File, err)
	}
	s := section{key: "placement", title: "Where to put them", because: "the least misfit of all plants together within the places there are (assignment by shortest augmenting paths), each move held against one clear step",
		rests: []parameter{{"worth_a_move", "a move has to be worth", basis.Assumed(plan.WorthAMove, plan.WorthAMove/2, 2*plan.WorthAMove, "steps")}}}
	s.lines = []line{
		{key: "moves", name: "moves", value: len(placed.Moves)},
		{key: "misfit_before", name: "misfit as they stand", value: placed.Before, unit: "steps", decimals: 2},
		{key: "misfit_after", name: "and after the moves", value: placed.After, unit: "steps", decimals: 2},
	}
	s.grid = &grid{key: "moves_list", columns: []column{{key: "plant", head: "plant"}, {key: "from", head: "from"}, {key: "to", head: "to"}, {key: "gain_steps", head: "gain", decimals: 2}}}
	for _, m := range placed.Moves {
		s.grid.rows = append(s.grid.rows, []any{m.Tenant.Label, m.From.Name(), m.To.Name(), m.From.Misfit - m.To.Misfit})
	}
	if len(placed.Moves) == 0 {
		s.grid, s.notes = nil, []string{"Leave them where they are."}
	}
	return c.Out.show(r, answer{"velamen-calc-placement-1", []section{s}})
}

func (c calcPlacement) places() ([]care.PlaceOption, error) {
	sheet, err := openSheet(c.Places, []string{"place", "holds"}, nil)
	if err != nil {
		return nil, err
	}
	var list []care.PlaceOption
	seen := map[string]bool{}
	for _, row := range sheet.rows {
		name, err := row.name("place")
		if err != nil {
			return nil, err
		}
		if seen[name] {
			return nil, row.expected("place", "another place: this one stood here before")
		}
		seen[name] = true
		holds, err := row.number("holds", 0, 10_000, "plants")
		if err != nil {
			return nil, err
		}
		list = append(list, care.PlaceOption{Space: name, Places: int(holds)})
	}
	return list, nil
}

// tenants reads the plants; standing counts them by place.
func (c calcPlacement) tenants(places []care.PlaceOption) (list []plan.Tenant, standing []int, err error) {
	sheet, err := openSheet(c.File, []string{"plant", "place", "misfit"}, []string{"here"})
	if err != nil {
		return nil, nil, err
	}
	standing = make([]int, len(places))
	at, index := map[string]int{}, map[string]int{}
	for k, p := range places {
		at[p.Space] = k
	}
	stands := map[string]bool{}
	for _, row := range sheet.rows {
		label, err := row.name("plant")
		if err != nil {
			return nil, nil, err
		}
		k, known := at[row.cell("place")]
		if !known {
			return nil, nil, row.expected("place", "a place of "+c.Places)
		}
		fit := care.Fit{PlaceOption: places[k]}
		if fit.Misfit, err = row.number("misfit", 0, 1000, "steps"); err != nil {
			return nil, nil, err
		}
		switch row.cell("here") {
		case "":
		case "yes":
			if stands[label] {
				return nil, nil, row.expected("here", "nothing: it stands in a place before this one")
			}
			fit.Here, stands[label] = true, true
			standing[k]++
		default:
			return nil, nil, row.expected("here", "yes where the plant stands, or nothing")
		}
		i, met := index[label]
		if !met {
			i = len(list)
			index[label] = i
			list = append(list, plan.Tenant{Label: label})
		}
		list[i].Fits = append(list[i].Fits, fit)
	}
	for _, t := range list {
		if !stands[t.Label] {
			return nil, nil, fmt.Errorf("%s: where does %s stand now? One of its lines needs yes under here", c.File, t.Label)
		}
	}
	return list, standing, nil
}
