package web

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

func waterRoutes(on *router) {
	on.get("/water", (*Server).showWater)
	on.get("/water/new", (*Server).showNewWater)
	on.post("/water/new", (*Server).addWater)
	on.get("/water/named/{name}", (*Server).showOneWater)
	on.post("/water/named/{name}", (*Server).changeWater)
	on.post("/water/named/{name}/remove", (*Server).removeWater)
	on.get("/water/tank/{name}", (*Server).showTank)
	on.post("/water/tank/{name}", (*Server).changeTank)
	on.get("/water/feed/new", (*Server).showNewFeed)
	on.post("/water/feed/new", (*Server).addFeed)
	on.get("/water/feed/named/{name}", (*Server).showOneFeed)
	on.post("/water/feed/named/{name}", (*Server).changeFeed)
	on.post("/water/feed/named/{name}/remove", (*Server).removeFeed)
	on.get("/water/mixing", (*Server).showMixing)
	on.post("/water/mixing", (*Server).changeMixing)
	on.get("/water/flush", (*Server).showFinish)
	on.post("/water/flush", (*Server).keepFinish)
	on.post("/water/stock", (*Server).keepStock)
	on.post("/water/batch", (*Server).keepBatch)
	on.post("/water/membrane", (*Server).keepMembrane)
}

// waterView is what is mixed today, what there is, and what is known of it.
type waterView struct {
	frame
	Cans    []canView
	Pending int // plants whose feeds are still being worked out
	Takes   []takesLine
	Tanks   []tankLine
	Units   []membraneLine
	Waters  []waterLine
	Feeds   []feedLine
	Mixed   []mixedLine
	Usual   string // how feeding was before, as far as it was said
}

// takesLine is what today's round takes of one water.
type takesLine struct{ Name, Round, Mixed, Sum string }

// waterLine is one water of the list.
type waterLine struct {
	Name, Path, Says string
	Basis            string // analysis, or estimate
	TankPath         string
	HasTank          bool
	Notes            []string
}

// feedLine is one feed of the list.
type feedLine struct {
	Name, Path, Says string
	Notes            []string
	Left             string
	Stock            field
}

// mixedLine is one batch that was mixed.
type mixedLine struct{ When, Name, Says, Off string }

func (s *Server) showWater(w http.ResponseWriter, r *http.Request) error {
	today := s.Book.Today()
	day, _, err := s.Book.Round(r.Context(), today)
	if err != nil {
		return err
	}
	planned, err := s.Book.Batches(r.Context(), today)
	if err != nil {
		return err
	}
	v := &waterView{Pending: day.Pending}
	v.Title, v.Here, v.Style = "Water and feed", "water", "water.css"
	var c care.Collection
	var supplies []care.Supply
	s.Book.Read(func(now *care.Collection) {
		c = *now // its lists are never changed in place
		supplies = now.Supplies(today, aheadDays, nil)
		for _, f := range now.Feeds {
			v.Feeds = append(v.Feeds, newFeedLine(now, f))
		}
	})
	u := c.Settings.Units
	v.Usual = sayRoutine(u, &c)
	for _, b := range planned {
		v.Cans = append(v.Cans, newCanView(u, b, today))
	}
	takes := map[string]float64{}
	for job := range openJobs(day) {
		takes[job.Water] += job.ML / 1000
		if job.Task == care.Feeding && job.Batch != "" {
			takes[job.Water] -= job.ML / 1000 // it comes out of a can
		}
	}
	mixes := map[string]float64{}
	for _, b := range planned {
		for j, l := range b.Mix.WaterL {
			mixes[b.Request.Waters[j].Name] += l
		}
	}
	v.Takes = takesLines(u, takes, mixes)
	for _, one := range c.Waters {
		v.Waters = append(v.Waters, newWaterLine(u, one, c.Tanks))
	}
	for _, one := range supplies {
		if one.Limited {
			v.Tanks = append(v.Tanks, newTankLine(u, &c, one, takes[one.Water]+mixes[one.Water], today))
		}
	}
	v.Units = membraneLines(u, &c)
	for _, m := range slices.Backward(c.Batches) {
		if len(v.Mixed) == 5 {
			break
		}
		v.Mixed = append(v.Mixed, newMixedLine(u, m))
	}
	return s.render(w, r, http.StatusOK, "water.html", v)
}

