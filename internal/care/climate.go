package care

import (
	"fmt"
	"time"
)

// Quantity is what a sensor measures in the air of a space.
type Quantity string

// The quantities that are kept, each in one unit.
const (
	AirTemperature Quantity = "temperature" // °C
	AirHumidity    Quantity = "humidity"    // relative, %
	LeafLight      Quantity = "light"       // PPFD at the leaves, µmol m⁻² s⁻¹
)

// Quantities lists every quantity.
var Quantities = []Quantity{AirTemperature, AirHumidity, LeafLight}

// Range is what a quantity can be on Earth; what lies outside is a fault of the
// sensor or of a unit, and is refused. Temperatures are bounded by what the
// equations of the air cover, light by a little more than full sun on a
// mountain (see science/air and science/light).
func (q Quantity) Range() (low, high float64, unit string) {
	switch q {
	case AirTemperature:
		return -40, 60, "°C"
	case AirHumidity:
		return 0, 100, "%"
	case LeafLight:
		return 0, 4000, "µmol/m²/s"
	}
	return 0, 0, ""
}

// Reading is one value that a sensor gave.
type Reading struct {
	Space    string    `json:"space"`
	Source   string    `json:"source"` // the sensor, or how it was read
	Quantity Quantity  `json:"quantity"`
	At       time.Time `json:"at"` // to the second
	Value    float64   `json:"value"`
}

// Check returns what is wrong with a reading. now bounds its time: nothing is
// measured more than a day ahead.
func (r Reading) Check(now time.Time) error {
	low, high, unit := r.Quantity.Range()
	switch {
	case unit == "":
		return fmt.Errorf("%q is not a quantity that is kept; expected temperature, humidity or light", r.Quantity)
	case r.Space == "":
		return fmt.Errorf("the space of the %s is missing", r.Quantity)
	case !(r.Value >= low && r.Value <= high):
		return fmt.Errorf("a %s of %g is outside %g to %g %s", r.Quantity, r.Value, low, high, unit)
	case r.At.Year() < 1980:
		return fmt.Errorf("the time of the %s, %s, lies before 1980", r.Quantity, r.At.Format(time.DateOnly))
	case r.At.After(now.Add(24 * time.Hour)):
		return fmt.Errorf("the time of the %s, %s, lies in the future", r.Quantity, r.At.Format(time.RFC3339))
	}
	return nil
}

// Spread is what the readings of one quantity came to over a time. Without a
// Count nothing was measured and the other figures mean nothing.
type Spread struct {
	Min   float64 `json:"min"`
	Mean  float64 `json:"mean"`
	Max   float64 `json:"max"`
	Count int     `json:"count"` // readings behind it
}

// Known reports whether anything was measured.
func (s Spread) Known() bool { return s.Count > 0 }

// ClimateHour is what was measured in one space within one hour of the clock at
// the place. The vapour pressure deficit comes from each pair of temperature and
// humidity, not from their means.
type ClimateHour struct {
	Start     time.Time `json:"start"`
	Lit       bool      `json:"lit"` // the middle of the hour belongs to the day of the plants
	TempC     Spread    `json:"temp_c"`
	RHPercent Spread    `json:"rh_percent"`
	VPDKPa    Spread    `json:"vpd_kpa"`
	PPFD      Spread    `json:"ppfd"`
}

// ClimatePart is the day or the night of a calendar day: minima and maxima over
// all readings, means over the hours measured, so that a sensor that reports
// more often at times does not weigh more.
type ClimatePart struct {
	TempC     Spread `json:"temp_c"`
	RHPercent Spread `json:"rh_percent"`
	VPDKPa    Spread `json:"vpd_kpa"`
	Hours     int    `json:"hours"` // in which anything was measured
}

// ClimateDay is what was measured in one space on one calendar day of the place.
type ClimateDay struct {
	Date     time.Time   `json:"date"` // midnight UTC of the calendar day, as all days are
	Lit      ClimatePart `json:"lit"`
	Dark     ClimatePart `json:"dark"`
	Light    Spread      `json:"light_ppfd"`
	DLIMol   float64     `json:"dli_mol"`   // mol m⁻², over the time that light readings cover
	DLIHours float64     `json:"dli_hours"` // that time, h; below 24 the sum may be too low
	Suspect  int         `json:"suspect"`   // readings left out as spikes of a sensor
}
