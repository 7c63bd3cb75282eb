package care

import (
	"fmt"
	"math"
	"slices"

	"velamen/science/course"
)

// Contrast is one thing in which courses are set side by side. Ways are those of
// the courses, in their order; Differ says of each whether it is another than the
// first.
type Contrast struct {
	Name   string   `json:"name"`
	Ways   []string `json:"ways"`
	Differ []bool   `json:"differ"`
}

// Differs reports whether any way is another than the first.
func (c Contrast) Differs() bool { return slices.Contains(c.Differ, true) }

// Contrasts sets courses side by side on the same day, in the order in which a
// grower decides: how far down, what to give, how much work, how long.
func Contrasts(u Units, courses ...*Course) []Contrast {
	var list []Contrast
	add := func(name string, say func(c *Course) string) {
		one, said := Contrast{Name: name}, false
		for _, c := range courses {
			one.Ways = append(one.Ways, say(c))
			last := len(one.Ways) - 1
			one.Differ = append(one.Differ, one.Ways[last] != one.Ways[0])
			said = said || one.Ways[last] != ""
		}
		if said {
			list = append(list, one)
		}
	}
	figure := func(f Figure) string {
		text := u.Show(f.Value)
		if span := u.ShowRange(f.Value); span != "" {
			text += " (" + span + ")"
		}
		return text
	}
	add("What the roots can bring at their lowest", func(c *Course) string { return figure(c.Supply) })
	add("Of the usual care now", func(c *Course) string { return figure(c.Now.Factor) })
	add("Intensive care", func(c *Course) string {
		if c.Intensive {
			return "yes"
		}
		return "no"
	})
	add("Feed", func(c *Course) string {
		if c.Now.FeedGramsPerLitre == nil {
			return ""
		}
		return figure(*c.Now.FeedGramsPerLitre)
	})
	add("Feed, finished", func(c *Course) string { return figure(c.Now.FeedECmS) })
	add("Light, brightest", func(c *Course) string {
		return u.ShowLight(c.Now.LightPPFD.Value.Value, c.Now.LightDLI.Value.Value, c.LuxPerPPFD)
	})
	add("Day, not above", func(c *Course) string { return u.Show(c.Now.DayHeatCapC.Value) })
	add("Air", func(c *Course) string {
		if c.Now.TurnedAway {
			return string(c.Now.Air) + ", turned away"
		}
		return string(c.Now.Air)
	})
	add("Humidity, day", func(c *Course) string { return figure(c.Now.DayRHPercent) })
	add("Humidity, night", func(c *Course) string { return figure(c.Now.NightRHPercent) })
	add("Flush every", func(c *Course) string { return u.Show(c.Flush.Every.Value) })
	add("Water of a flush", func(c *Course) string { return figure(c.Flush.Total) })
	add("Wettings a day", func(c *Course) string {
		if c.Flush.Wettings < 2 {
			return ""
		}
		return fmt.Sprint(c.Flush.Wettings)
	})
	add("Water in between, every", func(c *Course) string {
		if c.Flush.Between == nil {
			return ""
		}
		return fmt.Sprintf("%d days", c.Flush.WaterEvery)
	})
	add("Flushes in the first six weeks", func(c *Course) string {
		flushes := 0.0
		for i := range c.Weeks {
			if w := &c.Weeks[i]; w.FromDay < int(course.RecoveryDays.Value) {
				flushes += float64(w.ToDay-w.FromDay+1) / math.Max(1, w.Flush.Every.Value.Value)
			}
		}
		return fmt.Sprintf("%.0f", flushes)
	})
	add("First new root", func(c *Course) string {
		for i := range c.Marks {
			if c.Marks[i].Name == "first root" {
				return c.Marks[i].Date.Format("about 2 January 2006")
			}
		}
		return ""
	})
	add("Usual care, if every step is earned", func(c *Course) string {
		for i := range c.Weeks {
			if c.Weeks[i].Stage == course.Established {
				return c.Weeks[i].From.Format("about 2 January 2006")
			}
		}
		return "not within a year"
	})
	add("Patience without any root", func(c *Course) string { return figure(c.Patience) })
	return list
}
