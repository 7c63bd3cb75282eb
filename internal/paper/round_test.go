package paper_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/internal/paper"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// workDays are days with so many jobs each, some of plants with long names.
func workDays(days, jobs int) []paper.WorkDay {
	list := make([]paper.WorkDay, days)
	for i := range list {
		on := day.AddDate(0, 0, i)
		var due []care.Job
		for k := range jobs {
			job := care.Job{
				Key: fmt.Sprintf("%d/flush/%d", k, i), Plant: fmt.Sprint(k), Label: fmt.Sprintf("D%d-%03d", i, k), Name: "nodosa", Space: []string{"balcony", "shelf"}[k%2],
				Task: []care.Task{care.Flushing, care.LookForPests}[k%2], Due: on, Latest: on, Amount: "300 mL in 2 pours, 60 min between", ML: 300, Minutes: basis.Exactly(2, "min", basis.Assumption, ""),
			}
			if k%7 == 0 {
				job.Name = strings.Repeat("Rhyncholaeliocattleya ‘Übergröße’ ", 4)
			}
			due = append(due, job)
		}
		list[i] = paper.WorkDay{On: on, Round: plan.Lay(due, []string{"balcony", "shelf"}, on)}
	}
	return list
}

// Every job of every day is on the paper once, none beyond the edge, and pages
// say where a day goes on.
func TestTheRoundHoldsEveryJob(t *testing.T) {
	for _, size := range paper.Sizes {
		var pdf bytes.Buffer
		sheet := paper.RoundSheet{Days: workDays(3, 60), On: day, Units: care.MetricUnits(), Notes: "The can stands behind the door."}
		if err := paper.WriteRound(&pdf, sheet, size); err != nil {
			t.Fatal(err)
		}
		text := words(t, pdf.Bytes())
		for i := range 3 {
			for k := range 60 {
				if n := strings.Count(text, fmt.Sprintf("D%d-%03d", i, k)); n != 1 {
					t.Errorf("%s: job %d of day %d is there %d times", size.Name, k, i, n)
				}
			}
		}
		for _, want := range []string{"The can stands behind the door.", "Tuesday 24 November, continued", "Wednesday 25 November", "page 1 of"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing", size.Name, want)
			}
		}
		inside(t, pdf.Bytes(), size)
	}
}

// A day's sum is that of what is listed, not of what waits besides.
func TestADaySumsWhatItLists(t *testing.T) {
	days := workDays(1, 6)
	r := &days[0].Round
	r.Waits = []plan.Waiting{{Job: r.Stops[0].Jobs[0]}}
	r.Stops[0].Jobs = r.Stops[0].Jobs[1:]
	r.Fits = plan.Limits{Minutes: r.Need.Minutes - 2, Litres: r.Need.Litres - 0.3}
	var pdf bytes.Buffer
	if err := paper.WriteRound(&pdf, paper.RoundSheet{Days: days, On: day, Units: care.MetricUnits()}, paper.A4); err != nil {
		t.Fatal(err)
	}
	if text := words(t, pdf.Bytes()); !strings.Contains(text, "about 10 min, 1.5 L") {
		t.Errorf("the sum is another one\n%s", text)
	}
}

func TestTheSeasonSumsWhatRecurs(t *testing.T) {
	var pdf bytes.Buffer
	if err := paper.WriteSeason(&pdf, paper.SeasonSheet{Days: workDays(9, 10), On: day, Units: care.Units{Inches: true}}, paper.Letter); err != nil {
		t.Fatal(err)
	}
	text := words(t, pdf.Bytes())
	// Seven days of ten jobs of 2 min, five of them flushes of 0.3 L: 140 min and
	// 21 L, 5.5 US gallons; the flushes are not listed one by one.
	for _, want := range []string{"Week of 24 November 2026", "about 140 min, 5.5 gal", "35 flushes", "Week of 1 December 2026", "10 flushes", "D8-009"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing\n%s", want, text)
		}
	}
	if strings.Contains(text, "D0-000") {
		t.Error("a flush is listed by itself")
	}
	inside(t, pdf.Bytes(), paper.Letter)
}

func TestNothingToDoIsSaid(t *testing.T) {
	var pdf bytes.Buffer
	if err := paper.WriteRound(&pdf, paper.RoundSheet{Days: workDays(1, 0), On: day}, paper.A4); err != nil {
		t.Fatal(err)
	}
	if text := words(t, pdf.Bytes()); !strings.Contains(text, "Nothing is due.") {
		t.Errorf("it is not said\n%s", text)
	}
}
