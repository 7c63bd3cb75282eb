package care

import (
	"fmt"

	"velamen/science/basis"
	"velamen/science/water"
)

// strength is one strength of feed, in every way a grower may know it. A
// quantity that cannot be told has no grade.
type strength struct {
	gramsPerLitre basis.Value
	ppmN          basis.Value
	ECmS          basis.Value // of the finished solution
}

// ecPerPpmN stands in for a label: the conductivity that a nitrate feed adds
// for each ppm of nitrogen. A 13-3-15 feed with calcium adds 0.0087 mS/cm
// (computed from its ions); feeds rich in urea add far less.
var ecPerPpmN = basis.Assumed(0.0087, 0.003, 0.011, "mS/cm per ppm N")

// ecPerGram stands in for a label where only the grams are known: what a 13-3-15
// feed adds, 130 ppm of nitrogen in a gram per litre.
var ecPerGram = basis.Assumed(1.1, 0.3, 1.6, "mS/cm per g/L")

// usualStrength is how the plant was fed before the repot.
func (s *subject) usualStrength() (strength, error) {
	r := s.routine
	if s.feed == nil {
		u := strength{gramsPerLitre: r.FeedGramsPerLitre, ppmN: r.FeedPpmN, ECmS: r.FeedECmS}
		base := s.feedWaterECmS()
		added := func(amount, ecPer basis.Value) basis.Value {
			return basis.Assumed(base+amount.Value*ecPer.Value, base+amount.Low*ecPer.Low, base+amount.High*ecPer.High, "mS/cm")
		}
		switch {
		case r.FeedPpmN.Grade != 0:
			u.ECmS = added(r.FeedPpmN, ecPerPpmN)
		case r.FeedGramsPerLitre.Grade != 0:
			u.ECmS = added(r.FeedGramsPerLitre, ecPerGram)
		case r.FeedECmS.Value < base:
			return strength{}, fmt.Errorf("the feed's EC of %.3g mS/cm lies below the %.3g mS/cm of its water, %s", r.FeedECmS.Value, base, s.feedWater.Name)
		}
		return u, nil
	}
	label := s.feed.Label
	grams := r.FeedGramsPerLitre
	var err error
	switch {
	case grams.Grade != 0:
	case r.FeedPpmN.Grade != 0:
		grams = r.FeedPpmN
		grams.Value, err = label.GramsPerLitreForN(r.FeedPpmN.Value)
	default:
		grams = r.FeedECmS
		grams.Value, err = label.GramsPerLitreForEC(s.feedIons, r.FeedECmS.Value)
	}
	if err != nil {
		return strength{}, fmt.Errorf("feed %s: %w", s.feed.Name, err)
	}
	grams.Low, grams.High, grams.Unit = grams.Value, grams.Value, "g/L"
	u, err := s.atGrams(grams)
	if r.FeedGramsPerLitre.Grade == 0 && r.FeedPpmN.Grade == 0 {
		// The EC was read; what is uncertain are the grams that gave it.
		computed := u.ECmS
		u.ECmS = r.FeedECmS
		for _, v := range []*basis.Value{&u.gramsPerLitre, &u.ppmN} {
			v.Low, v.High = v.Value*r.FeedECmS.Value/computed.High, v.Value*r.FeedECmS.Value/max(computed.Low, 1e-9)
			v.Grade = basis.Weakest(v.Grade, computed.Grade)
		}
	}
	return u, err
}

// feedErrorShare is what the computed conductivity of a feed on pure water is
// good for; on mains it is a little worse.
const feedErrorShare = 0.05

// atGrams completes a strength from the grams of labelled feed in a litre.
func (s *subject) atGrams(grams basis.Value) (strength, error) {
	feed, err := s.feed.Label.AtGramsPerLitre(grams.Value)
	if err != nil {
		return strength{}, fmt.Errorf("feed %s: %w", s.feed.Name, err)
	}
	ec, err := s.feed.Label.ECmSIn(s.feedIons, grams.Value)
	if err != nil {
		return strength{}, fmt.Errorf("feed %s: %w", s.feed.Name, err)
	}
	u := strength{gramsPerLitre: grams}
	u.ppmN = basis.Exactly(feed.Elements.N, "ppm N", grams.Grade, "")
	u.ECmS = basis.Value{Value: ec, Low: ec * (1 - feedErrorShare), High: ec * (1 + feedErrorShare), Unit: "mS/cm",
		Grade: basis.Weakest(grams.Grade, basis.FromMemory), Source: "conductivity of the ions by the Kohlrausch–Onsager law"}
	if feed.Assumptions.Has(water.NitrogenFormsAssumed) {
		u.ECmS.Low, u.ECmS.Grade = 0.5*ec, basis.Assumption // urea would not conduct
	}
	return u, nil
}

// scaled returns the strength at a share of the usual.
func (s *subject) scaled(usual strength, factor float64) (strength, error) {
	if s.feed != nil {
		grams := usual.gramsPerLitre
		grams.Value, grams.Low, grams.High = grams.Value*factor, grams.Low*factor, grams.High*factor
		return s.atGrams(grams)
	}
	scaled := usual
	for _, v := range []*basis.Value{&scaled.gramsPerLitre, &scaled.ppmN} {
		v.Value, v.Low, v.High = v.Value*factor, v.Low*factor, v.High*factor
	}
	// The water's own salt is not the feed's and stays.
	base := s.feedWaterECmS()
	scale := func(ec float64) float64 { return base + factor*max(0, ec-base) }
	scaled.ECmS.Value, scaled.ECmS.Low, scaled.ECmS.High = scale(usual.ECmS.Value), scale(usual.ECmS.Low), scale(usual.ECmS.High)
	return scaled, nil
}

// feedWaterECmS is the conductivity of the water the feed is dissolved in.
func (s *subject) feedWaterECmS() float64 {
	if s.feedWater.ECmS.Grade != 0 {
		return s.feedWater.ECmS.Value
	}
	ec, err := s.feedIons.ECmS()
	if err != nil {
		return 0
	}
	return ec
}
