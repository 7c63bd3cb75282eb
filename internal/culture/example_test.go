package culture_test

import (
	"fmt"
	"log"
	"os"
	"strings"

	"velamen/internal/culture"
)

func ExampleTable_Lookup() {
	table, err := culture.Load()
	if err != nil {
		log.Fatal(err)
	}
	g, err := table.Lookup("Masd. veitchiana")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: %v to %v fc (%v)\n", g.Name, g.LightFC.Low, g.LightFC.High, g.LightFC.Grade)
	fmt.Printf("first root after %v to %v days (%v)\n", g.Derived.Recovery.FirstRoot.Days.Value, g.Derived.Recovery.FirstRoot.Days.High, g.Derived.Recovery.FirstRoot.Days.Grade)
	_, err = table.Lookup("Phalenopsis")
	fmt.Println(err)
	_, err = table.Lookup("Lycaste")
	fmt.Println(err)
	// Output:
	// Masdevallia: 1000 to 1500 fc (published)
	// first root after 45 to 180 days (assumption)
	// no group is called "Phalenopsis"; the nearest are Phalaenopsis, Ionopsis, Psychopsis
	// "Lycaste" fits more than one group; say which: Lycaste (deciduous: aromatica, cruenta), Lycaste (evergreen: skinneri)
}

func ExampleLoad() {
	// The grower's own figures replace those they name, and are called given.
	mine := strings.NewReader("key,light_fc\nphalaenopsis,700 to 1100\n")
	table, err := culture.Load(mine)
	if err != nil {
		log.Fatal(err)
	}
	g, err := table.Lookup("Phalaenopsis")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(g.LightFC.Low, g.LightFC.High, g.LightFC.Grade)

	_, err = culture.Load(strings.NewReader("key,feed\nphalaenopsis,plenty\n"))
	fmt.Println(err)
	// Output:
	// 700 1100 given
	// reading the culture tables: own rows 1, line 2, column feed: found "plenty", expected one of: low, medium, high
}

func ExampleWriteGroups() {
	table, err := culture.Load()
	if err != nil {
		log.Fatal(err)
	}
	var all strings.Builder
	if err := culture.WriteGroups(&all, table.Groups()...); err != nil {
		log.Fatal(err)
	}
	header, _, _ := strings.Cut(all.String(), "\n")
	fmt.Fprintln(os.Stdout, header)
	// Output:
	// key,name,aliases,habit,photosynthesis,light_fc,temperature_class,night_c,day_c,rh_percent,media,repot_years,repot_trigger,resents_disturbance,rest,feed,dries_between,pot,family,leaf,storage,salt_tolerance,division,photoinhibition_umol,note
}

func ExampleTable_Medium() {
	table, err := culture.Load()
	if err != nil {
		log.Fatal(err)
	}
	m, err := table.Medium("coarse bark")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s holds %v to %v of its volume as water (%v)\n", m.Name, m.ThetaCapacity.Low, m.ThetaCapacity.High, m.ThetaCapacity.Grade)
	// Output:
	// bark, coarse (12–25 mm) holds 0.1 to 0.18 of its volume as water (from memory)
}

func ExampleTable_Signs() {
	table, err := culture.Load()
	if err != nil {
		log.Fatal(err)
	}
	cattleya, err := table.Lookup("Cattleya")
	if err != nil {
		log.Fatal(err)
	}
	for _, sign := range table.Signs(culture.Established, cattleya) {
		fmt.Printf("%s: %s\n", sign.Meaning, sign.Text.Is)
	}
	// Output:
	// act: The crown, the base or a growth turns soft.
	// act: A dark wet patch spreads.
	// act: The pot smells bad.
	// normal: A flowering season is missed after a division.
	// act: No growth through a whole active season.
}
