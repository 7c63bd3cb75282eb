package paper

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/go-fonts/liberation/liberationsansbold"
	"github.com/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// family is a fount of type: regular and bold.
type family struct {
	name          string
	regular, bold []byte
	known         func() *sfnt.Font
}

func newFamily(name string, regular, bold []byte) family {
	return family{name, regular, bold, sync.OnceValue(func() *sfnt.Font {
		font, err := sfnt.Parse(regular)
		if err != nil {
			panic(err) // it is part of the program, and read in its tests
		}
		return font
	})}
}

// families are the founts, the one that is used wherever it can first. The
// second holds the rest of Latin, Vietnamese among it, and all of Cyrillic.
var families = []family{
	newFamily("go", goregular.TTF, gobold.TTF),
	newFamily("wide", liberationsansregular.TTF, liberationsansbold.TTF),
}

// holds reports whether a family has every letter of a text.
func (f family) holds(text string) bool {
	var buffer sfnt.Buffer
	for _, r := range text {
		if r < 0x7f && r >= ' ' {
			continue
		}
		if i, err := f.known().GlyphIndex(&buffer, r); err != nil || i == 0 {
			return false
		}
	}
	return true
}

// standIn is set for a letter that no family has.
const standIn = '□'

// legible returns a text as it can be set, and the place of the family that sets
// all of it. Letters and their marks are made one where they can be; what no
// family has is stood in for.
func legible(text string) (string, int) {
	if families[0].holds(text) {
		return text, 0
	}
	text = strings.Map(func(r rune) rune {
		if unicode.In(r, unicode.Cf, unicode.Cc, unicode.Variation_Selector) && !unicode.IsSpace(r) {
			return -1 // nothing that is seen
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(text, string(standIn))))
	for i, f := range families {
		if f.holds(text) {
			return text, i
		}
	}
	wide := len(families) - 1
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case families[wide].holds(string(r)):
			return r
		}
		return standIn
	}, text)
	return text, wide
}

// Lacking returns the letters of texts that no font here has, each once: on
// paper a box stands for each of them.
func Lacking(texts ...string) string {
	var letters []rune
	for _, text := range texts {
		if families[0].holds(text) {
			continue
		}
		for _, r := range norm.NFC.String(text) {
			if shown, _ := legible(string(r)); shown == string(standIn) && r != standIn && !slices.Contains(letters, r) {
				letters = append(letters, r)
			}
		}
	}
	return string(letters)
}
