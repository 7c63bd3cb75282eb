package batch

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// glpsol solves a program with the GNU Linear Programming Kit, an independent
// program. Without it the test is passed over, unless it is required.
func glpsol(t testing.TB, p *program) (value float64, how outcome) {
	t.Helper()
	folder := t.TempDir()
	in, out := filepath.Join(folder, "in.lp"), filepath.Join(folder, "out.txt")
	if err := os.WriteFile(in, []byte(p.cplex()), 0o600); err != nil {
		t.Fatal(err)
	}
	// Without presolving it says of a program without an optimum which kind it is.
	said, err := exec.Command("glpsol", "--nopresol", "--lp", in, "-w", out).CombinedOutput()
	if err != nil {
		t.Fatalf("glpsol: %v\n%s\n%s", err, said, p.cplex())
	}
	switch text := string(said); {
	case strings.Contains(text, "UNBOUNDED"):
		return 0, unbounded
	case strings.Contains(text, "NO PRIMAL FEASIBLE"), strings.Contains(text, "NO FEASIBLE"):
		return 0, infeasible
	case !strings.Contains(text, "SOLUTION FOUND"):
		t.Fatalf("glpsol: %s\n%s", said, p.cplex())
	}
	file, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	for lines := bufio.NewScanner(file); lines.Scan(); {
		// s bas <rows> <columns> <primal status> <dual status> <objective>
		if f := strings.Fields(lines.Text()); len(f) == 7 && f[0] == "s" && f[1] == "bas" {
			if value, err = strconv.ParseFloat(f[6], 64); err != nil {
				t.Fatal(err)
			}
			return value, optimal
		}
	}
	t.Fatal("glpsol wrote no solution")
	return 0, infeasible
}

func needGlpsol(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("glpsol"); err != nil {
		if os.Getenv("VELAMEN_PEERS") == "required" {
			t.Fatal("glpsol is missing; it is in Debian's package glpk-utils")
		}
		t.Skip("glpsol is missing; it is in Debian's package glpk-utils")
	}
}

// cplex writes a program in the CPLEX LP format.
func (p *program) cplex() string {
	var b strings.Builder
	sum := func(a []float64) {
		for j, x := range a {
			fmt.Fprintf(&b, " %+.17g x%d", x, j)
		}
	}
	b.WriteString("Minimize\n obj:")
	sum(p.cost)
	b.WriteString("\nSubject To\n")
	for i, r := range p.rows {
		fmt.Fprintf(&b, " r%d:", i)
		sum(r.a)
		fmt.Fprintf(&b, " %s %.17g\n", map[sense]string{atMost: "<=", equal: "=", atLeast: ">="}[r.sense], r.b)
	}
	b.WriteString("End\n")
	return b.String()
}

// drawProgram makes programs of all kinds: many have an optimum, some none.
func drawProgram(t *rapid.T) *program {
	n, m := rapid.IntRange(1, 9).Draw(t, "variables"), rapid.IntRange(1, 10).Draw(t, "rows")
	number := rapid.Custom(func(t *rapid.T) float64 {
		// Whole numbers make ties and degenerate corners.
		if rapid.Bool().Draw(t, "whole") {
			return float64(rapid.IntRange(-4, 4).Draw(t, "n"))
		}
		return math.Round(rapid.Float64Range(-50, 50).Draw(t, "x")*1e3) / 1e3
	})
	p := &program{}
	for range n {
		p.cost = append(p.cost, number.Draw(t, "cost"))
	}
	for range m {
		r := row{sense: sense(rapid.IntRange(0, 2).Draw(t, "sense")), b: number.Draw(t, "b")}
		for range n {
			r.a = append(r.a, number.Draw(t, "a"))
		}
		p.rows = append(p.rows, r)
	}
	return p
}

// holds checks that x meets every row.
func (p *program) holds(x []float64) error {
	for i, r := range p.rows {
		sum, size := 0.0, math.Abs(r.b)
		for j, a := range r.a {
			sum += a * x[j]
			size = math.Max(size, math.Abs(a*x[j]))
		}
		off := sum - r.b
		if r.sense == atMost && off < 0 || r.sense == atLeast && off > 0 {
			continue
		}
		if math.Abs(off) > 1e-6*(1+size) {
			return fmt.Errorf("row %d is off by %g", i, off)
		}
	}
	for j, v := range x {
		if v < 0 || math.IsNaN(v) {
			return fmt.Errorf("x%d is %g", j, v)
		}
	}
	return nil
}

// Against an independent solver: the same outcome, and an optimum of the same
// cost. Tolerance: 1e-6 of the largest figure, what glpsol itself works to.
func TestSimplexAgainstGLPK(t *testing.T) {
	needGlpsol(t)
	seen := map[outcome]int{}
	rapid.Check(t, func(r *rapid.T) {
		p := drawProgram(r)
		x, value, how := p.solve()
		want, wantHow := glpsol(t, p)
		seen[how]++
		if how != wantHow {
			r.Fatalf("outcome %d, glpsol %d (cost %g)\n%s", how, wantHow, want, p.cplex())
		}
		if how != optimal {
			return
		}
		if err := p.holds(x); err != nil {
			r.Fatalf("%v\n%s", err, p.cplex())
		}
		if math.Abs(value-want) > 1e-6*(1+math.Abs(want)) {
			r.Fatalf("cost %.12g, glpsol %.12g\n%s", value, want, p.cplex())
		}
	})
	t.Logf("optimal %d, infeasible %d, unbounded %d", seen[optimal], seen[infeasible], seen[unbounded])
	if seen[optimal] < 5 {
		t.Error("hardly any program had an optimum: the draws say little")
	}
}

// Worked by hand: the corner of two conditions.
func TestSimplexCorner(t *testing.T) {
	p := &program{cost: []float64{-3, -5}, rows: []row{
		{[]float64{1, 0}, atMost, 4}, {[]float64{0, 2}, atMost, 12}, {[]float64{3, 2}, atMost, 18},
	}}
	x, value, how := p.solve()
	if how != optimal || math.Abs(x[0]-2) > 1e-9 || math.Abs(x[1]-6) > 1e-9 || math.Abs(value+36) > 1e-9 {
		t.Errorf("%v, %g, %d; want 2, 6, −36", x, value, how)
	}
}

// A program that cycles under Dantzig's rule (Beale 1955, as every textbook has
// it, from memory) must end: its optimum is −1/20.
func TestSimplexDoesNotCycle(t *testing.T) {
	p := &program{cost: []float64{-0.75, 150, -0.02, 6}, rows: []row{
		{[]float64{0.25, -60, -0.04, 9}, atMost, 0}, {[]float64{0.5, -90, -0.02, 3}, atMost, 0}, {[]float64{0, 0, 1, 0}, atMost, 1},
	}}
	if _, value, how := p.solve(); how != optimal || math.Abs(value+0.05) > 1e-9 {
		t.Errorf("%g, %d; want −0.05", value, how)
	}
}
