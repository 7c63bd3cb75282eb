// Package demo holds an invented collection: three spaces at 37.8° south, hard
// mains water, a rain barrel and a small reverse-osmosis unit, and forty plants
// repotted at different dates. Nothing in it was measured on a real plant.
package demo

import (
	"strings"
	"text/template"
	"time"
)

// plant is one row of the invented collection.
type plant struct {
	Label, Name, Group, Space      string
	Leaves                         int
	LeafLength, LeafWidth          string
	Pseudobulbs                    int
	Vigour                         string
	DaysAgo                        int // since the work
	Work                           string
	RootsKept, LeavesKept          string
	RootTips                       int
	Soaked, Pests, Flowers         string
	From, To                       string // homes, as a case file writes them
	RoutineStrength, RoutineWaters string // empty: the collection's routine
}

// FirstLine starts the case file and tells it from a file of somebody's own.
const FirstLine = "# An invented collection for trying things out. No plant in it exists."

// FileName is what the demo's case file is called.
const FileName = "demo-collection.toml"

// CaseFile returns the collection as a case file whose dates are relative to
// today. The same day always gives the same text.
func CaseFile(today time.Time) string {
	var b strings.Builder
	if err := layout.Execute(&b, struct {
		Today  time.Time
		Plants []plant
	}{today, plants}); err != nil {
		panic(err) // the layout and the rows are constants; a test renders them
	}
	return b.String()
}

var layout = template.Must(template.New(FileName).Funcs(template.FuncMap{
	"daysBefore": func(today time.Time, days int) string { return today.AddDate(0, 0, -days).Format(time.DateOnly) },
}).Parse(FirstLine + `

[place]
latitude = -37.8
longitude = 145.0
altitude = "30 m"

[[space]]
name = "balcony"            # fourth floor, glazed
kind = "glazed balcony"
day = "26 °C"
night = "16 °C"
day_humidity = "48 %"
night_humidity = "62 %"
air = "gentle"
light = "1800 fc"
light_from = "sun"

[[space]]
name = "shelf"              # spare room, lamps
kind = "lamp shelf"
temperature = "18 to 25 °C"
humidity = "50 to 65 %"
air = "gentle"
light = "190 µmol"
light_from = "led"
light_hours = "13 h"

[[space]]
name = "terrace"            # roof, shade cloth
kind = "shaded terrace"
day = "23 °C"
night = "12 °C"
day_humidity = "55 %"
night_humidity = "75 %"
air = "moving"
light = "2600 fc"
light_from = "sun"

[[water]]
name = "mains"
ec = "0.72 mS/cm"
hardness = "16 °dH"
alkalinity = "210 mg/L CaCO3"

[[water]]
name = "rain barrel"
ec = "25 µS/cm"

[[water]]
name = "reverse osmosis"
ec = "0.03 mS/cm"

[[feed]]
name = "nitrate feed"
label = "13-3-15"
calcium = "8 %"
magnesium = "2 %"

[routine]
water = "rain barrel"
feed = "nitrate feed"
strength = "0.9 g/L"
feed_every = "7 days"
water_every = "4 days"
{{range .Plants}}
[[plant]]
label = "{{.Label}}"
name = "{{.Name}}"
group = "{{.Group}}"
space = "{{.Space}}"
leaves = {{.Leaves}}
leaf_length = "{{.LeafLength}}"
leaf_width = "{{.LeafWidth}}"
{{- if .Pseudobulbs}}
pseudobulbs = {{.Pseudobulbs}}{{end}}
{{- if .Vigour}}
vigour = "{{.Vigour}}"{{end}}
{{- if .RoutineStrength}}
[plant.routine]
water = "{{.RoutineWaters}}"
feed = "nitrate feed"
strength = "{{.RoutineStrength}}"
feed_every = "14 days"
water_every = "3 days"{{end}}
[plant.repot]
date = {{daysBefore $.Today .DaysAgo}}
work = "{{.Work}}"
roots_kept = "{{.RootsKept}}"
{{- if .LeavesKept}}
leaves_kept = "{{.LeavesKept}}"{{end}}
{{- if .RootTips}}
root_tips = {{.RootTips}}{{end}}
{{- if .Soaked}}
soaked = "{{.Soaked}}"{{end}}
{{- if .Pests}}
pests = ["{{.Pests}}"]{{end}}
{{- if .Flowers}}
flowers = "{{.Flowers}}"{{end}}
{{- if .From}}
from = { {{.From}} }{{end}}
to = { {{.To}} }
{{end}}`))
