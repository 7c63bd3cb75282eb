package web

import (
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
)

// verdictView is how a plant is doing, and why.
type verdictView struct {
	Word, Rest, Role string // the verdict, and the rest of its sentence
	For, Against     []string
	WouldChange      []string
	Next             string
	Ladder           []care.Rung
	Emergency        *emergencyView
}

// emergencyView is what to do at once.
type emergencyView struct {
	Title, Over string // Over: path of the form that ends it
	Do          []string
	Cautions    []string
}

func newVerdictView(sp specimen, u care.Units, verdict *care.Verdict) *verdictView {
	if verdict == nil {
		return nil
	}
	v := &verdictView{
		Word: sentence(verdict.Standing), Role: verdictRoles[verdict.Standing],
		For: verdict.For, Against: verdict.Against, WouldChange: verdict.WouldChange, Ladder: verdict.Advice.Ladder,
	}
	if _, rest, ok := strings.Cut(verdict.Says, ": "); ok {
		v.Rest = sentence(rest)
	}
	if next := verdict.Next; next != nil {
		v.Next = nextLengthWords(u, *next)
	}
	if e := verdict.Emergency; e != nil {
		v.Emergency = &emergencyView{
			Title: signWords[e.Sign], Over: writePath(sp, care.SignSeen, ""), Do: e.Do, Cautions: unlike(e.Cautions),
		}
	}
	return v
}

// nextLengthWords say which root to measure next, when, and what its length
// would tell.
func nextLengthWords(u care.Units, next care.NextLength) string {
	mm := func(x float64) string { return u.Show(basis.Exactly(x, "mm", basis.Assumption, "")) }
	text := fmt.Sprintf("Measure root %s next, on %s (%s).", next.Root, next.On.Format("Monday 2 January"), next.Why)
	switch {
	case next.GrowsFromMM > 0 && next.StandsToMM > 0:
		text += fmt.Sprintf(" %s or more would say that it grows, %s or less that it stands still.", mm(next.GrowsFromMM), mm(next.StandsToMM))
	case next.GrowsFromMM > 0:
		text += fmt.Sprintf(" %s or more would say that it grows; that it stands still takes one reading more.", mm(next.GrowsFromMM))
	case next.StandsToMM > 0:
		text += fmt.Sprintf(" %s or less would say that it stands still.", mm(next.StandsToMM))
	}
	return text
}

// oneTapSigns are the signs that are written down with one tap, because nobody
// should look for a form then.
var oneTapSigns = []care.SeenSign{care.SoftCrown, care.SpreadingRot, care.BadSmell}

// tapView is such a button.
type tapView struct {
	Path, Entry string
	Signs       []choice
}

func newTapView(sp specimen) *tapView {
	v := &tapView{Path: writePath(sp, care.SignSeen, ""), Entry: newID()}
	for _, s := range oneTapSigns {
		v.Signs = append(v.Signs, choice{Value: string(s), Label: signWords[s]})
	}
	return v
}
