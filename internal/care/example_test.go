package care_test

import (
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/internal/casefile"
)

// The course of a divided Cattleya as it stands five weeks after the repot.
func ExampleNewCourse() {
	kase, units, err := casefile.Read(strings.NewReader(casefile.Example()), "example.toml", tables)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := care.NewCourse(kase, kase.Plants[0], tables, day("2026-11-24"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, day %d, %s\n", c.Label, c.Day, c.Stage)
	fmt.Printf("turned down by %s, because: %s\n", units.Show(c.TurnDown.Value), c.TurnDown.Because.Limit)
	fmt.Printf("night humidity %s instead of %s\n", units.Show(c.Now.NightRHPercent.Value), units.Show(c.Usual.NightRHPercent))
	fmt.Printf("flush every %s\n", units.Show(c.Flush.Every.Value))
	// Output:
	// C-07, day 37, rooting
	// turned down by 30 %, because: practice: at least 30 % after any repot
	// night humidity 80 % instead of 75 %
	// flush every 3 days
}
