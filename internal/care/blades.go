package care

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// BladeUse is one cut with a blade, or one cleaning of it.
type BladeUse struct {
	Blade   string
	At      time.Time
	Entry   string
	Plant   string // id; empty for a cleaning
	Label   string
	Cleaned BladeCare
	// After is the label of the plant that the blade cut before this one without
	// heat or another blade in between: sap went from one to the other.
	After string
}

// BladeLog returns what every blade did, blade by blade in the order of their
// names, each in order of time.
func (c *Collection) BladeLog() []BladeUse {
	var list []BladeUse
	for id, p := range c.Plants {
		for _, b := range p.Seen.Blades {
			list = append(list, BladeUse{Blade: strings.TrimSpace(b.Blade), At: b.At, Entry: b.Entry, Plant: id, Label: p.Record.Label})
		}
	}
	for _, b := range c.Cleaned {
		list = append(list, BladeUse{Blade: strings.TrimSpace(b.Blade), At: b.At, Entry: b.Entry, Cleaned: b.How})
	}
	slices.SortFunc(list, func(a, b BladeUse) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Blade), strings.ToLower(b.Blade)), a.At.Compare(b.At), strings.Compare(a.Entry, b.Entry))
	})
	var carries *BladeUse // the cut whose sap is on the blade
	for i := range list {
		one := &list[i]
		if i > 0 && !SameBlade(list[i-1].Blade, one.Blade) {
			carries = nil
		}
		switch {
		case one.Cleaned.StopsViruses():
			carries = nil
		case one.Cleaned != "": // wiping leaves the sap that matters
		default:
			if carries != nil && carries.Plant != one.Plant {
				one.After = carries.Label
			}
			carries = one
		}
	}
	return list
}
