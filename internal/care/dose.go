package care

import "velamen/science/basis"

// Dose is how strong a feed is wanted. A quantity that cannot be told has no
// grade; the ranges are those of the course, within which the plant is served.
type Dose struct {
	Feed  string `json:"feed,omitempty"` // name of the feed, empty when nothing is known of it
	Water string `json:"water"`          // name of the water it is usually dissolved in

	GramsPerLitre basis.Value `json:"g_per_l,omitzero"`
	PpmN          basis.Value `json:"ppm_n,omitzero"`
	ECmS          basis.Value `json:"ec"` // of the finished solution
}

// dose is the feed of a week.
func (t *Targets) dose(feed, water string) *Dose {
	d := &Dose{Feed: feed, Water: water, ECmS: t.FeedECmS.Value}
	if t.FeedGramsPerLitre != nil {
		d.GramsPerLitre = t.FeedGramsPerLitre.Value
	}
	if t.FeedPpmN != nil {
		d.PpmN = t.FeedPpmN.Value
	}
	return d
}

// feedName is what the plant is fed with.
func (s *subject) feedName() string {
	if s.feed == nil {
		return ""
	}
	return s.feed.Name
}
