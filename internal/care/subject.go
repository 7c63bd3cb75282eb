package care

import (
	"fmt"
	"strings"

	"velamen/internal/culture"
	"velamen/science/air"
	"velamen/science/basis"
	"velamen/science/light"
	"velamen/science/water"
)

// subject is one plant with everything its course depends on, complete: what
// the grower left out has been filled with a named default.
type subject struct {
	plant   Plant
	place   Place
	space   Space
	routine Routine
	group   culture.Group
	tables  culture.Table

	flushWater Water // the low-salt water to flush with
	feedWater  Water
	feedIons   water.Ions
	feed       *Feed // nil: nothing is known of the feed
	pressure   float64
	lighting   light.Lighting
	usualPPFD  basis.Value // bright-day maximum or lamp level at the leaves
	usualDLI   basis.Value
	lightFloor basis.Value // PPFD below which shading does more harm than good
	luxPerPPFD float64     // of the plant's light
	lightStart float64     // hour of the day at which it gets light

	profile *ClimateProfile // nil: nothing was measured in the space
	knows   *Learned        // nil: nothing was read off the pot yet
	assumed []Assumed
}

// assume notes that something was left out and what stands in for it.
func (s *subject) assume(field, value, why string) {
	s.assumed = append(s.assumed, Assumed{Field: field, Value: value, Why: why})
}

// fill gives a quantity its default if the grower left it out.
func (s *subject) fill(v *basis.Value, field string, fallback basis.Value, why string) {
	if v.Grade != 0 {
		return
	}
	*v = fallback
	s.assumed = append(s.assumed, Assumed{Field: field, Is: fallback, Why: why})
}

// settle resolves the names of a plant's record and fills what was left out.
func settle(c Case, p Plant, tables culture.Table) (*subject, error) {
	s := &subject{plant: p, place: c.Place, tables: tables}
	group, err := tables.Lookup(p.Group)
	if err != nil {
		return nil, fmt.Errorf("plant %s: %w", p.Label, err)
	}
	s.group = group
	for _, step := range []func(Case) error{
		s.settlePlace, s.settleSpace, s.settleLight, s.settleMeasured, s.settleWater, s.settleHomes, s.settleRoutine, s.settlePlant,
	} {
		if err := step(c); err != nil {
			return nil, fmt.Errorf("plant %s: %w", p.Label, err)
		}
	}
	return s, nil
}

func (s *subject) settlePlace(Case) error {
	if s.place.LatitudeDeg.Grade == 0 {
		s.assume("place.latitude", "none", "days of 12 hours are reckoned with, and no season")
	}
	s.fill(&s.place.AltitudeM, "place.altitude", basis.Assumed(100, 0, 500, "m"), "most homes stand below 500 m; it hardly matters there")
	pressure, err := air.PressureKPa(s.place.AltitudeM.Value)
	s.pressure = pressure
	return err
}

// kindDefaults are the climates assumed of a space of which only the kind is
// known. All are assumptions; a thermometer replaces them.
var kindDefaults = map[SpaceKind]struct {
	dayC, nightC, dayRH, nightRH float64
	air                          AirMovement
}{
	Windowsill: {23, 18, 45, 50, StillAir},
	LampShelf:  {24, 19, 55, 65, GentleAir},
	Glasshouse: {26, 16, 60, 80, MovingAir},
	Balcony:    {25, 16, 50, 65, GentleAir},
	Terrace:    {24, 15, 55, 75, MovingAir},
	Enclosure:  {24, 20, 80, 88, StillAir},
}

