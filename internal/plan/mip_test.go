package plan

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// answer is what a general solver says of a model.
type answer struct {
	cost       float64
	bound      float64
	optimal    bool
	infeasible bool
}

// needSolver returns the path of a general solver of mixed-integer programs; the
// tests of record have to have one.
func needSolver(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("VELAMEN_PEERS") == "required" {
		t.Fatalf("%s is missing; it is in the Debian packages coinor-cbc and glpk-utils", name)
	}
	t.Skipf("%s is not installed (Debian packages coinor-cbc, glpk-utils)", name)
	return ""
}

// program writes a model in the LP format that general solvers read, as
// docs/round.md states it. With onTime only options for which keep holds may be
// taken, and there is nothing to minimise.
func program(m *Model, keep func(item int, o *Option) bool) string {
	var goal, rows, bounds, integers bytes.Buffer
	minutes := make([]bytes.Buffer, m.Days)
	water := make([][]string, len(m.Stocks)*m.Days)
	opened := map[string]bool{}
	fmt.Fprint(&goal, "Minimize\n cost: 0 zero")
	fmt.Fprint(&bounds, "Bounds\n zero = 0\n")
	term := func(b *bytes.Buffer, v float64, name string) { fmt.Fprintf(b, "\n %+.12g %s", v, name) }
	for i := range m.Items {
		it := &m.Items[i]
		fmt.Fprintf(&rows, " one%d:", i)
		any := false
		for k, o := range m.optionsOf(i) {
			if keep != nil && !keep(i, &o) {
				continue
			}
			any = true
			x := fmt.Sprintf("x%d_%d", i, k)
			fmt.Fprintf(&integers, " %s\n", x)
			fmt.Fprintf(&rows, " + %s", x)
			if keep == nil {
				term(&goal, o.Cost, x)
			}
			if o.Day < 0 {
				continue
			}
			term(&minutes[o.Day], float64(o.Minutes), x)
			if it.Stock >= 0 && o.Litres > 0 {
				at := int(it.Stock)*m.Days + int(o.Day)
				water[at] = append(water[at], fmt.Sprintf("%+.12g %s", -float64(o.Litres), x))
			}
			for _, setup := range it.needs(&o) {
				if setup >= 0 {
					y := fmt.Sprintf("y%d_%d", setup, o.Day)
					if !opened[y] {
						opened[y] = true
						fmt.Fprintf(&integers, " %s\n", y)
						term(&minutes[o.Day], m.Setups[setup], y)
						if keep == nil {
							term(&goal, m.SetupPrice*m.Setups[setup], y)
						}
					}
				}
			}
		}
		if !any {
			fmt.Fprint(&rows, " 0 zero")
		}
		fmt.Fprint(&rows, " = 1\n")
		for k, o := range m.optionsOf(i) {
			if o.Day < 0 || keep != nil && !keep(i, &o) {
				continue
			}
			for _, setup := range it.needs(&o) {
				if setup >= 0 {
					fmt.Fprintf(&rows, " open%d_%d_%d: x%d_%d - y%d_%d <= 0\n", i, k, setup, i, k, setup, o.Day)
				}
			}
		}
	}
	for day := range m.Days {
		if minutes[day].Len() == 0 {
			continue
		}
		if !math.IsInf(m.Minutes[day], 1) {
			fmt.Fprintf(&rows, " minutes%d:%s <= %.12g\n", day, minutes[day].String(), m.Minutes[day])
		}
		if keep == nil && m.LevelPrice > 0 && !math.IsInf(m.Level[day], 1) {
			fmt.Fprintf(&rows, " level%d:%s - v%d <= %.12g\n", day, minutes[day].String(), day, m.Level[day])
			term(&goal, m.LevelPrice, fmt.Sprintf("v%d", day))
		}
	}
	for i, s := range m.Stocks {
		for day := range m.Days {
			fmt.Fprintf(&rows, " stock%d_%d: s%d_%d + r%d_%d", i, day, i, day, i, day)
			in := s.In[day]
			if day == 0 {
				in += s.Start
			} else {
				fmt.Fprintf(&rows, " - s%d_%d", i, day-1)
			}
			for _, use := range water[i*m.Days+day] {
				fmt.Fprintf(&rows, "\n + %s", strings.Replace(use, "-", "", 1))
			}
			fmt.Fprintf(&rows, " = %.12g\n", in)
			if !math.IsInf(s.Holds, 1) { // before it is used, the tank holds no more
				fmt.Fprintf(&rows, " holds%d_%d: s%d_%d", i, day, i, day)
				for _, use := range water[i*m.Days+day] {
					fmt.Fprintf(&rows, "\n + %s", strings.Replace(use, "-", "", 1))
				}
				fmt.Fprintf(&rows, " <= %.12g\n", s.Holds)
			}
		}
	}
	return goal.String() + "\nSubject To\n" + rows.String() + bounds.String() + "Binary\n" + integers.String() + "End\n"
}

// solveWithCBC hands a program to COIN-OR branch and cut, without its
// preprocessing: with it, version 2.10.8 called a plan the best that costs two in a
// hundred more than another that keeps every limit.
func solveWithCBC(t testing.TB, text string, seconds int) answer {
	t.Helper()
	cbc := needSolver(t, "cbc")
	file := filepath.Join(t.TempDir(), "plan.lp")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	// Its own clock does not count what happens before branching.
	ctx, stop := context.WithTimeout(t.Context(), time.Duration(8*seconds)*time.Second)
	defer stop()
	out, err := exec.CommandContext(ctx, cbc, file, "-seconds", strconv.Itoa(seconds), "-preprocess", "off", "-ratioGap", "1e-5", "-solve", "-quit").CombinedOutput()
	if ctx.Err() != nil {
		return answer{cost: math.Inf(1), bound: math.Inf(-1)} // it knows nothing
	}
	if err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	return readCBC(t, string(out))
}

var (
	cbcCost  = regexp.MustCompile(`(?m)^Objective value:\s+([-+0-9.e]+)`)
	cbcBound = regexp.MustCompile(`(?m)^Lower bound:\s+([-+0-9.e]+)`)
)

func readCBC(t testing.TB, out string) (a answer) {
	t.Helper()
	number := func(r *regexp.Regexp) float64 {
		found := r.FindStringSubmatch(out)
		if found == nil {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(found[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	a.cost, a.bound = number(cbcCost), number(cbcBound)
	switch {
	case strings.Contains(out, "proven infeasible") || strings.Contains(out, "Problem proven infeasible") || strings.Contains(out, "roblem is infeasible") || strings.Contains(out, "Result - Linear relaxation infeasible"):
		a.infeasible = true
	case strings.Contains(out, "Result - Optimal solution found"):
		a.optimal, a.bound = true, a.cost
	case strings.Contains(out, "Result - Stopped on time limit"):
	default:
		t.Fatal(errors.New("cbc says neither: " + out))
	}
	return a
}
