package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
	"velamen/science/water/batch"
)

// canView is one can of feed as it is mixed.
type canView struct {
	ID, Name string
	Title    string
	Wanted   string
	Plants   []string
	Put      []putLine // what goes in, in the order in which it does
	Comes    string    // what it comes to
	Range    string
	Holds    []holdsLine
	Problems []string // it cannot be as wanted
	Cautions []string
	Notes    []string
	Why      *becauseView
	Entry    string
	Read     field // the pen's reading
	CanMix   bool
}

// putLine is one step of mixing.
type putLine struct{ Amount, What, Note string }

// holdsLine is what a litre of the can holds of something.
type holdsLine struct{ Name, Amount string }

// batchID is where a can stands on its page.
func batchID(name string) string { return "can-" + strings.ToLower(name) }

func newCanView(u care.Units, b care.PlannedBatch, on time.Time) canView {
	v := canView{
		ID: batchID(b.Name), Name: b.Name, Plants: b.Labels, Entry: newID(),
		Title:  fmt.Sprintf("%s for %s", shownLitres(u, b.Litres), counted(len(b.Labels), "plant", "plants")),
		Wanted: "Wanted " + u.Show(b.Goal) + ", and anything of " + u.ShowRange(b.Goal) + " will do",
		Read:   field{Name: "read", Label: "EC your pen reads", Unit: sourceEC.usual(u), Mode: "decimal"},
	}
	if u.ShowRange(b.Goal) == "" {
		v.Wanted = "Wanted " + u.Show(b.Goal)
	}
	if b.Why != "" {
		v.Problems = append(v.Problems, "It cannot be worked out: "+b.Why+".")
		return v
	}
	v.CanMix = b.Mix.MissesL < b.Litres
	v.Problems = problems(u, b)
	v.Put = puts(u, b)
	ms := func(x float64) string { return u.Show(basis.Exactly(x, "mS/cm", basis.Assumption, "")) }
	v.Comes = ms(b.Weighed.ECmS)
	v.Range = fmt.Sprintf("%s to %s with what the scale rounds and the law's error of 3 to 5 %%", ms(0.95*b.Weighed.ECLow), ms(1.05*b.Weighed.ECHigh))
	e := b.Weighed.Ions.Elements()
	for _, one := range []struct {
		name string
		mg   float64
	}{
		{"nitrogen", e.N}, {"phosphorus", e.P}, {"potassium", e.K}, {"calcium", e.Ca}, {"magnesium", e.Mg}, {"sulphur", e.S},
		{"sodium", b.Weighed.Ions.MgPerL(water.Na)}, {"chloride", b.Weighed.Ions.MgPerL(water.Cl)},
	} {
		if one.mg >= 0.05 {
			v.Holds = append(v.Holds, holdsLine{sentence(one.name), significant(one.mg, 3) + " mg/L"})
		}
	}
	v.Holds = append(v.Holds, holdsLine{"Alkalinity", fmt.Sprintf("%.0f mg/L CaCO₃", b.Weighed.Ions.AlkalinityMgCaCO3())})
	v.Cautions, v.Notes = canCautions(b), canNotes(u, b)
	v.Why = canBecause(u, b)
	return v
}

// puts are the steps of mixing with their amounts.
func puts(u care.Units, b care.PlannedBatch) []putLine {
	r := b.Request
	var list []putLine
	grams := func(x float64) string { return scaleGrams(x, b.Tools.ScaleG) + " g" }
	weighed := func(i int, exact, rounded float64, p batch.Product, thin []int, stocks []batch.Concentrate) putLine {
		l := putLine{Amount: grams(rounded), What: p.Name}
		for k, t := range thin {
			if t == i {
				l.Amount = fmt.Sprintf("%.0f mL", stocks[k].ML)
				l.What = fmt.Sprintf("%s: dissolve %g g in 1 L of the same water and take of that", p.Name, stocks[k].Grams)
				l.Note = fmt.Sprintf("%s g is too little for a scale that shows %g g", significant(exact, 2), b.Tools.ScaleG)
			}
		}
		if p.KgPerLitre > 0 && l.Note == "" {
			l.Amount = fmt.Sprintf("%s mL", significant(rounded/p.KgPerLitre, 3))
			l.Note = fmt.Sprintf("%s by weight", grams(rounded))
		}
		return l
	}
	for _, step := range b.Steps {
		i := step.Of
		switch step.Action {
		case batch.PourWater:
			list = append(list, putLine{Amount: exactLitres(u, b.Weighed.PourL(i)), What: r.Waters[i].Name})
		case batch.AddAcid:
			l := putLine{Amount: fmt.Sprintf("%s g", significant(b.Mix.Acid.GramsPerL*b.Litres, 3)), What: r.Acid.Name, Note: "acid into water, never water into acid"}
			if b.Mix.Acid.MillilitresPL > 0 {
				l.Amount = fmt.Sprintf("%s mL", significant(b.Mix.Acid.MillilitresPL*b.Litres, 2))
			}
			list = append(list, l)
		case batch.DissolveIt, batch.AddCalcium:
			l := weighed(i, b.Mix.Grams[i], b.Weighed.Grams[i], r.Products[i], b.Weighed.Thin, b.Weighed.ThinStrength)
			if step.Action == batch.AddCalcium && b.KeepApart {
				l.Note = strings.TrimPrefix(l.Note+"; only when the rest is dissolved and thin", "; ")
			}
			list = append(list, l)
		case batch.AddAlways:
			list = append(list, weighed(i, b.Mix.Always[i], b.Weighed.Always[i], r.Always[i].Product, b.Weighed.ThinAlways, b.Weighed.ThinAlwaysStock))
		}
	}
	return list
}

