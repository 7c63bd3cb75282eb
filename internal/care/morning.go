package care

import "time"

// Morning is how a plant stood when a day began: what its jobs rest on, before
// anything was noted on that day. It lets a plan be compared with the one of
// the morning.
type Morning struct {
	Day                                                     time.Time
	LastFlush, LastWatered, LastFeed                        time.Time
	LastRootsRead, LastPestLook, LastPhotograph, LastReview time.Time
}

// note keeps how things stand before the first entry of a day.
func (m *Morning) note(p *PlantState, at time.Time) {
	day := midnight(at)
	if day.Equal(m.Day) {
		return
	}
	*m = Morning{day, p.LastFlush, p.LastWatered, p.LastFeed, p.LastRootsRead, p.LastPestLook, p.LastPhotograph, p.LastReview}
}

// AsOfMorning returns the plant as it stood when a day began, as far as its jobs
// are concerned; p itself if nothing was noted on that day.
func (p *PlantState) AsOfMorning(on time.Time) *PlantState {
	m := &p.Morning
	if !m.Day.Equal(midnight(on)) {
		return p
	}
	q := *p
	q.LastFlush, q.LastWatered, q.LastFeed = m.LastFlush, m.LastWatered, m.LastFeed
	q.LastRootsRead, q.LastPestLook, q.LastPhotograph, q.LastReview = m.LastRootsRead, m.LastPestLook, m.LastPhotograph, m.LastReview
	q.Done = make(map[string]Answer, len(p.Done))
	for key, a := range p.Done {
		if midnight(a.At).Before(m.Day) {
			q.Done[key] = a
		}
	}
	return &q
}
