package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"text/tabwriter"
)

// How long a plan takes, on one core, and how much better it is than the first one
// that comes to hand.
func BenchmarkPlan500PlantsFor14Days(b *testing.B) {
	benchmarkPlan(b, shape{plants: 500, days: 14, minutes: 0.9, litres: 0.9})
}
func BenchmarkPlan5000PlantsFor42Days(b *testing.B) {
	benchmarkPlan(b, shape{plants: 5000, days: 42, minutes: 0.9, litres: 0.9})
}
func BenchmarkPlan30PlantsFor14Days(b *testing.B) {
	benchmarkPlan(b, shape{plants: 30, days: 14, minutes: 0.9, litres: 0.9})
}

func benchmarkPlan(b *testing.B, s shape) {
	m := instance(rand.New(rand.NewPCG(1, 7)), s)
	var found Found
	for b.Loop() {
		found = Solve(m, Search{Steps: Steps(len(m.Items)), Random: 1})
	}
	if _, err := m.Cost(found.Choice); err != nil {
		b.Fatal(err)
	}
	first := Solve(m, Search{})
	b.ReportMetric(float64(len(m.Items)), "items")
	b.ReportMetric(100*(1-found.Cost/first.Cost), "%better-than-first")
	if found.Bound > 0 {
		b.ReportMetric(100*(found.Cost/found.Bound-1), "%over-own-bound")
	}
}

// scarcities are the kinds of scarcity with which plans are compared.
var scarcities = []struct {
	name            string
	minutes, litres float64
	away            int
}{
	{"enough of all", 1.3, 1.2, 0},
	{"half the minutes", 0.5, 0, 0},
	{"few minutes", 0.7, 0, 0},
	{"nearly enough minutes", 0.9, 0, 0},
	{"just enough minutes", 1.1, 0, 0},
	{"little water", 0, 0.6, 0},
	{"nearly enough water", 0, 0.9, 0},
	{"little of both", 0.8, 0.8, 0},
	{"little of both, days away", 1, 0.9, 3},
	{"few minutes, days away", 0.9, 0, 4},
}

// BenchmarkGap prints what plans cost beyond the best that COIN-OR branch and cut
// finds in twenty seconds, and beyond what no plan can cost less than: the higher of
// its bound and our own. Below nothing, it found none as good; +Inf, none at all.
func BenchmarkGap(b *testing.B) {
	needSolver(b, "cbc")
	out := tabwriter.NewWriter(os.Stderr, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(out, "plants\titems\tscarce\tcost\tof cbc\tbound\tbeyond cbc\tbeyond bound\t")
	worst := 0.0
	for b.Loop() {
		for _, plants := range []int{4, 10, 18, 30, 60} {
			for k, scarce := range scarcities {
				m := instance(rand.New(rand.NewPCG(uint64(100*plants+k), 11)), shape{plants, 14, scarce.minutes, scarce.litres, scarce.away})
				found := Solve(m, Search{Steps: Steps(len(m.Items)), Random: 1})
				if cost, err := m.Cost(found.Choice); err != nil || math.Abs(cost-found.Cost) > 1e-6*(1+cost) {
					b.Fatal(cost, found.Cost, err)
				}
				cbc := solveWithCBC(b, program(m, nil), 20)
				bound := math.Max(cbc.bound, found.Bound)
				beyond := 100 * (found.Cost/cbc.cost - 1)
				if cbc.optimal {
					worst = math.Max(worst, beyond)
				}
				fmt.Fprintf(out, "%d\t%d\t%s\t%.3f\t%.3f\t%.3f\t%+.2f %%\t%.2f %%\t\n", plants, len(m.Items), scarce.name, found.Cost, cbc.cost, bound, beyond, 100*(found.Cost/bound-1))
				out.Flush()
			}
		}
	}
	b.ReportMetric(worst, "%beyond-optimum-at-worst")
}
