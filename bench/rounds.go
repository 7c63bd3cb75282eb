package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"velamen/internal/plan"
)

// planOf makes a plan of fourteen days to be solved: plants that are flushed
// every one to five days, some of the flushes with a feed, and whose roots are
// measured weekly; spaces to go to, mixes to make, a day's minutes and a water
// that comes in day by day.
func planOf(plants int) *plan.Model {
	const days = 14
	random := rand.New(rand.NewPCG(14, uint64(plants)))
	spaces := 2 + plants/40
	m := &plan.Model{Days: days, SetupPrice: 0.0005, LevelPrice: 0.0002}
	for range spaces {
		m.Setups = append(m.Setups, 1.5)
	}
	m.Setups = append(m.Setups, 3) // the mix
	need, water := 0.0, 0.0
	item := func(one plan.Item, options []plan.Option, leftOut float64) {
		one.First, one.Count = int32(len(m.Options)), int32(len(options)+1)
		m.Options = append(append(m.Options, options...), plan.Option{Cost: leftOut, Day: -1})
		m.Items = append(m.Items, one)
	}
	for p := range plants {
		space, mix := int16(p%spaces), int16(spaces)
		every, dry, grows := 1+random.IntN(5), 0.05+0.6*random.Float64(), 1+random.Float64()
		litres, minutes := 0.1+1.2*random.Float64(), 0.7+1.5*random.Float64()
		late := func(first float64, by int) (cost float64) {
			for d := range max(0, by) {
				cost += first * math.Pow(grows, float64(d))
			}
			return cost
		}
		for n, due := 1, random.IntN(every); due < days; n, due = n+1, due+every {
			var options []plan.Option
			for day := max(0, due-(every-1)/2); day <= min(days-1, due+every/2); day++ {
				o := plan.Option{Cost: 0.001*float64(max(0, due-day)) + late(dry, day-due), Minutes: float32(minutes), Litres: float32(litres), Day: int16(day)}
				if n%2 == 0 {
					fed := o
					fed.Minutes, fed.Mix = fed.Minutes+1, true
					options = append(options, fed)
					o.Cost += 0.2
				}
				options = append(options, o)
			}
			item(plan.Item{Space: space, Batch: mix, Stock: 0}, options, late(dry, every)+0.01)
			need += minutes + float64(1-n%2)
			water += litres
		}
		for due := random.IntN(7); due < days; due += 7 {
			var options []plan.Option
			for day := max(0, due-3); day <= min(days-1, due+3); day++ {
				options = append(options, plan.Option{Cost: 0.001*float64(max(0, due-day)) + late(0.05, day-due), Minutes: 2, Day: int16(day)})
			}
			item(plan.Item{Space: space, Batch: -1, Stock: -1}, options, late(0.05, 7)+0.01)
			need += 2
		}
	}
	need += 1.5*float64(days*spaces) + 3*days/2
	stock := plan.Stock{Start: 1.5 * water / days, Holds: 3 * water / days}
	for range days {
		m.Minutes = append(m.Minutes, (0.7+0.5*random.Float64())*need/days)
		m.Level = append(m.Level, need/days)
		stock.In = append(stock.In, 0.95*water/days)
	}
	m.Stocks = []plan.Stock{stock}
	return m
}

