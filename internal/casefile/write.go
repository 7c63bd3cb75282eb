package casefile

import (
	"fmt"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

// Write writes a case as a file that Read reads back to the same case, to the
// seventh digit, in the units that the grower reads. What was read in a unit
// whose factor is not exact loses the range of that unit.
func Write(c care.Case, units care.Units) string {
	w := &writer{units: units}
	w.table("[place]", func() {
		w.bare("latitude", c.Place.LatitudeDeg)
		w.bare("longitude", c.Place.LongitudeDeg)
		w.quantity("altitude", c.Place.AltitudeM, "m", 1)
	})
	w.table("[units]", func() { w.word("show", units.Words()) })
	for _, s := range c.Spaces {
		w.table("[[space]]", func() { w.space(s) })
	}
	for _, one := range c.Waters {
		w.table("[[water]]", func() { w.water(one) })
	}
	for _, f := range c.Feeds {
		w.table("[[feed]]", func() { w.feed(f) })
	}
	w.table("[routine]", func() { w.routine(c.Routine) })
	for _, p := range c.Plants {
		w.table("[[plant]]", func() { w.plant(p) })
		if p.Routine != nil {
			w.table("[plant.routine]", func() { w.routine(*p.Routine) })
		}
		w.table("[plant.repot]", func() { w.repot(p.Repot) })
	}
	return w.text.String()
}

// writer collects lines; a table without any is left out.
type writer struct {
	units       care.Units
	text, lines strings.Builder
}

func (w *writer) table(header string, fill func()) {
	w.lines.Reset()
	fill()
	if w.lines.Len() == 0 && header != "[[plant]]" {
		return
	}
	if w.text.Len() > 0 {
		w.text.WriteByte('\n')
	}
	w.text.WriteString(header + "\n" + w.lines.String())
}

func (w *writer) line(key, value string) { fmt.Fprintf(&w.lines, "%s = %s\n", key, value) }

// quote writes a basic string of TOML 1.0.
func quote(text string) string {
	var out strings.Builder
	out.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			out.WriteByte('\\')
			out.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&out, `\u%04X`, r)
		default:
			out.WriteRune(r)
		}
	}
	out.WriteByte('"')
	return out.String()
}

func (w *writer) word(key, text string) {
	if text != "" {
		w.line(key, quote(text))
	}
}

func (w *writer) yes(key string, is bool) {
	if is {
		w.line(key, "true")
	}
}

