package web

import (
	"encoding/csv"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

func TestOutcomesOfAnEmptyCollection(t *testing.T) {
	b := newBench(t)
	page := b.get("/outcomes")
	if !strings.Contains(page, "No plant has been repotted yet") {
		t.Errorf("an empty collection says nothing:\n%s", page)
	}
	if rows := outcomeRows(t, b.get("/outcomes.csv")); len(rows) != 1 {
		t.Errorf("%d rows of nothing", len(rows))
	}
}

func outcomeRows(t *testing.T, text string) [][]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// Four plants of a story that can be told in full: two rooted, one died, one
// cannot be right.
func TestOutcomesOfFourPlants(t *testing.T) {
	b := newBench(t)
	today := b.server.Book.Today()
	for i, label := range []string{"A", "B", "C", "D"} {
		id := fmt.Sprintf("01900000-0000-7000-9000-%012d", i+1)
		at := func(day int) time.Time { return today.AddDate(0, 0, day-100).Add(9 * time.Hour) }
		add := func(day int, kind care.Kind, d care.Detail) {
			t.Helper()
			e := care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-%06d%06d", i+1, day+500), At: at(day), Kind: kind, Plant: id, Detail: d}
			if _, err := b.server.Book.Append(t.Context(), e); err != nil {
				t.Fatal(err)
			}
		}
		repot := care.Repot{Date: today.AddDate(0, 0, -100)}
		if i < 2 {
			repot.SoakedHours = basis.Exactly(12, "h", basis.Given, "")
		}
		add(-10, care.PlantSet, care.Detail{Plant: &care.Plant{Label: label, Group: "Phalaenopsis"}})
		add(0, care.RepotDone, care.Detail{Repot: &repot})
		look := func(day int, tip string) {
			add(day, care.RootsRead, care.Detail{Roots: []care.RootReading{{Root: "A", LengthMM: 5, Tip: tip}}})
		}
		switch label {
		case "A", "B":
			look(20, "resting")
			look(27+i, "growing")
		case "C":
			look(20, "resting")
			add(33, care.PlantLost, care.Detail{})
		case "D":
			add(-7, care.PlantLost, care.Detail{})
		}
	}
	page := b.get("/outcomes?" + url.Values{"practice": {string(care.BySoak)}}.Encode())
	for _, want := range []string{
		"3 recoveries of 3 plants: 1 died, 2 still running.", "somewhere between day 20 and day 27", "not enough plants to tell",
		"You chose which plant got what", "its end is dated", `class="picture steps"`, `class="picture stack"`, "The same as a table", "because", "Phalaenopsis (standard hybrids)", "2 of 3",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(page, "NaN") || strings.Contains(page, "Inf") || strings.Contains(page, "style=") {
		t.Error("the page says NaN or Inf, or has a style of its own")
	}
	rows := outcomeRows(t, b.get("/outcomes.csv"))
	if len(rows) != 5 {
		t.Fatalf("%d rows", len(rows))
	}
	told := map[string][]string{}
	for _, row := range rows[1:] {
		told[row[5]] = row
	}
	for label, want := range map[string][]string{"A": {"20", "27", "seen"}, "B": {"20", "28", "seen"}, "C": {"20", "33", "died"}, "D": {"", "", ""}} {
		if got := told[label][1:4]; strings.Join(got, "|") != strings.Join(want, "|") {
			t.Errorf("%s: %q, expected %q", label, got, want)
		}
	}
	// What is no choice asks for nothing; a day that is none is said beside its field.
	page = b.get("/outcomes?practice=luck&since=someday&group=nothing")
	if !strings.Contains(page, "is no day") || !strings.Contains(page, "No recovery is like that") {
		t.Errorf("a wrong question:\n%s", errorsIn(page))
	}
}

// withWholeSample puts in the sample collection with its years of care.
func withWholeSample(c *Config, b *bench) {
	c.Sample = sampleCase
	filled := &Server{Config: *c}
	if err := filled.LoadSample(b.t.Context()); err != nil {
		b.t.Fatal(err)
	}
}

// Every practice can be asked of the sample, for both signs.
func TestEveryQuestionOfTheSample(t *testing.T) {
	b := newBench(t, withWholeSample)
	for _, a := range care.Awaiteds {
		for _, p := range care.Practices {
			page := b.get("/outcomes?" + url.Values{"awaited": {string(a)}, "practice": {string(p)}}.Encode())
			if !strings.Contains(page, "Compared by") || strings.Contains(page, "NaN") || strings.Contains(page, "Inf") {
				t.Errorf("%s by %s cannot be told", a, p)
			}
		}
	}
}

// The page of a plant tells what is usual and what own plants of its group make
// of it.
func TestPlantPageTellsThePaceHere(t *testing.T) {
	b := newBench(t, withWholeSample)
	var id string
	b.server.Book.Read(func(c *care.Collection) {
		if p, err := c.ByLabel("P-001"); err == nil {
			id = p.ID
		}
	})
	if page := b.get("/plant/" + id); !strings.Contains(page, "A first growing root usually comes by day") && !strings.Contains(page, "a first growing root usually comes by day") || !strings.Contains(page, "own recoveries of this group") {
		t.Error("the page does not tell the pace here")
	}
}
