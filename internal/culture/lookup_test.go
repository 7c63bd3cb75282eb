package culture_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"velamen/internal/culture"
)

func TestLookupTakesNamesAsPeopleWriteThem(t *testing.T) {
	table := load(t)
	for name, want := range map[string]string{
		"Phalaenopsis":                          "phalaenopsis",
		"Phal.":                                 "phalaenopsis",
		"PHALAENOPSIS hybrid":                   "phalaenopsis",
		"Phalaenopsis amabilis 'Big White'":     "phalaenopsis",
		"phal violacea":                         "phalaenopsis-summer",
		"moth orchid":                           "phalaenopsis",
		"Paphiopedilum Maudiae":                 "paphiopedilum-maudiae",
		"Paph. Maudiae 'Femma'":                 "paphiopedilum-maudiae",
		"Cattleya":                              "cattleya-standard",
		"C. walkeriana × self":                  "cattleya-walkeriana",
		"Rlc. Memoria Somebody":                 "cattleya-standard",
		"Den. nóbile":                           "dendrobium-nobile",
		"Den-Phal":                              "dendrobium-phalaenanthe",
		"Dendrobium kingianum":                  "dendrobium-dendrocoryne",
		"Brassavola digbyana":                   "rhyncholaelia",
		"neofinetia falcata":                    "vanda-falcata",
		"Vanda":                                 "vanda-strap-leaf",
		"Vanda coerulea":                        "vanda-strap-leaf",
		"Oncidium":                              "oncidium",
		"Cymbidium":                             "cymbidium-standard",
		"jewel orchids":                         "jewel-orchids",
		"cattleya-standard":                     "cattleya-standard",
		"Stelis sp.":                            "pleurothallis",
		"Cattleya walkeriana / nobilior":        "cattleya-walkeriana",
		"Chiloschista and other leafless ones ": "leafless-orchids",
	} {
		if g, err := table.Lookup(name); err != nil || g.Key != want {
			t.Errorf("%q means %q (%v), want %q", name, g.Key, err, want)
		}
	}
}

func TestEveryNameResolvesToItsOwner(t *testing.T) {
	table := load(t)
	for _, g := range table.Groups() {
		for _, name := range append([]string{g.Key, g.Name}, g.Aliases...) {
			if got, err := table.Lookup(name); err != nil || got.Key != g.Key {
				t.Errorf("group %q means %q (%v), want %q", name, got.Key, err, g.Key)
			}
		}
	}
	for _, m := range table.Media() {
		for _, name := range append([]string{m.Key, m.Name}, m.Aliases...) {
			if got, err := table.Medium(name); err != nil || got.Key != m.Key {
				t.Errorf("medium %q means %q (%v), want %q", name, got.Key, err, m.Key)
			}
		}
	}
	for _, m := range table.Mounts() {
		for _, name := range append([]string{m.Key, m.Name}, m.Aliases...) {
			if got, err := table.Mount(name); err != nil || got.Key != m.Key {
				t.Errorf("mount %q means %q (%v), want %q", name, got.Key, err, m.Key)
			}
		}
	}
	for _, c := range table.Containers() {
		for _, name := range append([]string{c.Key, c.Name}, c.Aliases...) {
			if got, err := table.Container(name); err != nil || got.Key != c.Key {
				t.Errorf("container %q means %q (%v), want %q", name, got.Key, err, c.Key)
			}
		}
	}
	for _, p := range table.Pots() {
		for _, name := range append([]string{p.Key, p.Name}, p.Aliases...) {
			if got, err := table.Pot(name); err != nil || got.Key != p.Key {
				t.Errorf("pot %q means %q (%v), want %q", name, got.Key, err, p.Key)
			}
		}
	}
	for _, p := range table.Pests() {
		for _, name := range append([]string{p.Key, p.Name}, p.Aliases...) {
			if got, err := table.Pest(name); err != nil || got.Key != p.Key {
				t.Errorf("pest %q means %q (%v), want %q", name, got.Key, err, p.Key)
			}
		}
	}
}

func TestAmbiguousGenusNamesItsCandidates(t *testing.T) {
	table := load(t)
	for name, fewest := range map[string]int{
		"Dendrobium": 9, "Dendrobium unicum": 9, "Paph": 5, "Laelia": 2, "Lycaste": 2, "Coelogyne": 2, "Epidendrum": 2, "Calanthe": 2, "Angraecum": 2,
	} {
		_, err := table.Lookup(name)
		var ambiguous *culture.AmbiguousNameError
		if !errors.As(err, &ambiguous) || len(ambiguous.Candidates) < fewest {
			t.Errorf("%q gives %v, want at least %d candidates", name, err, fewest)
			continue
		}
		for _, candidate := range ambiguous.Candidates {
			if _, err := table.Lookup(candidate); err != nil || !strings.Contains(ambiguous.Error(), candidate) {
				t.Errorf("the candidate %q is no answer, or not in the message: %v", candidate, err)
			}
		}
	}
}

func TestUnknownNameOffersThreeNearest(t *testing.T) {
	table := load(t)
	for name, want := range map[string]string{
		"Phalenopsis":            "Phalaenopsis",
		"Catleya":                "Cattleya",
		"Masdevalia pink":        "Masdevallia",
		"Zygopetallum":           "Zygopetalum",
		"Paphiopedulum":          "Paphiopedilum",
		"rynchostylis gigantea":  "Rhynchostylis gigantea",
		"!!":                     "",
		"":                       "",
		strings.Repeat("a", 201): "",
	} {
		_, err := table.Lookup(name)
		var unknown *culture.UnknownNameError
		if !errors.As(err, &unknown) {
			t.Errorf("%q gives %v, want an unknown name", name, err)
			continue
		}
		if want == "" && len(unknown.Nearest) != 0 || want != "" && (len(unknown.Nearest) != 3 || unknown.Nearest[0] != want) {
			t.Errorf("%q: nearest %q, want three with %q first", name, unknown.Nearest, want)
		}
		if !strings.Contains(err.Error(), "no group is called") {
			t.Errorf("message %q", err)
		}
	}
}

// Case, accents and punctuation never matter.
func TestLookupIgnoresHowANameIsDressed(t *testing.T) {
	table := load(t)
	var names []string
	for _, g := range table.Groups() {
		names = append(append(names, g.Key, g.Name), g.Aliases...)
	}
	slices.Sort(names)
	accents := map[rune]rune{'a': 'á', 'e': 'ë', 'i': 'î', 'o': 'ø', 'u': 'ü', 'c': 'ç', 'n': 'ñ'}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "name")
		var dressed strings.Builder
		for _, r := range name {
			switch rapid.IntRange(0, 5).Draw(t, "dress") {
			case 0:
				r = unicode.ToUpper(r)
			case 1:
				if accented, ok := accents[r]; ok {
					r = accented
				}
			case 2:
				if r == ' ' {
					dressed.WriteString(" – ")
				}
			}
			dressed.WriteRune(r)
		}
		plain, err := table.Lookup(name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := table.Lookup(" " + dressed.String() + "! ")
		if err != nil || got.Key != plain.Key {
			t.Fatalf("%q means %q (%v), but %q means %q", name, plain.Key, err, dressed.String(), got.Key)
		}
	})
}

func BenchmarkLookup(b *testing.B) {
	table := load(b)
	for b.Loop() {
		if _, err := table.Lookup("Phalaenopsis amabilis 'Big White'"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := culture.Load(); err != nil {
			b.Fatal(err)
		}
	}
}