// linearProgram writes a plan in the LP format of general solvers, as
// docs/round.md states it.
func linearProgram(m *plan.Model) string {
	var goal, rows, binary bytes.Buffer
	minutes := make([]bytes.Buffer, m.Days)
	uses := make([]bytes.Buffer, m.Days)
	opened := map[string]bool{}
	for i, it := range m.Items {
		fmt.Fprintf(&rows, " one%d:", i)
		var opens bytes.Buffer
		for k, o := range m.Options[it.First : it.First+it.Count] {
			x := fmt.Sprintf("x%d_%d", i, k)
			fmt.Fprintf(&binary, " %s\n", x)
			fmt.Fprintf(&goal, "\n %+.12g %s", o.Cost, x)
			fmt.Fprintf(&rows, " + %s", x)
			if o.Day < 0 {
				continue
			}
			fmt.Fprintf(&minutes[o.Day], "\n %+.12g %s", float64(o.Minutes), x)
			if it.Stock >= 0 && o.Litres > 0 {
				fmt.Fprintf(&uses[o.Day], "\n + %.12g %s", float64(o.Litres), x)
			}
			setups := []int16{it.Space}
			if o.Mix {
				setups = append(setups, it.Batch)
			}
			for _, setup := range setups {
				y := fmt.Sprintf("y%d_%d", setup, o.Day)
				fmt.Fprintf(&opens, " open%d_%d_%d: %s - %s <= 0\n", i, k, setup, x, y)
				if !opened[y] {
					opened[y] = true
					fmt.Fprintf(&binary, " %s\n", y)
					fmt.Fprintf(&minutes[o.Day], "\n %+.12g %s", m.Setups[setup], y)
					fmt.Fprintf(&goal, "\n %+.12g %s", m.SetupPrice*m.Setups[setup], y)
				}
			}
		}
		fmt.Fprintf(&rows, " = 1\n%s", &opens)
	}
	stock := m.Stocks[0]
	for day := range m.Days {
		fmt.Fprintf(&rows, " minutes%d:%s <= %.12g\n level%d:%s - v%d <= %.12g\n", day, &minutes[day], m.Minutes[day], day, &minutes[day], day, m.Level[day])
		fmt.Fprintf(&goal, "\n %+.12g v%d", m.LevelPrice, day)
		in, before := stock.In[day], ""
		if day == 0 {
			in += stock.Start
		} else {
			before = fmt.Sprintf(" - s%d", day-1)
		}
		// r runs off; before anything is used, the tank holds no more than it can.
		fmt.Fprintf(&rows, " stock%d: s%d + r%d%s%s = %.12g\n holds%d: s%d%s <= %.12g\n", day, day, day, before, &uses[day], in, day, day, &uses[day], stock.Holds)
	}
	return "Minimize\n cost:" + goal.String() + "\nSubject To\n" + rows.String() + "Binary\n" + binary.String() + "End\n"
}

// solved is what a solver came to.
type solved struct {
	cost    float64 // NaN: no plan
	optimal bool
	took    cost
}

var (
	cbcCost  = regexp.MustCompile(`(?m)^Objective value:\s+([-+0-9.e]+)`)
	cbcFound = regexp.MustCompile(`(?m)^Cbc\d+I Integer solution of .* found .*\(([0-9.]+) seconds\)`)
	glpkCost = regexp.MustCompile(`(?m)^Objective:\s+cost = ([-+0-9.e]+)`)
)

