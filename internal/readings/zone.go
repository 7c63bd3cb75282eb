package readings

import (
	"os"
	"strings"
	"time"
	_ "time/tzdata" // where the machine has no database of time zones

	"velamen/internal/care"
)

// ZoneOf returns the time zone of a place: the one it names, or that of the
// machine's clock, under its own name where that can be found out.
func ZoneOf(place care.Place, clock *time.Location) *time.Location {
	if zone, err := ParseZone(place.Zone); err == nil {
		return zone
	}
	if clock.String() != "Local" {
		return clock
	}
	const folder = "zoneinfo/"
	if target, err := os.Readlink("/etc/localtime"); err == nil {
		if i := strings.LastIndex(target, folder); i >= 0 {
			if zone, err := time.LoadLocation(target[i+len(folder):]); err == nil {
				return zone
			}
		}
	}
	return clock
}