// scaleGrams writes a mass as finely as the scale shows it.
func scaleGrams(x, resolution float64) string {
	decimals := 0
	for step := resolution; step < 0.999 && decimals < 3; step *= 10 {
		decimals++
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}

// exactLitres writes a volume to be measured, finer than shownLitres.
func exactLitres(u care.Units, l float64) string {
	if u.Inches {
		return significant(l/water.LitresPerUSGallon, 3) + " gal"
	}
	if l < 1 {
		return fmt.Sprintf("%.0f mL", 1000*l)
	}
	return significant(math.Round(1000*l)/1000, 4) + " L"
}

// problems say what keeps a can from being as wanted.
func problems(u care.Units, b care.PlannedBatch) (list []string) {
	if b.Mix.MissesL > 0 {
		list = append(list, fmt.Sprintf("%s of water are not there.", exactLitres(u, b.Mix.MissesL)))
	}
	show := func(q batch.Quantity, x float64) string {
		if q == batch.EC {
			return u.Show(basis.Exactly(x, "mS/cm", basis.Assumption, ""))
		}
		return significant(x, 3) + " " + q.Unit()
	}
	for _, stop := range b.Mix.Stops {
		switch l := stop.Limit; {
		case stop.Stock != "":
			list = append(list, fmt.Sprintf("There is too little of %s.", stop.Stock))
		case stop.Broken && stop.Reaches < l.Min:
			list = append(list, fmt.Sprintf("It comes to %s of %s; at least %s is wanted, and nothing at hand brings it.", show(l.Quantity, stop.Reaches), l.Quantity, show(l.Quantity, l.Min)))
		case stop.Broken:
			list = append(list, fmt.Sprintf("It comes to %s of %s, and %s is the most that is wanted.", show(l.Quantity, stop.Reaches), l.Quantity, show(l.Quantity, l.Max)))
		case stop.Reaches >= l.Max*(1-1e-3):
			list = append(list, fmt.Sprintf("The limit of %s, %s, is in the way.", l.Quantity, show(l.Quantity, l.Max)))
		default:
			list = append(list, fmt.Sprintf("The wanted %s of %s is in the way.", show(l.Quantity, l.Min), l.Quantity))
		}
	}
	if len(list) > 0 {
		verdict := "This is the nearest there is: "
		if b.Mix.Met {
			verdict = "It serves all the same: "
		}
		list = append(list, verdict+show(b.Request.Goal, b.Mix.Goal)+" instead of "+show(b.Request.Goal, b.Request.Target)+".")
	}
	return list
}

// canCautions are what mixing this can calls for.
func canCautions(b care.PlannedBatch) (list []string) {
	if a := b.Mix.Acid; a != nil {
		text := "Acid into water, never water into acid."
		if a.Cautions.Has(water.GlovesAndGoggles) {
			text += " Gloves and goggles, in moving air; the bottle's label decides."
		}
		if a.Cautions.Has(water.OxidiserFumes) {
			text += " Nitric acid fumes and oxidises: citric or phosphoric acid is safer at home."
		}
		list = append(list, text+" Never near bleach.")
	}
	if b.KeepApart {
		list = append(list, fmt.Sprintf("Calcium and sulphate or phosphate must not meet undiluted: weigh them into separate cups. A concentrate of all of it clouds beyond %.0f times this strength.", b.Clear))
	}
	return list
}

func canNotes(u care.Units, b care.PlannedBatch) (list []string) {
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	if b.Cans > 1 {
		say("It does not fit into the largest can: mix it in %d.", b.Cans)
	}
	if b.Saturated.Gypsum > 0 {
		say("Gypsum comes out of it: it is stronger than it can be clear.")
	}
	if b.Saturated.CalciumPhosphate > 0 {
		say("With so much alkalinity calcium phosphate may cloud it (pH %.1f after standing): use it today.", b.Saturated.PH)
	} else if b.Saturated.Carbonate > 0.3 {
		say("Left standing it leaves lime on leaves and cans: use it today.")
	}
	for _, name := range b.Estimated {
		say("The ions of %s are an estimate; an analysis of it makes this better.", name)
	}
	for _, name := range b.Unread {
		say("How much %s there is was never entered: it is taken to suffice.", name)
	}
	if b.Softened {
		say("The usual water comes out of a softener: not for orchids.")
	}
	if b.Assumed.Has(water.NitrogenFormsAssumed) {
		say("The label does not split its nitrogen: with urea in it the pen reads less.")
	}
	if n := b.Mix.Ions.Elements().N; n > 0 {
		nitrate := water.Ions{water.NO3: b.Mix.Ions[water.NO3]}
		if share := nitrate.Elements().N / n; share < 0.5 && !b.Assumed.Has(water.NitrogenFormsAssumed) {
			say("Only %.0f %% of the nitrogen is nitrate; Phalaenopsis grew best with half of it or more (Wang 2008, abstract).", 100*share)
		}
	}
	if b.Weighed.Goal > 0 && b.Mix.Goal > 0 {
		if off := b.Weighed.Goal/b.Mix.Goal - 1; math.Abs(off) > 0.01 {
			say("Rounding to the scale makes it %+.0f %%.", 100*off)
		}
	}
	return list
}

func canBecause(u care.Units, b care.PlannedBatch) *becauseView {
	why := &becauseView{
		Rule: "ions of the waters and of what is weighed add up; of all mixes that come to the goal within the limits and the stock, the one with the fewest things to weigh, then the usual water and feed; EC by the Kohlrausch–Onsager law over free ions",
		Note: "plants whose feeds lie within a fifth below and a tenth above are served from one can (an assumption), so that the fewest cans are mixed",
	}
	for _, l := range b.Request.Limits {
		in := inputView{Name: l.Quantity.String(), Grade: basis.CommonPractice.String()}
		switch {
		case !math.IsInf(l.Min, -1):
			in.Shown = "at least " + significant(l.Min, 3) + " " + l.Quantity.Unit()
		default:
			in.Shown = "at most " + significant(l.Max, 3) + " " + l.Quantity.Unit()
		}
		if l.Quantity == batch.EC {
			in.Shown, in.Grade = "at most "+u.Show(basis.Exactly(l.Max, "mS/cm", basis.Assumption, "")), basis.Assumption.String()
		}
		why.Inputs = append(why.Inputs, in)
	}
	return why
}

// keepBatch notes that one of today's cans was mixed.
func (s *Server) keepBatch(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	today := s.Book.Today()
	planned, err := s.Book.Batches(r.Context(), today)
	if err != nil {
		return err
	}
	name := f.text("batch")
	for _, b := range planned {
		if b.Name != name || b.Why != "" {
			continue
		}
		read := f.number("read", sourceEC, s.units())
		if f.wrong() {
			return fmt.Errorf("%w: %s", errBadRequest, f.errors["read"])
		}
		e := s.newEntry(care.BatchMade, "", care.Detail{Batch: mixedNow(b, read)})
		e.By = byOf(r)
		if id := f.text("entry"); id != "" {
			e.ID = id
		}
		if err := s.appendAgain(r, e); err != nil {
			return err
		}
		return seeOther(w, r, "/water?done=mixed")
	}
	return fmt.Errorf("%w: there is no can %q today", errBadRequest, name)
}

// appendAgain keeps an entry; the same form sent twice is kept once.
func (s *Server) appendAgain(r *http.Request, e care.Entry) error {
	standing, err := s.Book.Journal(r.Context(), e.Plant)
	if err != nil {
		return err
	}
	for _, kept := range standing {
		if kept.ID == e.ID {
			return nil
		}
	}
	_, err = s.Book.Append(r.Context(), e)
	return err
}

// mixedNow is a planned batch as it was mixed.
func mixedNow(b care.PlannedBatch, read *float64) *care.BatchMixed {
	m := &care.BatchMixed{Name: b.Name, Litres: b.Litres - b.Mix.MissesL, ECmS: b.Weighed.ECmS, ReadMS: read}
	for j, l := range b.Weighed.WaterL {
		if l > 0 {
			m.Waters = append(m.Waters, care.LitresOf{Water: b.Request.Waters[j].Name, Litres: l})
		}
	}
	for i, g := range b.Weighed.Grams {
		if g > 0 {
			m.Weighed = append(m.Weighed, care.GramsOf{What: b.Request.Products[i].Name, Grams: g})
		}
	}
	for i, g := range b.Weighed.Always {
		if g > 0 {
			m.Weighed = append(m.Weighed, care.GramsOf{What: b.Request.Always[i].Product.Name, Grams: g})
		}
	}
	return m
}