func numberIn(text string, r *regexp.Regexp) float64 {
	found := r.FindStringSubmatch(text)
	if found == nil {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(found[1], 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

func (b *bench) cbc(ctx context.Context, seconds int) (s solved, err error) {
	out, took, _, err := program(ctx, b.work, "", "cbc", "plan.lp", "-timeMode", "elapsed", "-seconds", strconv.Itoa(seconds), "-ratioGap", "1e-5", "-solve", "-quit")
	s = solved{numberIn(out, cbcCost), strings.Contains(out, "Result - Optimal solution found"), took}
	// When it found its plan, as far as it tells: the proof takes longer.
	if all := cbcFound.FindAllStringSubmatch(out, -1); len(all) > 0 {
		if at, err := strconv.ParseFloat(all[len(all)-1][1], 64); err == nil {
			at := time.Duration(at * 1e9)
			s.took = cost{min(took.CPU, at), min(took.Wall, at)}
		}
	}
	return s, err
}

func (b *bench) glpk(ctx context.Context, seconds int) (s solved, err error) {
	out, took, _, err := program(ctx, b.work, "", "glpsol", "--lp", "plan.lp", "--cuts", "--mipgap", "1e-5", "--tmlim", strconv.Itoa(seconds), "-o", "plan.txt")
	if err != nil {
		return s, err
	}
	text, err := os.ReadFile(filepath.Join(b.work, "plan.txt"))
	s = solved{numberIn(string(text), glpkCost), strings.Contains(string(text), "INTEGER OPTIMAL"), took}
	if strings.Contains(out, "PROBLEM HAS NO INTEGER") || strings.Contains(string(text), "INTEGER UNDEFINED") {
		s.cost = math.NaN()
	}
	return s, err
}

// rounds measures the plan of the days ahead.
func (b *bench) rounds(ctx context.Context) (report, error) {
	r := report{Title: "The plan of fourteen days"}
	sizes, seconds := []int{20, 60, 150}, 15
	if b.quick {
		sizes, seconds = []int{10}, 2
	}
	solvers := []struct {
		name, command string
		run           func(context.Context, int) (solved, error)
	}{{"CBC", "cbc", b.cbc}, {"GLPK", "glpsol", b.glpk}}
	for _, plants := range sizes {
		m := planOf(plants)
		if err := m.Check(); err != nil {
			return r, err
		}
		if err := os.WriteFile(filepath.Join(b.work, "plan.lp"), []byte(linearProgram(m)), 0o600); err != nil {
			return r, err
		}
		b.say("plan: Velamen, %d plants", plants)
		begun := time.Now()
		whole := plan.Solve(m, plan.Search{Steps: plan.Steps(len(m.Items)), Random: 1})
		r.Figures = append(r.Figures, figure{fmt.Sprintf("search to its end, %d plants", plants), span(time.Since(begun)),
			fmt.Sprintf("a plan of %.4f; by its own bound none costs less than %.4f, so at most %.1f %% more than the best", whole.Cost, whole.Bound, 100*(whole.Cost/whole.Bound-1))})
		for _, solver := range solvers {
			if !has("which", solver.command) {
				r.Missing = append(r.Missing, solver.name+" (Debian: coinor-cbc, glpk-utils)")
				continue
			}
			b.say("plan: %s, %d plants", solver.name, plants)
			theirs, err := solver.run(ctx, seconds)
			if err != nil {
				return r, err
			}
			ours, took, err := b.solveUntil(m, theirs.cost)
			if err != nil {
				return r, err
			}
			r.Rows = append(r.Rows, planRow(plants, len(m.Items), solver.name, seconds, theirs, ours, took))
		}
	}
	r.Notes = append(r.Notes, fmt.Sprintf("Time to the same cost: the solver runs until it has proved its plan within 1e-5 or %d seconds are over; Velamen searches until its plan costs no more (within 1e-5), or to the end of its search. What CBC spends on the proof after it found its plan is left out, as far as it tells when that was; GLPK does not tell, and its whole time counts.", seconds))
	return r, nil
}

// sameCost is how near two costs are the same.
const sameCost = 1e-5

// solveUntil searches until the plan costs no more than another, or to the end.
func (b *bench) solveUntil(m *plan.Model, until float64) (costs float64, took cost, err error) {
	before, begun := ownCPU(), time.Now()
	now := func() cost { return cost{ownCPU() - before, time.Since(begun)} }
	reached := false
	found := plan.Solve(m, plan.Search{Steps: plan.Steps(len(m.Items)), Random: 1, Watch: func(_, _ int, c float64) bool {
		if !math.IsNaN(until) && c <= until+sameCost*math.Abs(until) {
			took, reached = now(), true
			return false
		}
		return true
	}})
	if !reached {
		took = now()
	}
	costs, err = m.Cost(found.Choice)
	return costs, took, err
}

func planRow(plants, items int, name string, seconds int, theirs solved, ours float64, took cost) row {
	one := row{Task: fmt.Sprintf("%d plants, %d jobs", plants, items), Peer: name, Ours: took, Their: theirs.took}
	proof := "proved"
	if !theirs.optimal {
		proof = fmt.Sprintf("after %d s", seconds)
	}
	if math.IsNaN(theirs.cost) {
		one.Same = fmt.Sprintf("%s found no plan in %d s; Velamen's costs %.4f", name, seconds, ours)
		return one
	}
	gap := (ours - theirs.cost) / math.Max(1e-9, math.Abs(theirs.cost))
	one.Same = fmt.Sprintf("%.4f here, %.4f there (%s): %+.3f %%", ours, theirs.cost, proof, 100*gap)
	if gap > sameCost {
		one.Least = math.Inf(1)
		one.Short = fmt.Sprintf("the search ended at a plan that costs %.3f %% more: it is a search, not a proof, and stops after a fixed number of steps so that a page does not wait", 100*gap)
	}
	return one
}
