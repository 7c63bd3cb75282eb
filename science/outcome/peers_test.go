package outcome_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"velamen/science/outcome"
)

// peerSet are random records of two groups of plants.
type peerSet struct {
	records [2][]outcome.Recovery
	until   float64
}

func (s peerSet) all() []outcome.Recovery {
	return append(append([]outcome.Recovery(nil), s.records[0]...), s.records[1]...)
}

// randomPeerSet draws plants that are looked at every few days: most root, some
// die, some are watched no longer. Whole days make many ties.
func randomPeerSet(r *rand.Rand) peerSet {
	s := peerSet{until: 45}
	for g := range s.records {
		for i := range 15 + r.IntN(40) {
			every := float64(5 + r.IntN(6))
			root, death, end := 30*math.Exp(0.6*r.NormFloat64()), -150*math.Log(r.Float64()), 15+150*r.Float64()
			if i == 0 {
				root, death, end = 400, 400, 120 // somebody is watched to the end
			}
			name := fmt.Sprintf("%c%d", 'a'+g, i)
			for last := 0.0; ; {
				look := last + every
				switch {
				case death <= look && death < end && death < root:
					s.records[g] = append(s.records[g], outcome.DiedBetween(name, last, look))
				case look > end:
					s.records[g] = append(s.records[g], outcome.NotSeenBy(name, math.Max(last, 1)))
				case root <= look:
					s.records[g] = append(s.records[g], outcome.SeenBetween(name, last, look))
				default:
					last = look
					continue
				}
				break
			}
		}
	}
	return s
}

// peerCSV writes the sets as testdata/peers.R reads them. An open end has its last
// look as both days; a death, for curves between looks, too.
func peerCSV(sets []peerSet) string {
	var b strings.Builder
	fmt.Fprintln(&b, "set,until,group,after,by,ending")
	for i, s := range sets {
		for g, list := range s.records {
			for _, r := range list {
				by, ending := r.ByDay, "seen"
				switch r.Ending {
				case outcome.Died:
					ending = "died"
				case outcome.NotYet:
					by, ending = r.AfterDay, "open"
				}
				fmt.Fprintf(&b, "%d,%g,%c,%g,%g,%s\n", i, s.until, 'a'+g, r.AfterDay, by, ending)
			}
		}
	}
	return b.String()
}

// needsR skips a test where R or its survival package is missing, and fails it
// where they are called for.
func needsR(t *testing.T) {
	t.Helper()
	if out, err := exec.Command("Rscript", "-e", "library(survival)").CombinedOutput(); err != nil {
		if os.Getenv("VELAMEN_PEERS") == "required" {
			t.Fatalf("R with its survival package is called for (Debian: r-cran-survival): %v\n%s", err, out)
		}
		t.Skip("R with its survival package is not here (Debian: r-cran-survival)")
	}
}

// Random records, computed by the survival package of R as well: every figure to
// the digits that floating point keeps. Curves between looks are iterated: survfit
// of R stops its own within 5e-3 of the shares, and a longer one in testdata/peers.R
// comes within 5e-4.
func TestAgainstSurvivalPackageOfR(t *testing.T) {
	needsR(t)
	r := rand.New(rand.NewPCG(1984, 12))
	sets := make([]peerSet, 6)
	for i := range sets {
		sets[i] = randomPeerSet(r)
	}
	command := exec.Command("Rscript", "testdata/peers.R")
	command.Stdin = strings.NewReader(peerCSV(sets))
	var problems bytes.Buffer
	command.Stderr = &problems
	out, err := command.Output()
	if err != nil {
		t.Fatalf("Rscript: %v\n%s", err, problems.String())
	}
	reader := csv.NewReader(bytes.NewReader(out))
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	compared := map[string]int{}
	for _, row := range rows {
		var i int
		if _, err := fmt.Sscan(row[0], &i); err != nil {
			t.Fatal(err)
		}
		values := make([]float64, 0, len(row))
		for _, cell := range row[2 : len(row)-1] {
			x := math.NaN()
			if cell != "NA" {
				x = number(t, cell)
			}
			values = append(values, x)
		}
		comparePeer(t, sets[i], fmt.Sprintf("set %d, %s", i, row[1]), row[1], values[0], values[1:])
		compared[row[1]]++
	}
	for _, what := range []string{"km", "median", "mean", "area", "incidence", "logrank0", "logrank1", "welch", "turnbull", "em", "likelihood"} {
		if compared[what] < len(sets) {
			t.Errorf("%s was compared only %d times", what, compared[what])
		}
	}
	t.Logf("figures compared: %v", compared)
}