func (s *subject) settleSpace(c Case) error {
	switch {
	case s.plant.Space != "":
		for _, space := range c.Spaces {
			if strings.EqualFold(space.Name, s.plant.Space) {
				s.space = space
			}
		}
		if s.space.Name == "" {
			return fmt.Errorf("no space is called %q", s.plant.Space)
		}
	case len(c.Spaces) == 1:
		s.space = c.Spaces[0]
	case len(c.Spaces) > 1:
		return fmt.Errorf("it is not said in which of the %d spaces the plant stands", len(c.Spaces))
	default:
		s.space = Space{Name: "room"}
		s.assume("plant.space", "a room", "no space is described")
	}
	for _, spot := range c.Spots {
		// What was read where the plant stands says more than what is known of
		// the whole space.
		if spot.Read != nil && strings.EqualFold(spot.Space, s.space.Name) && strings.EqualFold(spot.Name, s.plant.Spot) {
			s.space.Light.Level, s.space.Light.Unit = spot.Read.PPFD, PPFD
		}
	}
	about := "space." // the field names below are those of the case file
	if s.space.Kind == "" {
		s.space.Kind = Windowsill
		s.assume(about+"kind", string(Windowsill), "most plants indoors stand at a window")
	}
	d := kindDefaults[s.space.Kind]
	why := "usual for a " + string(s.space.Kind)
	s.fill(&s.space.DayC, about+"day", basis.Assumed(d.dayC, d.dayC-3, d.dayC+3, "°C"), why)
	s.fill(&s.space.NightC, about+"night", basis.Assumed(d.nightC, d.nightC-3, d.nightC+3, "°C"), why)
	s.fill(&s.space.DayRHPercent, about+"day_humidity", basis.Assumed(d.dayRH, d.dayRH-15, min(98, d.dayRH+15), "%"), why)
	s.fill(&s.space.NightRHPercent, about+"night_humidity", basis.Assumed(d.nightRH, d.nightRH-15, min(98, d.nightRH+15), "%"), why)
	if s.space.Air == "" {
		s.space.Air = d.air
		s.assume(about+"air", string(d.air), why)
	}
	return nil
}

func (s *subject) settleWater(c Case) error {
	waters := make([]Water, len(c.Waters))
	for i, w := range c.Waters {
		waters[i] = w.withEC()
	}
	lowest := -1
	for i, w := range waters {
		if w.ECmS.Grade != 0 && (lowest < 0 || w.ECmS.Value < waters[lowest].ECmS.Value) {
			lowest = i
		}
	}
	if lowest < 0 {
		s.flushWater = Water{Name: "low-salt water"}
		s.fill(&s.flushWater.ECmS, "water.ec", basis.Assumed(0.05, 0.01, 0.2, "mS/cm"), "rain or reverse-osmosis water to flush with")
	} else {
		s.flushWater = waters[lowest]
	}
	s.feedWater = s.flushWater
	if name := s.routineOf(c).Water; name != "" {
		for _, w := range waters {
			if strings.EqualFold(w.Name, name) {
				s.feedWater = w
			}
		}
		if !strings.EqualFold(s.feedWater.Name, name) {
			return fmt.Errorf("no water is called %q", name)
		}
	}
	if s.feedWater.ECmS.Grade == 0 && s.feedWater.Ions == nil {
		s.fill(&s.feedWater.ECmS, "water.ec", basis.Assumed(0.05, 0.01, 0.2, "mS/cm"), "nothing is known of the water "+s.feedWater.Name)
	}
	ions, err := s.feedWater.ions()
	s.feedIons = ions
	return err
}

// withEC returns the water with a conductivity where its analysis, or its
// hardness and alkalinity, tell one.
func (w Water) withEC() Water {
	if w.ECmS.Grade != 0 {
		return w
	}
	if w.Ions != nil {
		if ec, err := w.Ions.ECmS(); err == nil {
			w.ECmS = basis.Value{Value: ec, Low: 0.95 * ec, High: 1.05 * ec, Unit: "mS/cm", Grade: basis.FromMemory, Source: "conductivity of the ions by the Kohlrausch–Onsager law"}
		}
		return w
	}
	if w.HardnessMgLCaCO3.Grade == 0 && w.AlkalinityMgLCaCO3.Grade == 0 {
		return w
	}
	// The least conductivity that hardness and alkalinity can have; what else is
	// dissolved is not known.
	if e, err := water.EstimateIons(0, w.HardnessMgLCaCO3.Value, w.AlkalinityMgLCaCO3.Value); err == nil {
		w.ECmS = basis.Value{Value: e.ECFromHardnessMS, Low: e.ECFromHardnessMS, High: 1.5 * e.ECFromHardnessMS, Unit: "mS/cm", Grade: basis.Assumption, Source: "the least that its hardness and alkalinity conduct"}
	}
	return w
}

