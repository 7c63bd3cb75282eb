package plot_test

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/plot"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

func courseExample() plot.CoursePicture {
	c := plot.CoursePicture{ID: "course", Title: "Course of C-001", Description: "Down to 55 % of the usual care, back in 14 weeks.", Today: 24}
	share := []float64{0.6, 0.58, 0.55, 0.55, 0.56, 0.6, 0.7, 0.77, 0.83, 0.87, 0.9, 0.93, 0.95, 1}
	for i, v := range share {
		w := plot.CourseWeek{FromDay: 7 * i, ToDay: 7*i + 6, Stage: "settling", Low: v - 0.08, Value: v, High: min(1, v+0.1),
			DayRH: 70 - float64(i), NightRH: 80 - float64(i), FlushDays: 2, Says: "week"}
		switch {
		case i == len(share)-1:
			w.Stage, w.FlushDays = "established", 4
		case i >= 6:
			w.Stage, w.FlushDays = "stepping up", 4
		case i >= 2:
			w.Stage, w.FlushDays = "rooting", 3
		}
		c.Weeks = append(c.Weeks, w)
	}
	return c
}

func rootsExample() plot.RootsPicture {
	return plot.RootsPicture{ID: "roots", Title: "Roots of C-001", Description: "Root A grows, root B waits for an answer.", Unit: "mm", XMin: 0, XMax: 35, Today: 24,
		Roots: []plot.RootCurve{
			{Name: "A: growing", Role: plot.Growth, Read: []plot.RootPoint{{X: 7, Length: 12, Error: 0.5, Says: "12 mm"}, {X: 14, Length: 18, Error: 0.5, Says: "18 mm"}, {X: 21, Length: 25, Error: 0.5, Says: "25 mm"}},
				X: []float64{7, 14, 21, 35}, Low: []float64{11, 17, 24, 33}, Middle: []float64{12, 18.2, 25, 38.6}, High: []float64{13, 19, 26, 44}},
			{Name: "B: a reading in question", Role: plot.Waiting, Read: []plot.RootPoint{{X: 7, Length: 40, Error: 2, Says: "40 mm"}, {X: 14, Length: 20, Error: 2, Asked: true, Says: "20 mm, asked about"}}},
		}}
}

func potExample() plot.PotPicture {
	c := plot.PotPicture{ID: "pot", Title: "Water and salt in C-001", Description: "Dries to 40 % before each flush.", Start: time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC),
		Ahead: 96, SaltUnit: "mS/cm", Driest: 20, Saltiest: 1.2}
	for h := range 24 * 10 {
		since := float64((h + 64) % 72)
		water, salt := 85-0.6*since, 0.3+0.006*since
		c.Water.Value, c.Water.Low, c.Water.High = append(c.Water.Value, water), append(c.Water.Low, water-8), append(c.Water.High, math.Min(100, water+9))
		c.Salt.Value, c.Salt.Low, c.Salt.High = append(c.Salt.Value, salt), append(c.Salt.Low, 0.8*salt), append(c.Salt.High, 1.3*salt)
		if since == 0 {
			c.Pours = append(c.Pours, plot.PourMark{Hour: float64(h), Fed: h > 100 && h < 160, Says: "flush, 400 mL"})
		}
	}
	return c
}

func TestPicturesStayAsTheyWere(t *testing.T) {
	for name, draw := range map[string]func() (string, error){
		"course": courseExample().SVG, "roots": rootsExample().SVG, "pot": potExample().SVG,
	} {
		svg, err := draw()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		file := filepath.Join("testdata", name+".svg")
		if *update {
			if err := os.WriteFile(file, []byte(svg), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		golden, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(golden), svg); diff != "" {
			t.Errorf("%s has changed; look at it, then run with -update:\n%s", name, diff)
		}
	}
}

func TestPicturesSpeak(t *testing.T) {
	for name, want := range map[string]struct {
		draw  func() (string, error)
		words []string
	}{
		"course": {courseExample().SVG, []string{">settling<", ">rooting<", ">stepping up<", ">established<", ">today<", "<title>week</title>", `aria-labelledby="course-t course-d"`}},
		"roots":  {rootsExample().SVG, []string{"A: growing", "point asked", ">?<", "20 mm, asked about"}},
		"pot":    {potExample().SVG, []string{"roots too dry", "pour fed", "flush, 400 mL", ">20 Nov<", ">today<"}},
	} {
		svg, err := want.draw()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		decoder := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := decoder.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s is not well-formed: %v", name, err)
			}
		}
		for _, word := range append(want.words, `role="img"`, "<desc") {
			if !strings.Contains(svg, word) {
				t.Errorf("%s lacks %q", name, word)
			}
		}
		// Pages forbid styles inside.
		for _, never := range []string{"<style", "style=", "NaN", "Inf"} {
			if strings.Contains(svg, never) {
				t.Errorf("%s holds %q", name, never)
			}
		}
	}
}

func TestUndrawablePicturesAreRefused(t *testing.T) {
	course, backwards, roots, pot, short := courseExample(), courseExample(), rootsExample(), potExample(), potExample()
	course.Weeks[3].Value = math.NaN()
	backwards.Weeks[3].ToDay = 0
	roots.Roots[0].High = roots.Roots[0].High[:2]
	pot.Salt.Value[7] = math.Inf(1)
	short.Water.Low = short.Water.Low[:10]
	for name, draw := range map[string]func() (string, error){
		"course not a number": course.SVG, "a week that ends before it begins": backwards.SVG, "no weeks": plot.CoursePicture{}.SVG,
		"trend of unequal lengths": roots.SVG, "no roots": plot.RootsPicture{XMax: 1}.SVG,
		"infinite salt": pot.SVG, "a band that is too short": short.SVG, "no hours": plot.PotPicture{}.SVG,
	} {
		if svg, err := draw(); err == nil || svg != "" {
			t.Errorf("%s: drawn without an error", name)
		}
	}
}
