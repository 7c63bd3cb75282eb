package care_test

import (
	"math"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// One hour's humidifier load by hand: 30 m³ at 20 °C and 60 %, outside 5 °C and
// 80 %, one change of air an hour. FAO-56 table 2.3 has 2.338 kPa at 20 °C and
// 0.872 at 5 °C, so ea is 1.403 and 0.698 kPa; W = 0.622 ea/(101.325 − ea) gives
// 8.734 and 4.314 g/kg; the volume of moist air at 20 °C is
// 287.05·293.15/101325·(1 + 1.608·0.008734) = 0.8422 m³/kg (ideal gas). So 30
// m³ hold 35.62 kg, and a day takes 24·35.62·4.420 g = 3.779 L.
func TestHumidifierByHand(t *testing.T) {
	hours := []care.ClimateHour{{Start: time.Unix(0, 0), TempC: care.Spread{Mean: 20, Count: 1}, RHPercent: care.Spread{Mean: 40, Count: 1}}}
	outside := &care.Outdoors{TempC: basis.Exactly(5, "°C", basis.Given, ""), RHPercent: basis.Exactly(80, "%", basis.Given, "")}
	wants := care.OpenWants()
	wants.Night.LowRH = 60
	room := &care.Room{VolumeM3: basis.Exactly(30, "m³", basis.Given, ""), AirChangesPerHour: basis.Exactly(1, "1/h", basis.Given, "")}
	f, ok := room.HumidifierLitres(hours, outside, wants)
	if !ok || math.Abs(f.Value.Value-3.779) > 0.02 {
		t.Errorf("%+v, %v; want 3.78 L", f.Value, ok)
	}
	room.AirChangesPerHour = basis.Value{}
	if f, _ := room.HumidifierLitres(hours, outside, wants); !(f.Low < f.Value.Value && f.Value.Value < f.High) {
		t.Errorf("air changes that were left out give no range: %+v", f.Value)
	}
	for name, other := range map[string]func() (care.Figure, bool){
		"no room":            func() (care.Figure, bool) { return (*care.Room)(nil).HumidifierLitres(hours, outside, wants) },
		"nothing outside":    func() (care.Figure, bool) { return room.HumidifierLitres(hours, &care.Outdoors{}, wants) },
		"nobody asks":        func() (care.Figure, bool) { return room.HumidifierLitres(hours, outside, care.OpenWants()) },
		"nothing was inside": func() (care.Figure, bool) { return room.HumidifierLitres(nil, outside, wants) },
	} {
		if f, ok := other(); ok {
			t.Errorf("%s gives %v", name, f.Value)
		}
	}
}

// At 20 °C inside and 0 °C outside a single pane's inner face has
// 20 − 5.7·0.13·20 = 5.2 °C. Dew forms above the humidity whose dew point that
// is: e°(5.2) = 0.884 kPa of e°(20) = 2.338 kPa (FAO-56 table 2.3, the first
// interpolated), 37.8 %.
func TestDewOnGlassByHand(t *testing.T) {
	hour := func(rh float64) care.ClimateHour {
		return care.ClimateHour{Start: time.Unix(int64(rh)*3600, 0), TempC: care.Spread{Mean: 20, Count: 1}, RHPercent: care.Spread{Mean: rh, Count: 1}}
	}
	outside := &care.Outdoors{TempC: basis.Exactly(0, "°C", basis.Given, ""), RHPercent: basis.Exactly(80, "%", basis.Given, "")}
	wants := care.OpenWants()
	wants.Night.LowRH = 55
	d, ok := (*care.Room)(nil).DewOnGlass([]care.ClimateHour{hour(35), hour(37), hour(39), hour(45)}, outside, wants)
	if !ok || d.Hours != 2 || d.Of != 4 || d.Held != 4 || math.Abs(d.GlassC-5.18) > 0.01 || d.Worst.Unix() != 45*3600 {
		t.Errorf("%+v", d)
	}
	double := &care.Room{Panes: care.DoublePane}
	if d, _ := double.DewOnGlass([]care.ClimateHour{hour(45)}, outside, care.OpenWants()); d.Hours != 0 || d.Held != 0 {
		t.Errorf("double panes at 45 %%: %+v", d)
	}
}