// ions returns a water's ions: its analysis, or an estimate from what is known.
func (w Water) ions() (water.Ions, error) {
	if w.Ions != nil {
		return *w.Ions, nil
	}
	estimate, err := water.EstimateIons(w.ECmS.Value, w.HardnessMgLCaCO3.Value, w.AlkalinityMgLCaCO3.Value)
	if err != nil {
		return water.Ions{}, fmt.Errorf("water %s: %w", w.Name, err)
	}
	return estimate.Ions, nil
}

func (s *subject) routineOf(c Case) Routine {
	if s.plant.Routine != nil {
		return *s.plant.Routine
	}
	return c.Routine
}

func (s *subject) settleRoutine(c Case) error {
	s.routine = s.routineOf(c)
	name := s.routine.Feed
	if name == "" {
		name = onlyFeed(c.Feeds)
	}
	for i := range c.Feeds {
		if strings.EqualFold(c.Feeds[i].Name, name) {
			s.feed = &c.Feeds[i]
		}
	}
	if s.feed == nil && name != "" {
		return fmt.Errorf("no feed is called %q", name)
	}
	if s.feed == nil {
		s.assume("routine.feed", "unknown", "without a label the feed is given as ppm of nitrogen only")
	}
	if s.routine.FeedGramsPerLitre.Grade == 0 && s.routine.FeedPpmN.Grade == 0 && s.routine.FeedECmS.Grade == 0 {
		s.fill(&s.routine.FeedPpmN, "routine.strength", usualPpmN(s.group.Feed.Is), "usual for "+s.group.Name)
	}
	s.fill(&s.routine.FeedEveryDays, "routine.feed_every", basis.Value{Value: 7, Low: 7, High: 14, Unit: "days", Grade: basis.CommonPractice}, "weekly, weakly")
	s.fill(&s.routine.WaterEveryDays, "routine.water_every", s.usualWatering(), "usual for "+s.group.Name+" in such a home")
	return nil
}

// onlyFeed is the name of the one feed there is; single salts and supplements
// stand beside it.
func onlyFeed(feeds []Feed) string {
	name := ""
	for _, f := range feeds {
		switch {
		case f.Supplement || len(f.Salts) > 0:
		case name != "":
			return ""
		default:
			name = f.Name
		}
	}
	return name
}

// usualPpmN is what growers feed established plants of small, medium and large
// appetite.
func usualPpmN(level culture.FeedLevel) basis.Value {
	v := basis.Value{Value: 100, Low: 75, High: 125, Unit: "ppm N", Grade: basis.CommonPractice}
	switch level {
	case culture.LowFeed:
		v.Value, v.Low, v.High = 50, 25, 75
	case culture.HighFeed:
		v.Value, v.Low, v.High = 125, 100, 200
	}
	return v
}

// usualWatering is how often growers water established plants, by how far the
// medium should dry and what it is.
func (s *subject) usualWatering() basis.Value {
	v := basis.Value{Value: 5, Low: 3, High: 7, Unit: "days", Grade: basis.CommonPractice}
	switch {
	case s.plant.Repot.From.Mount != nil:
		v.Value, v.Low, v.High = 1, 1, 2
	case s.group.DriesBetween.Is == culture.DriesOut:
		v.Value, v.Low, v.High = 7, 5, 10
	case s.group.DriesBetween.Is == culture.StaysMoist:
		v.Value, v.Low, v.High = 3, 2, 5
	}
	return v
}