// digits writes a number with seven digits: more than any measurement has.
func digits(x float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 7, 64), 64)
	if err != nil {
		return "0" // no finite number is written so
	}
	// Nine decimals are the most that is read.
	text := strconv.FormatFloat(rounded, 'f', 9, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// written is a quantity in a unit of its kind: the factor and zero of Read the
// other way round.
func written(x float64, k *kind, symbol string) string {
	u := k.unitOf(foldUnit(symbol))
	return digits(x/u.factor+u.zero) + " " + u.symbol
}

func (w *writer) celsius(x float64) string {
	if w.units.Fahrenheit {
		return written(x, &temperature, "°F")
	}
	return written(x, &temperature, "°C")
}

func (w *writer) long(x float64) string {
	if w.units.Inches {
		return written(x, &length, "in")
	}
	return written(x, &length, "cm")
}

func (w *writer) salt(x float64) string {
	switch w.units.Salt {
	case care.PPM500, care.PPM640, care.PPM700:
		return written(x, &conductivity, string(w.units.Salt))
	}
	return written(x, &conductivity, "mS/cm")
}

// as writes a quantity in the way of the grower.
func (w *writer) as(key string, v basis.Value, way func(float64) string) {
	if v.Grade != 0 {
		w.line(key, quote(way(v.Value)))
	}
}

func (w *writer) bare(key string, v basis.Value) {
	if v.Grade != 0 {
		w.line(key, digits(v.Value))
	}
}

func (w *writer) quantity(key string, v basis.Value, unit string, perUnit float64) {
	if v.Grade != 0 {
		w.line(key, quote(digits(v.Value*perUnit)+" "+unit))
	}
}

func (w *writer) list(key string, names []string) {
	if len(names) == 0 {
		return
	}
	quoted := make([]string, len(names))
	for i, name := range names {
		quoted[i] = quote(name)
	}
	w.line(key, "["+strings.Join(quoted, ", ")+"]")
}

func (w *writer) space(s care.Space) {
	w.word("name", s.Name)
	w.word("kind", string(s.Kind))
	w.as("day", s.DayC, w.celsius)
	w.as("night", s.NightC, w.celsius)
	w.quantity("day_humidity", s.DayRHPercent, "%", 1)
	w.quantity("night_humidity", s.NightRHPercent, "%", 1)
	w.word("air", string(s.Air))
	w.quantity("light", s.Light.Level, string(s.Light.Unit), 1)
	w.word("light_from", s.Light.Source)
	w.quantity("light_hours", s.Light.HoursPerDay, "h", 1)
	w.list("covers", s.Covers)
}

func (w *writer) water(one care.Water) {
	w.word("name", one.Name)
	w.as("ec", one.ECmS, w.salt)
	w.quantity("hardness", one.HardnessMgLCaCO3, "mg/L CaCO3", 1)
	w.quantity("alkalinity", one.AlkalinityMgLCaCO3, "mg/L CaCO3", 1)
	w.yes("softened", one.SoftenedByIonExchange)
	if one.Ions == nil {
		return
	}
	var parts []string
	for _, ion := range []struct {
		key   string
		which water.Ion
	}{
		{"calcium", water.Ca}, {"magnesium", water.Mg}, {"sodium", water.Na}, {"potassium", water.K}, {"ammonium", water.NH4},
		{"chloride", water.Cl}, {"sulphate", water.SO4}, {"bicarbonate", water.HCO3}, {"carbonate", water.CO3}, {"nitrate", water.NO3},
	} {
		if v := one.Ions[ion.which]; v != 0 {
			parts = append(parts, ion.key+" = "+quote(digits(v)+" mmol/L"))
		}
	}
	if len(parts) > 0 {
		w.line("ions", "{ "+strings.Join(parts, ", ")+" }")
	}
}

func (w *writer) feed(f care.Feed) {
	w.word("name", f.Name)
	l := f.Label
	for _, part := range []struct {
		key, of string
		percent float64
	}{
		{"nitrogen", "N", l.NPercent}, {"nitrate", "N", l.NitratePercent}, {"ammonium", "N", l.AmmoniumPercent}, {"urea", "N", l.UreaPercent},
		{"phosphorus", "P2O5", l.P2O5Percent}, {"phosphorus", "P", l.PPercent}, {"potassium", "K2O", l.K2OPercent}, {"potassium", "K", l.KPercent},
		{"calcium", "CaO", l.CaOPercent}, {"calcium", "Ca", l.CaPercent}, {"magnesium", "MgO", l.MgOPercent}, {"magnesium", "Mg", l.MgPercent},
		{"sulphur", "SO3", l.SO3Percent}, {"sulphur", "S", l.SPercent},
	} {
		if part.percent != 0 {
			w.line(part.key, quote(digits(part.percent)+" % "+part.of))
		}
	}
	if l.DensityKgPerL != 0 {
		w.line("density", quote(digits(l.DensityKgPerL)+" kg/L"))
	}
}

func (w *writer) routine(r care.Routine) {
	w.word("water", r.Water)
	w.word("feed", r.Feed)
	w.quantity("strength", r.FeedGramsPerLitre, "g/L", 1)
	w.quantity("strength", r.FeedPpmN, "ppm N", 1)
	w.as("strength", r.FeedECmS, w.salt)
	w.quantity("feed_every", r.FeedEveryDays, "days", 1)
	w.quantity("water_every", r.WaterEveryDays, "days", 1)
}

func (w *writer) plant(p care.Plant) {
	w.word("label", p.Label)
	w.word("name", p.Name)
	w.word("group", p.Group)
	w.word("space", p.Space)
	w.bare("leaves", p.Leaves)
	w.as("leaf_length", p.LeafLengthCm, w.long)
	w.as("leaf_width", p.LeafWidthCm, w.long)
	w.quantity("leaf_area", p.LeafAreaCm2, "cm2", 1)
	w.bare("pseudobulbs", p.Pseudobulbs)
	w.word("vigour", string(p.Vigour))
}

func (w *writer) repot(r care.Repot) {
	w.line("date", r.Date.Format("2006-01-02"))
	w.word("work", string(r.Work))
	w.quantity("roots_kept", r.RootsKept, "%", 100)
	w.quantity("leaves_kept", r.LeavesKept, "%", 100)
	w.bare("root_tips", r.LiveRootTips)
	w.quantity("soaked", r.SoakedHours, "h", 1)
	w.list("pests", r.Pests)
	w.word("flowers", string(r.Flowers))
	w.home("from", r.From)
	w.home("to", r.To)
}

// home writes a pot or a mount on one line.
func (w *writer) home(key string, h care.Home) {
	var parts []string
	add := func(key, value string) { parts = append(parts, key+" = "+value) }
	size := func(into *[]string, key string, v basis.Value) {
		if v.Grade != 0 {
			*into = append(*into, key+" = "+quote(w.long(v.Value)))
		}
	}
	if c := h.Container; c != nil {
		var pot []string
		size(&pot, "top", c.TopCm)
		size(&pot, "bottom", c.BottomCm)
		size(&pot, "height", c.HeightCm)
		switch {
		case len(pot) > 0: // what was measured says more than what it was sold by
			add("pot", "{ "+strings.Join(pot, ", ")+" }")
		case c.NominalCm.Grade != 0:
			size(&parts, "pot", c.NominalCm)
		}
		if c.Material != "" {
			add("material", quote(c.Material))
		}
		if c.Square {
			add("square", "true")
		}
	}
	switch {
	case len(h.Medium) == 1:
		add("medium", quote(h.Medium[0].Medium))
	case len(h.Medium) > 1:
		mix := make([]string, len(h.Medium))
		for i, part := range h.Medium {
			mix[i] = quote(part.Medium) + " = " + digits(part.Parts)
		}
		add("medium", "{ "+strings.Join(mix, ", ")+" }")
	}
	if m := h.Mount; m != nil {
		var mount []string
		if m.Material != "" {
			mount = append(mount, "material = "+quote(m.Material))
		}
		if m.WidthCm.Grade != 0 && m.HeightCm.Grade != 0 {
			mount = append(mount, "size = "+quote(w.long(m.WidthCm.Value)+" x "+w.long(m.HeightCm.Value)))
		}
		size(&mount, "moss", m.MossCm)
		add("mount", "{ "+strings.Join(mount, ", ")+" }")
	}
	if len(parts) > 0 {
		w.line(key, "{ "+strings.Join(parts, ", ")+" }")
	}
}
