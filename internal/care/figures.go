package care

// Figures visits every figure of the course with its name, in the order in
// which it is shown; the figures of weeks other than the present are left out.
func (c *Course) Figures(visit func(name string, f *Figure)) {
	visit("supply of the roots", &c.Supply)
	visit("turn-down by the model", &c.Model)
	visit("turn-down chosen", &c.TurnDown)
	c.Now.Figures(visit)
	c.Flush.Figures(visit)
	visit("patience", &c.Patience)
}

// Figures visits every figure of the targets with its name.
func (t *Targets) Figures(visit func(name string, f *Figure)) {
	visit("share of the usual", &t.Factor)
	if t.FeedGramsPerLitre != nil {
		visit("feed", t.FeedGramsPerLitre)
	}
	if t.FeedPpmN != nil {
		visit("feed, nitrogen", t.FeedPpmN)
	}
	visit("feed, finished solution", &t.FeedECmS)
	visit("light", &t.LightPPFD)
	visit("light, daily sum", &t.LightDLI)
	visit("day heat cap", &t.DayHeatCapC)
	visit("air speed", &t.AirSpeedMS)
	visit("day humidity", &t.DayRHPercent)
	visit("day vapour deficit", &t.DayVPDKPa)
	visit("night humidity", &t.NightRHPercent)
	visit("night vapour deficit", &t.NightVPDKPa)
}

// Figures visits every figure of the flush with its name.
func (f *Flush) Figures(visit func(name string, f *Figure)) {
	visit("flush every", &f.Every)
	visit("flush", &f.Total)
	if f.Between != nil {
		visit("water in between", f.Between)
	}
	visit("pours", &f.Pours)
	visit("wait between pours", &f.Wait)
	visit("finished at", &f.DoneAt)
}

// WithoutBecause returns the course without its reasons.
func (c Course) WithoutBecause() Course {
	strip := func(_ string, f *Figure) { f.Because = nil }
	c.Now.own()
	c.Flush.own()
	c.Figures(strip)
	weeks := make([]Week, len(c.Weeks))
	for i, w := range c.Weeks {
		w.Targets.own()
		w.Targets.Figures(strip)
		w.Flush.own()
		w.Flush.Figures(strip)
		weeks[i] = w
	}
	c.Weeks = weeks
	marks := make([]Mark, len(c.Marks))
	for i, m := range c.Marks {
		m.Because = nil
		marks[i] = m
	}
	c.Marks = marks
	return c
}

// own gives the targets figures of their own behind the pointers, so that they
// can be changed.
func (t *Targets) own() {
	for _, p := range []**Figure{&t.FeedGramsPerLitre, &t.FeedPpmN} {
		if *p != nil {
			copied := **p
			*p = &copied
		}
	}
}

// own gives the flush a figure of its own behind the pointer.
func (f *Flush) own() {
	if f.Between != nil {
		copied := *f.Between
		f.Between = &copied
	}
}
