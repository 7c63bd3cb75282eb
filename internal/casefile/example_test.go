package casefile_test

import (
	"fmt"
	"strings"

	"velamen/internal/casefile"
	"velamen/internal/culture"
)

func ExampleRead() {
	tables, err := culture.Load()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, units, err := casefile.Read(strings.NewReader(`
[[space]]
name = "windowsill"
day = "77 °F"
humidity = "40 to 60 %"

[[plant]]
label = "7"
group = "Phalaenopsis"
space = "windowsill"
[plant.repot]
date = 2026-11-01
roots_kept = "60 %"
to = { pot = "4.5 in", medium = { "medium bark" = 4, perlite = 1 } }
`), "case.toml", tables)
	if err != nil {
		fmt.Println(err)
		return
	}
	space, plant := c.Spaces[0], c.Plants[0]
	fmt.Printf("%.1f %s, %v %% by day, %v %% by night\n", space.DayC.Value, space.DayC.Unit, space.DayRHPercent.Value, space.NightRHPercent.Value)
	fmt.Printf("%v of the roots kept, %.1f cm pot\n", plant.Repot.RootsKept.Value, plant.Repot.To.Container.NominalCm.Value)
	fmt.Println("shown in °F:", units.Fahrenheit)
	// Output:
	// 25.0 °C, 40 % by day, 60 % by night
	// 0.6 of the roots kept, 11.4 cm pot
	// shown in °F: true
}

func ExampleProblems() {
	tables, err := culture.Load()
	if err != nil {
		fmt.Println(err)
		return
	}
	_, _, err = casefile.Read(strings.NewReader(`
[[space]]
name = "windowsill"
day = "28 fc"

[[plant]]
label = "7"
group = "Phalaenopsis"
leafs = 4
space = "windowsil"
repot.date = 2026-11-01
`), "case.toml", tables)
	fmt.Println(err)
	// Output:
	// case.toml:4:7: space[1].day: "28 fc" is a light level; a temperature in °C or °F is expected here, such as "28 °C"
	// case.toml:9:1: plant[1].leafs: unknown key "leafs" in [[plant]]; did you mean "leaves"?
	// case.toml:10:9: plant[1].space: the file defines no space called "windowsil"; did you mean "windowsill"?
}