func takesLines(u care.Units, round, mixes map[string]float64) []takesLine {
	var names []string
	for _, of := range []map[string]float64{round, mixes} {
		for name, l := range of {
			if l > 0 && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	slices.SortFunc(names, cmp.Compare)
	list := make([]takesLine, 0, len(names))
	for _, name := range names {
		list = append(list, takesLine{orWord(name, "water"), shownLitres(u, round[name]), shownLitres(u, mixes[name]), shownLitres(u, round[name]+mixes[name])})
	}
	return list
}

// newWaterLine says what is known of a water.
func newWaterLine(u care.Units, w care.Water, tanks []care.Tank) waterLine {
	l := waterLine{Name: w.Name, Path: waterPath(w.Name), TankPath: "/water/tank/" + url.PathEscape(w.Name)}
	l.HasTank = slices.ContainsFunc(tanks, func(t care.Tank) bool { return strings.EqualFold(t.Water, w.Name) })
	known, analysed, err := w.Known()
	if err != nil {
		l.Notes = append(l.Notes, sentence(err.Error())+".")
		return l
	}
	ec, err := known.Ions.ECmS()
	if err != nil {
		l.Notes = append(l.Notes, sentence(err.Error())+".")
		return l
	}
	if w.ECmS.Grade != 0 {
		ec = w.ECmS.Value
	}
	parts := []string{"EC " + u.Show(basis.Exactly(ec, "mS/cm", basis.Measured, ""))}
	ion := func(i water.Ion, name string) {
		text := fmt.Sprintf("%s %.0f mg/L", name, known.Ions.MgPerL(i))
		if low, high := known.Low.MgPerL(i), known.High.MgPerL(i); high-low >= 1 {
			text = fmt.Sprintf("%s %.0f (%.0f to %.0f) mg/L", name, known.Ions.MgPerL(i), low, high)
		}
		parts = append(parts, text)
	}
	ion(water.Ca, "calcium")
	ion(water.Mg, "magnesium")
	ion(water.Na, "sodium")
	parts = append(parts, fmt.Sprintf("hardness %.0f, alkalinity %.0f mg/L CaCO₃", known.Ions.HardnessMgCaCO3(), known.Ions.AlkalinityMgCaCO3()))
	l.Says = strings.Join(parts, ", ")
	b := known.Ions.ChargeBalance()
	switch {
	case analysed:
		l.Basis = fmt.Sprintf("An analysis: cations %.2f, anions %.2f meq/L, %+.1f %% apart.", b.CationsMeqL, b.AnionsMeqL, b.ErrorPercent)
	case w.ECmS.Grade == 0 && w.HardnessMgLCaCO3.Grade == 0 && w.AlkalinityMgLCaCO3.Grade == 0:
		l.Basis = "Nothing is known of it: it is taken to be pure."
	default:
		l.Basis = fmt.Sprintf("An estimate from %s: the charge is balanced by assumption (%.2f meq/L each way), and the ranges say how far the ions may be off.", knownFrom(w), b.CationsMeqL)
	}
	l.Notes = append(l.Notes, waterWarnings(w, known)...)
	return l
}

// knownFrom lists the readings that an estimate rests on.
func knownFrom(w care.Water) string {
	var parts []string
	for _, one := range []struct {
		v    basis.Value
		name string
	}{{w.ECmS, "EC"}, {w.HardnessMgLCaCO3, "hardness"}, {w.AlkalinityMgLCaCO3, "alkalinity"}} {
		if one.v.Grade != 0 {
			parts = append(parts, one.name)
		}
	}
	return strings.Join(parts, " and ")
}

// softenerEC is the EC above which much sodium with hardly any hardness is the
// mark of a softener; purer water has little of either.
const softenerEC = 0.2

// waterWarnings are what makes a water unfit or its figures doubtful.
func waterWarnings(w care.Water, e water.Estimate) (list []string) {
	ec, err := e.Ions.ECmS()
	switch hard := e.Ions[water.Ca] + e.Ions[water.Mg]; {
	case w.SoftenedByIonExchange:
		list = append(list, "It comes out of a softener, which swaps calcium for sodium: not for orchids. Take water from before the softener, or rain.")
	case err == nil && ec > softenerEC && e.Ions[water.Na] > 2*hard && w.HardnessMgLCaCO3.Grade+w.AlkalinityMgLCaCO3.Grade > 0,
		err == nil && ec > softenerEC && w.Ions != nil && e.Ions[water.Na] > 2*hard:
		list = append(list, "Sodium outweighs calcium and magnesium, as after an ion-exchange softener or near the sea: not for orchids. Is there a softener in the house?")
	}
	if e.Contradictory {
		list = append(list, fmt.Sprintf("Water so hard or alkaline conducts at least %.2f mS/cm: one of the readings, or its unit, is wrong.", e.ECFromHardnessMS))
	}
	return list
}

func newFeedLine(c *care.Collection, f care.Feed) feedLine {
	l := feedLine{Name: f.Name, Path: "/water/feed/named/" + url.PathEscape(f.Name)}
	l.Says = feedWords(f)
	if left, weighed := c.GramsLeft(f.Name); weighed {
		l.Left = c.Settings.Units.Show(basis.Exactly(left, "g", basis.Measured, "")) + " left"
	}
	l.Stock = field{Name: "left", Label: "What is left of it", Unit: potMass.usual(c.Settings.Units), Mode: "decimal"}
	switch {
	case f.Supplement:
		l.Notes = append(l.Notes, "A supplement: it goes into a batch only where that is asked for. No controlled trial with orchids was found; more is not better.")
	case f.Label.Check() == nil && f.Label.NPercent > 0 && f.Label.CaPercent+f.Label.CaOPercent == 0 && len(f.Salts) == 0:
		l.Notes = append(l.Notes, "It has no calcium: on rain or pure water alone the plants go short of it.")
	}
	return l
}

// feedWords is what the bag says.
func feedWords(f care.Feed) string {
	l := f.Label
	var parts []string
	if len(f.Salts) > 0 {
		for _, one := range f.Salts {
			if len(f.Salts) == 1 {
				parts = append(parts, one.Formula)
			} else {
				parts = append(parts, fmt.Sprintf("%.0f %% %s", 100*one.Share, one.Formula))
			}
		}
	} else if l != (water.Label{}) {
		parts = append(parts, fmt.Sprintf("%g-%g-%g", l.NPercent, first(l.P2O5Percent, l.PPercent/water.PFromP2O5), first(l.K2OPercent, l.KPercent/water.KFromK2O)))
	}
	add := func(name string, percent float64) {
		if percent > 0 {
			parts = append(parts, fmt.Sprintf("%s %s %%", name, significant(percent, 3)))
		}
	}
	if len(f.Salts) == 0 {
		add("Ca", l.CaPercent+l.CaOPercent*water.CaFromCaO)
		add("Mg", l.MgPercent+l.MgOPercent*water.MgFromMgO)
		add("S", l.SPercent+l.SO3Percent*water.SFromSO3)
	}
	if l.NPercent > 0 && l.UreaPercent > 0 {
		add("of its nitrogen urea", 100*l.UreaPercent/l.NPercent)
	}
	if l.DensityKgPerL > 0 {
		parts = append(parts, fmt.Sprintf("liquid, %g kg/L", l.DensityKgPerL))
	}
	if len(parts) == 0 {
		return "Nothing is known of it but its name."
	}
	return strings.Join(parts, ", ")
}

func first(a, b float64) float64 {
	if a != 0 {
		return a
	}
	return roundOff(b)
}

// roundOff takes away what converting back and forth leaves behind the third
// decimal.
func roundOff(x float64) float64 { return float64(int64(x*1000+0.5)) / 1000 }

func newMixedLine(u care.Units, m care.MixedAt) mixedLine {
	l := mixedLine{When: m.At.Format("Mon 2 Jan, 15:04"), Name: m.Batch.Name, Says: shownLitres(u, m.Batch.Litres)}
	ms := func(v float64) string { return u.Show(basis.Exactly(v, "mS/cm", basis.Measured, "")) }
	if m.Batch.ECmS > 0 {
		l.Says += ", reckoned " + ms(m.Batch.ECmS)
	}
	if read := m.Batch.ReadMS; read != nil {
		l.Says += ", read " + ms(*read)
		l.Off = offBy(m.Batch.ECmS, *read)
	}
	return l
}

// mostOff is how far a pen's reading may be from the reckoned EC before something
// was weighed wrong: the law's error and the pen's.
const mostOff = 0.10

// offBy says what a reading that is far off means.
func offBy(reckoned, read float64) string {
	if reckoned <= 0 || read == 0 {
		return ""
	}
	if off := read/reckoned - 1; off > mostOff || off < -mostOff {
		return fmt.Sprintf("The pen reads %+.0f %% of what was reckoned: a slip in weighing, damp powder, or a pen on another scale. Check before it is poured.", 100*off)
	}
	return ""
}

func waterPath(name string) string { return "/water/named/" + url.PathEscape(name) }

// aheadDays is how far the stock is looked ahead.
const aheadDays = 14

// dated is a day of the days ahead.
func dated(t time.Time) string { return t.Format("Mon 2 Jan") }