// byEye is how far a share judged by eye at the bench may be off.
const byEye = 0.1

func (s *subject) settlePlant(Case) error {
	p := &s.plant
	s.fill(&p.LeafWidthCm, "plant.leaf_width", basis.Assumed(5, 2, 9, "cm"), "a middling orchid leaf")
	if p.LeafAreaCm2.Grade == 0 && p.Leaves.Grade != 0 && p.LeafLengthCm.Grade != 0 {
		// A blade fills about seven tenths of its length times its width.
		area := p.Leaves.Value * p.LeafLengthCm.Value * p.LeafWidthCm.Value
		grade := basis.Weakest(p.Leaves.Grade, p.LeafLengthCm.Grade, p.LeafWidthCm.Grade)
		p.LeafAreaCm2 = basis.Value{Value: 0.7 * area, Low: 0.6 * area, High: 0.8 * area, Unit: "cm²", Grade: grade}
	}
	s.fill(&p.LeafAreaCm2, "plant.leaf_area", basis.Assumed(400, 100, 1500, "cm²"), "leaves were not counted and measured")
	bulbs := basis.Exactly(0, "", basis.Assumption, "")
	if s.group.Storage.Is == culture.PseudobulbStore || s.group.Storage.Is == culture.CaneStore {
		bulbs = basis.Assumed(4, 2, 8, "")
	}
	s.fill(&p.Pseudobulbs, "plant.pseudobulbs", bulbs, "usual for "+s.group.Name)
	if p.Vigour == "" {
		p.Vigour = Ordinary
		s.assume("plant.vigour", string(Ordinary), "nothing is said against it")
	}
	r := &p.Repot
	s.fill(&r.RootsKept, "repot.roots_kept", basis.Assumed(0.6, 0.3, 0.9, "share"), "an ordinary repot loses some roots")
	s.fill(&r.LeavesKept, "repot.leaves_kept", basis.Assumed(1, 0.9, 1, "share"), "nothing is said of leaves lost")
	for _, share := range []*basis.Value{&r.RootsKept, &r.LeavesKept} {
		if share.Grade == basis.Given && share.Low == share.High && share.Value < 1 {
			share.Low, share.High = max(0, share.Value-byEye), min(1, share.Value+byEye)
		}
	}
	s.fill(&r.LiveRootTips, "repot.root_tips", basis.Assumed(0, 0, 3, ""), "none were noted")
	s.fill(&r.SoakedHours, "repot.soaked", basis.Exactly(0, "h", basis.Assumption, ""), "nothing is said of soaking the medium")
	if r.Flowers == "" {
		r.Flowers = NoFlowers
		s.assume("repot.flowers", string(NoFlowers), "none were noted")
	}
	return nil
}