func comparePeer(t *testing.T, s peerSet, name, what string, at float64, want []float64) {
	t.Helper()
	const digits = 1e-9
	found := func(list []outcome.Recovery) []outcome.Recovery {
		return outcome.DeathsAsUnseen(outcome.AtDayFound(list))
	}
	curve := func(list []outcome.Recovery) outcome.Curve {
		return must[outcome.Curve](t)(outcome.KaplanMeier(found(list), outcome.LogLog, 0.95))
	}
	reach := func(part string, got outcome.Reach, want float64) {
		t.Helper()
		if got.Reached == math.IsNaN(want) || got.Reached && math.Abs(got.Day-want) > digits {
			t.Errorf("%s, %s: got %+v, want %v", name, part, got, want)
		}
	}
	switch what {
	case "km":
		step := must[outcome.Step](t)(curve(s.all()).At(at))
		for i, got := range []float64{step.Unseen, step.StandardError, step.Low, step.High} {
			near(t, fmt.Sprintf("%s, day %g, column %d", name, at, i), got, want[i], digits)
		}
	case "median":
		m := curve(s.all()).Median()
		reach("estimate", m.Estimate, want[0])
		reach("low", m.Low, want[1])
		reach("high", m.High, want[2])
	case "mean", "area":
		mean := must[outcome.Mean](t)(curve(s.all()).RestrictedMean(at))
		near(t, name, mean.Days, want[0], 1e-8)
		if what == "mean" {
			near(t, name+", standard error", mean.StandardError, want[1], 1e-8)
		}
	case "incidence":
		c := must[outcome.IncidenceCurve](t)(outcome.AalenJohansen(outcome.AtDayFound(s.all()), outcome.LogLog, 0.95))
		step := must[outcome.IncidenceStep](t)(c.At(at))
		for i, got := range []float64{step.Seen.Share, step.Died.Share, step.Seen.StandardError, step.Died.StandardError} {
			near(t, fmt.Sprintf("%s, day %g, column %d", name, at, i), got, want[i], digits)
		}
	case "logrank0", "logrank1":
		weighting := outcome.Even
		if what == "logrank1" {
			weighting = outcome.Early
		}
		test := must[outcome.Test](t)(outcome.LogRank(found(s.records[0]), found(s.records[1]), weighting))
		near(t, name+", chi-squared", test.ChiSquared, want[0], 1e-8)
		near(t, name+", observed", test.FirstObserved, want[1], 1e-8)
		near(t, name+", expected", test.FirstExpected, want[2], 1e-8)
	case "welch":
		d := must[outcome.MeanDifference](t)(outcome.RestrictedMeanDifference(curve(s.records[0]), curve(s.records[1]), at, 10, 0.95))
		near(t, name+", low", d.Low, want[0], 1e-6)
		near(t, name+", high", d.High, want[1], 1e-6)
	case "turnbull", "em", "likelihood":
		c := must[outcome.IntervalCurve](t)(outcome.Turnbull(outcome.DeathsAsUnseen(s.all())))
		if what == "likelihood" {
			// Twenty thousand steps come so near; a step never makes it worse.
			if c.LogLikelihood < want[0]-1e-9 || c.LogLikelihood > want[0]+1e-3 {
				t.Errorf("%s: %.9f here, %.9f in R", name, c.LogLikelihood, want[0])
			}
			return
		}
		tolerance := 5e-4
		if what == "turnbull" {
			tolerance = 5e-3
		}
		least, greatest, err := c.Unseen(at)
		if err != nil {
			t.Fatal(err)
		}
		if want[0] < least-tolerance || want[0] > greatest+tolerance {
			t.Errorf("%s, day %g: R has %.5f, here it lies from %.5f to %.5f", name, at, want[0], least, greatest)
		}
	default:
		t.Fatalf("R says something of %q", what)
	}
}
