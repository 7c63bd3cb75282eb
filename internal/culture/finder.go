package culture

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// UnknownNameError says that a name means nothing here, and what it may have
// been meant for.
type UnknownNameError struct {
	Kind    string // "group", "medium", …
	Name    string
	Nearest []string
}

func (e *UnknownNameError) Error() string {
	if len(e.Nearest) == 0 {
		return fmt.Sprintf("no %s is called %s", e.Kind, shorten(e.Name))
	}
	return fmt.Sprintf("no %s is called %s; the nearest are %s", e.Kind, shorten(e.Name), strings.Join(e.Nearest, ", "))
}

// AmbiguousNameError says that a name fits several entries with different
// needs, and which.
type AmbiguousNameError struct {
	Kind       string
	Name       string
	Candidates []string
}

func (e *AmbiguousNameError) Error() string {
	return fmt.Sprintf("%s fits more than one %s; say which: %s", shorten(e.Name), e.Kind, strings.Join(e.Candidates, ", "))
}

const noDefault = -1

// entry is one name that can be asked for. A name of several targets, such as
// a genus, resolves to its default or, without one, to nothing.
type entry struct {
	shown    string
	words    []string
	targets  []int
	fallback int
}

// finder resolves names as people write them.
type finder struct {
	kind          string
	titles        []string // of the targets, for messages
	entries       []entry
	abbreviations map[string][]string // first word → the words it stands for
}

func (f *finder) add(shown string, target int) {
	f.entries = append(f.entries, entry{shown, nameWords(shown), []int{target}, target})
}

// find returns the target of a name: of the entry written just so, or else of
// the entry most of whose words stand in the name.
func (f finder) find(name string) (int, error) {
	const longest = 200 // letters; no label is longer
	if utf8.RuneCountInString(name) > longest {
		return 0, &UnknownNameError{Kind: f.kind, Name: name}
	}
	words := nameWords(name)
	if target, ok := f.exactly(words); ok {
		return target, nil
	}
	if len(words) > 0 {
		if genus, ok := f.abbreviations[words[0]]; ok {
			words = slices.Concat(genus, words[1:])
		}
	}
	if target, ok := f.exactly(words); ok {
		return target, nil
	}
	best := f.fitting(words)
	if len(best) == 0 {
		return 0, &UnknownNameError{Kind: f.kind, Name: name, Nearest: f.nearest(words)}
	}
	targets := []int{}
	for _, e := range best {
		switch {
		case e.fallback != noDefault:
			targets = append(targets, e.fallback)
		default:
			targets = append(targets, e.targets...)
		}
	}
	slices.Sort(targets)
	if targets = slices.Compact(targets); len(targets) == 1 {
		return targets[0], nil
	}
	candidates := make([]string, len(targets))
	for i, target := range targets {
		candidates[i] = f.titles[target]
	}
	return 0, &AmbiguousNameError{Kind: f.kind, Name: name, Candidates: candidates}
}

// exactly finds an entry with one meaning written word for word.
func (f finder) exactly(words []string) (int, bool) {
	for _, e := range f.entries {
		if len(e.targets) == 1 && slices.Equal(e.words, words) {
			return e.targets[0], true
		}
	}
	return 0, false
}

// fitting returns the entries that stand in the name and say the most.
func (f finder) fitting(words []string) []entry {
	var best []entry
	for _, e := range f.entries {
		if len(e.words) == 0 || !contains(words, e.words) {
			continue
		}
		switch {
		case len(best) == 0 || weight(e) > weight(best[0]):
			best = []entry{e}
		case weight(e) == weight(best[0]):
			best = append(best, e)
		}
	}
	return best
}

// weight ranks by words first and letters second.
func weight(e entry) int {
	letters := 0
	for _, word := range e.words {
		letters += len(word)
	}
	return len(e.words)<<16 + letters
}

// nearest returns the three entries, each of another target, that differ from
// the name by the fewest letters. The first word alone may match too, since
// the rest is often a cultivar.
func (f finder) nearest(words []string) []string {
	if len(words) == 0 {
		return nil
	}
	type guess struct {
		shown    string
		target   int
		distance int
	}
	whole := strings.Join(words, " ")
	var guesses []guess
	for _, e := range f.entries {
		distance := editDistance(whole, strings.Join(e.words, " "))
		if len(words) > 1 && len(e.words) == 1 {
			distance = min(distance, editDistance(words[0], e.words[0])+1)
		}
		guesses = append(guesses, guess{e.shown, e.targets[0], distance})
	}
	slices.SortStableFunc(guesses, func(a, b guess) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.shown, b.shown))
	})
	const wanted = 3
	var shown []string
	seen := map[int]bool{}
	for _, g := range guesses {
		if len(shown) < wanted && !seen[g.target] {
			seen[g.target] = true
			shown = append(shown, g.shown)
		}
	}
	return shown
}