// settleHomes fills in the new home from the group's usual one, and the old
// home from the new: most plants go back into what they came from.
func (s *subject) settleHomes(Case) error {
	r := &s.plant.Repot
	if r.Work == "" && r.To.Mount != nil {
		r.Work = Mounted
		s.assume("repot.work", string(Mounted), "the new home is a mount")
	}
	if r.Work == "" {
		r.Work = Repotted
		s.assume("repot.work", string(Repotted), "nothing else is said")
	}
	to, from := &s.plant.Repot.To, &s.plant.Repot.From
	switch {
	case to.Mount != nil:
		m := *to.Mount
		if m.Material == "" {
			m.Material = "cork"
			s.assume("repot.to.mount.material", "cork", "the commonest mount")
		}
		s.fill(&m.WidthCm, "repot.to.mount.size", basis.Assumed(10, 6, 20, "cm"), "a hand's breadth")
		s.fill(&m.HeightCm, "repot.to.mount.size", basis.Assumed(18, 10, 30, "cm"), "a hand's length")
		s.fill(&m.MossCm, "repot.to.mount.moss", basis.Exactly(0, "cm", basis.Assumption, ""), "no moss is mentioned")
		to.Mount = &m
	default:
		s.settleContainer(to, "repot.to", basis.Assumed(12, 9, 15, "cm"), "the commonest size")
		if len(to.Medium) == 0 {
			to.Medium = []Component{{Medium: "medium bark", Parts: 1}}
			s.assume("repot.to.medium", "medium bark", "the commonest medium")
		}
	}
	if !from.Known() {
		*from = *to
		if from.Mount == nil || s.plant.Repot.Work != Mounted {
			s.assume("repot.from", "as now, aged", "the old home is not described")
			return nil
		}
		// A plant that was mounted came from somewhere else.
		*from = Home{Medium: []Component{{Medium: "medium bark", Parts: 1}}}
		s.assume("repot.from.medium", "medium bark", "the old home is not described; a pot of bark is usual")
	}
	if from.Mount != nil {
		m := *from.Mount
		if m.Material == "" {
			m.Material = "cork"
			s.assume("repot.from.mount.material", "cork", "the commonest mount")
		}
		s.fill(&m.WidthCm, "repot.from.mount.size", basis.Assumed(10, 6, 20, "cm"), "a hand's breadth")
		s.fill(&m.HeightCm, "repot.from.mount.size", basis.Assumed(18, 10, 30, "cm"), "a hand's length")
		s.fill(&m.MossCm, "repot.from.mount.moss", basis.Exactly(0, "cm", basis.Assumption, ""), "no moss is mentioned")
		from.Mount = &m
		return nil
	}
	s.settleContainer(from, "repot.from", basis.Assumed(12, 9, 15, "cm"), "the old pot is not described")
	if len(from.Medium) == 0 {
		from.Medium = to.Medium
		s.assume("repot.from.medium", "as now, aged", "the old medium is not described")
		if len(from.Medium) == 0 {
			from.Medium = []Component{{Medium: "medium bark", Parts: 1}}
		}
	}
	return nil
}

func (s *subject) settleContainer(h *Home, field string, nominal basis.Value, why string) {
	var c Container
	if h.Container != nil {
		c = *h.Container
	}
	measured := c.TopCm.Grade != 0 && c.BottomCm.Grade != 0 && c.HeightCm.Grade != 0
	if !measured {
		if c.NominalCm.Grade == 0 && c.TopCm.Grade != 0 {
			// Pots are sold by their width at the brim.
			nominal, why = c.TopCm, "its base and height follow from its width"
			nominal.Grade = basis.Assumption
		}
		s.fill(&c.NominalCm, field+".pot", nominal, why)
		size := nominalSize(s.tables.Pots(), c.NominalCm.Value)
		for v, usual := range map[*basis.Value]basis.Value{&c.TopCm: size.TopCM, &c.BottomCm: size.BaseCM, &c.HeightCm: size.HeightCM} {
			if v.Grade == 0 {
				*v = usual
			}
		}
	}
	if c.Material == "" {
		c.Material = "plastic"
		s.assume(field+".material", "plastic", "the commonest material")
	}
	h.Container = &c
}

// nominalSize returns usual inside measures for a pot sold by a size, scaled
// from the nearest size whose measures are known.
func nominalSize(known []culture.Pot, nominalCm float64) culture.Pot {
	best, bestNominal := known[0], 0.0
	for _, pot := range known {
		// The key starts with the size; sizes in between are scaled.
		var nominal float64
		if _, err := fmt.Sscanf(pot.Key, "%f", &nominal); err != nil {
			continue
		}
		if bestNominal == 0 || abs(nominal-nominalCm) < abs(bestNominal-nominalCm) {
			best, bestNominal = pot, nominal
		}
	}
	scale := 1.0
	if bestNominal > 0 {
		scale = nominalCm / bestNominal
	}
	for _, v := range []*basis.Value{&best.TopCM, &best.BaseCM, &best.HeightCM} {
		v.Value, v.Low, v.High = v.Value*scale, v.Low*scale, v.High*scale
	}
	return best
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
