package plan_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/plan"
)

// least tries every assignment.
func least(cost [][]int, left []int) (best int, ok bool) {
	if len(cost) == 0 {
		return 0, true
	}
	for k, c := range cost[0] {
		if left[k] == 0 || c >= plan.Forbidden {
			continue
		}
		left[k]--
		if rest, possible := least(cost[1:], left); possible && (!ok || c+rest < best) {
			best, ok = c+rest, true
		}
		left[k]++
	}
	return best, ok
}

func TestAssignIsTheBestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		things, places := rapid.IntRange(0, 6).Draw(t, "things"), rapid.IntRange(1, 4).Draw(t, "places")
		cost, capacity := make([][]int, things), rapid.SliceOfN(rapid.IntRange(0, 4), places, places).Draw(t, "capacity")
		for i := range cost {
			cost[i] = rapid.SliceOfN(rapid.OneOf(rapid.IntRange(0, 20), rapid.Just(plan.Forbidden)), places, places).Draw(t, "cost")
		}
		want, possible := least(cost, append([]int{}, capacity...))
		place, total, err := plan.Assign(cost, capacity)
		if !possible {
			if !errors.Is(err, plan.ErrNoRoom) {
				t.Fatalf("there is no room, but: %v, %v", place, err)
			}
			return
		}
		if err != nil || total != want {
			t.Fatalf("costs %d, the best of all %d (%v)", total, want, err)
		}
		sum, held := 0, make([]int, places)
		for i, k := range place {
			sum += cost[i][k]
			held[k]++
		}
		for k := range held {
			if held[k] > capacity[k] {
				t.Fatalf("place %d holds %d of %d", k, held[k], capacity[k])
			}
		}
		if sum != total {
			t.Fatalf("says %d, is %d", total, sum)
		}
	})
}

func TestAssignRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		cost     [][]int
		capacity []int
	}{"ragged": {[][]int{{1}}, []int{1, 1}}, "below nothing": {[][]int{{-1}}, []int{1}}, "negative room": {[][]int{{1}}, []int{-1}}} {
		if _, _, err := plan.Assign(c.cost, c.capacity); err == nil || errors.Is(err, plan.ErrNoRoom) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

var objective = regexp.MustCompile(`Objective: +\S+ = +(-?\d+)`)

// The optimum is that of GLPK's solver for integer programs (Debian glpk-utils)
// on instances of the size of a household, with ties and forbidden pairs.
func TestAssignAgainstGLPK(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		if os.Getenv("VELAMEN_PEERS") == "required" {
			t.Fatal("glpsol is missing: install the Debian package glpk-utils")
		}
		t.Skip("glpsol is not installed (Debian package glpk-utils)")
	}
	random := rand.New(rand.NewPCG(1, 2))
	for n := range 12 {
		things, places := 5+random.IntN(40), 3+random.IntN(8)
		cost, capacity := make([][]int, things), make([]int, places)
		for i := range cost {
			cost[i] = make([]int, places)
			for k := range cost[i] {
				if cost[i][k] = random.IntN(50); random.IntN(8) == 0 && k > 0 {
					cost[i][k] = plan.Forbidden
				}
			}
		}
		for k := range capacity {
			capacity[k] = random.IntN(2*things/places + 2)
		}
		capacity[0] = things // so that there is always room
		_, total, err := plan.Assign(cost, capacity)
		if err != nil {
			t.Fatal(err)
		}
		if want := glpk(t, cost, capacity); total != want {
			t.Errorf("instance %d: %d, GLPK finds %d", n, total, want)
		}
	}
}

func glpk(t *testing.T, cost [][]int, capacity []int) int {
	t.Helper()
	var goal, rows, names strings.Builder
	for i, row := range cost {
		var each []string
		for k, c := range row {
			if c >= plan.Forbidden {
				continue
			}
			name := fmt.Sprintf("x%d_%d", i, k)
			fmt.Fprintf(&goal, " + %d %s", c, name)
			fmt.Fprintf(&names, " %s\n", name)
			each = append(each, name)
		}
		fmt.Fprintf(&rows, " one%d: %s = 1\n", i, strings.Join(each, " + "))
	}
	for k, n := range capacity {
		var each []string
		for i, row := range cost {
			if row[k] < plan.Forbidden {
				each = append(each, fmt.Sprintf("x%d_%d", i, k))
			}
		}
		if len(each) > 0 {
			fmt.Fprintf(&rows, " room%d: %s <= %d\n", k, strings.Join(each, " + "), n)
		}
	}
	file := filepath.Join(t.TempDir(), "assign.lp")
	text := "Minimize\n cost:" + goal.String() + "\nSubject To\n" + rows.String() + "Binary\n" + names.String() + "End\n"
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	answer := file + ".txt"
	if out, err := exec.Command("glpsol", "--lp", file, "-o", answer).CombinedOutput(); err != nil {
		t.Fatalf("glpsol: %v\n%s", err, out)
	}
	said, err := os.ReadFile(answer)
	if err != nil {
		t.Fatal(err)
	}
	m := objective.FindSubmatch(said)
	if m == nil {
		t.Fatalf("glpsol says\n%s", said)
	}
	value, err := strconv.Atoi(string(m[1]))
	if err != nil {
		t.Fatal(err)
	}
	return value
}

func BenchmarkAssignThousandPlants(b *testing.B) {
	random := rand.New(rand.NewPCG(3, 4))
	cost, capacity := make([][]int, 1000), make([]int, 20)
	for i := range cost {
		cost[i] = make([]int, len(capacity))
		for k := range cost[i] {
			cost[i][k] = random.IntN(1000)
		}
	}
	for k := range capacity {
		capacity[k] = 60
	}
	for b.Loop() {
		if _, _, err := plan.Assign(cost, capacity); err != nil {
			b.Fatal(err)
		}
	}
}
