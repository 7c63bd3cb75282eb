package light

import (
	"fmt"
	"math"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/basis"
)

func TestEveryParameterCanBeTrustedAsFarAsItSays(t *testing.T) {
	named := map[string]basis.Value{
		"PAR share": parShare, "leaf PAR": leafAbsorptancePAR, "leaf NIR": leafAbsorptanceNIR,
		"clear day": clearDayMeanPerPeak, "PPFD per global": ppfdPerGlobal, "lm/W": lumensPerWatt,
		"Ångström a": angstromA, "Ångström b": angstromB, "clear sky": clearSkyShare, "clear sky per m": clearSkySharePerM,
		"interior": temperatureInterior, "coastal": temperatureCoastal, "albedo": groundAlbedo, "shade cloth": shadeClothError,
	}
	tables := []struct {
		name   string
		first  int
		values []basis.Value
	}{
		{"lux factor", 1, luxPerPPFD[:]},
		{"quanta", 1, quantaPerJoule[:]},
		{"infra-red", 1, nearInfraredPerPAR[:]},
		{"cover", 1, coverTransmission[:ShadeCloth]},
		{"window", 0, windowFC[:]},
	}
	for _, table := range tables {
		for i, v := range table.values[table.first:] {
			named[fmt.Sprintf("%s %d", table.name, i+table.first)] = v
		}
	}
	for name, v := range named {
		if err := v.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if v.Unit == "" {
			t.Errorf("%s has no unit", name)
		}
	}
	for name, table := range map[string]int{"lux": len(luxPerPPFD), "quanta": len(quantaPerJoule), "infra-red": len(nearInfraredPerPAR)} {
		if table != len(sourceNames) {
			t.Errorf("table %s has %d entries for %d sources", name, table-1, len(sourceNames)-1)
		}
	}
}

// Eye sensitivity V(λ) every 10 nm from 400 to 700 (CIE 1924, from memory).
var eye = [...]float64{.0004, .0012, .0040, .0116, .023, .038, .060, .091, .139, .208, .323, .503, .710, .862, .954,
	.995, .995, .952, .870, .757, .631, .503, .381, .265, .175, .107, .061, .032, .017, .0082, .0041}

// blackBody integrates Planck's law: PAR and near infra-red (700 to 3000 nm)
// energy, µmol of PAR and lumens, all to the same scale.
func blackBody(kelvin float64) (par, infrared, micromol, lumen float64) {
	radiance := func(nm float64) float64 { return math.Pow(nm, -5) / math.Expm1(1.438777e7/(nm*kelvin)) }
	const avogadroPlanckLight = 6.02214076e23 * 6.62607015e-34 * 2.99792458e8 // J m/mol
	for nm := 400.5; nm < 3000; nm++ {
		w := radiance(nm)
		if nm > 700 {
			infrared += w
			continue
		}
		par += w
		micromol += w * 1e6 * nm * 1e-9 / avogadroPlanckLight
		at, between := math.Modf((nm - 400) / 10)
		lumen += 683 * w * (eye[int(at)]*(1-between) + eye[min(int(at)+1, len(eye)-1)]*between)
	}
	return par, infrared, micromol, lumen
}

// The two sources that nature ties to a temperature check the table against
// physics: the sun as a black body of 5800 K, the bulb as one of 2856 K.
func TestTableAgainstBlackBodies(t *testing.T) {
	for source, kelvin := range map[Source]float64{Sun: 5800, Incandescent: 2856} {
		par, infrared, micromol, lumen := blackBody(kelvin)
		inside := func(what string, got float64, v basis.Value) {
			if got < v.Low || got > v.High {
				t.Errorf("%v: %s of a black body is %v, the table says %v to %v", source, what, got, v.Low, v.High)
			}
		}
		inside("lux factor", lumen/micromol, luxPerPPFD[source])
		inside("quanta per joule", micromol/par, quantaPerJoule[source])
		inside("infra-red per PAR", infrared/par, nearInfraredPerPAR[source])
		// Computed independently: 54.9 lx per µmol; its rounding, and the
		// steps of 10 nm in the curve.
		if source == Sun && math.Abs(lumen/micromol-54.9) > 0.1 {
			t.Errorf("5800 K: %v lx per µmol, want 54.9", lumen/micromol)
		}
	}
}

// The greatest lux factor is that of 555 nm: 683 lm/W by definition of the
// lumen, over the quanta in a joule.
func TestGreatestLuxFactor(t *testing.T) {
	quanta := 1e6 * 555e-9 / (6.02214076e23 * 6.62607015e-34 * 2.99792458e8)
	if math.Abs(683/quanta-maxLuxFactor) > 0.05 { // printed to 0.1
		t.Errorf("683 lm/W over %v µmol/J is %v", quanta, 683/quanta)
	}
	for i, v := range luxPerPPFD[1:] {
		if v.High > maxLuxFactor {
			t.Errorf("%v exceeds it", Source(i+1))
		}
	}
	// 589 nm, the line of low-pressure sodium.
	if q := quantaPerJoule[LowPressureSodium]; math.Abs(q.Value-quanta*589/555) > 0.01 {
		t.Errorf("sodium's line has %v µmol/J, the table says %v", quanta*589/555, q.Value)
	}
}

// The range of the half sine is that of day lengths of 6 and 18 h on a level
// surface above the atmosphere: mean over peak of FAO-56 Eq. 21 against Eq. 28
// at noon.
func TestRangeOfTheHalfSine(t *testing.T) {
	for _, check := range []struct{ hours, ratio float64 }{{18, clearDayMeanPerPeak.Low}, {12, clearDayMeanPerPeak.Value}, {6, clearDayMeanPerPeak.High}} {
		sunset := check.hours * math.Pi / 24
		ratio := (math.Sin(sunset) - sunset*math.Cos(sunset)) / (sunset * (1 - math.Cos(sunset)))
		if math.Abs(ratio-check.ratio) > 0.001 {
			t.Errorf("%v h of day: mean over peak %v, table %v", check.hours, ratio, check.ratio)
		}
	}
}

// Worked examples of Duffie & Beckman, Solar Engineering of Thermal Processes,
// all from memory. They take δ = 23.45° sin(360(284+n)/365), dr as Eq. 23, and
// 1367 W/m², 0.02 % more than ours.
func TestDuffieBeckmanExamples(t *testing.T) {
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tolerance) {
			t.Errorf("%s is %v, want %v ± %v", what, got, want, tolerance)
		}
	}
	cooper := func(n float64) float64 { return 23.45 * math.Sin(2*math.Pi*(284+n)/365) }
	spencer := func(n float64) float64 { return 1 + 0.033*math.Cos(2*math.Pi*n/365) }

	// 1.6.1: 43° N, 13 February 10:30, slope 45° turned 15° west of south.
	elevation, azimuth := horizonFrom(43, -14, -22.5)
	slope := Surface{TiltDeg: 45, FacingDeg: 195}
	incidence := math.Acos(slope.CosIncidence(elevation, azimuth)) / degree
	near("1.6.1 incidence", incidence, 35, 0.5)
	near("1.6.1 incidence, computed independently", incidence, 35.18, 0.005)

	// 1.6.2: 43° N at 9:30 on 13 February and 18:30 on 1 July; azimuth from
	// south. Printed from cosines rounded to three digits, worth 0.1°.
	for _, check := range []struct{ declination, hourAngle, zenith, azimuth, zenith2, azimuth2 float64 }{
		{-14, -37.5, 66.5, -40.0, 66.55, -40.08},
		{23.1, 97.5, 79.6, 112.0, 79.64, 112.02},
	} {
		elevation, azimuth := horizonFrom(43, check.declination, check.hourAngle)
		near("1.6.2 zenith", 90-elevation, check.zenith, 0.1)
		near("1.6.2 azimuth", azimuth-180, check.azimuth, 0.1)
		near("1.6.2 zenith, computed independently", 90-elevation, check.zenith2, 0.005)
		near("1.6.2 azimuth, computed independently", azimuth-180, check.azimuth2, 0.006)
	}

	// 1.10.1 and 1.10.2: 43° N, 15 April, the day and the hour from 10 to 11.
	day := dailyExtraterrestrialMJ(43*degree, cooper(105)*degree, spencer(105))
	near("1.10.1 H0", day, 33.8, 0.05)
	near("1.10.1 H0, computed independently", day, 33.775, 33.775*0.0003)
	hour := extraterrestrialMJ(43*degree, cooper(105)*degree, spencer(105), -30*degree, -15*degree)
	near("1.10.2 I0", hour, 3.79, 0.005)

	// 2.15.1: 40° N, 20 February, 9 to 10 h, slope 60° to the south, ground
	// 0.60, I = 1.04 MJ, Ib 0.244 and Id 0.796. Linear, so MJ per hour may
	// stand for W/m². The book rounds Rb to 1.71.
	above := extraterrestrialMJ(40*degree, cooper(51)*degree, spencer(51), -45*degree, -30*degree)
	near("2.15.1 I0", above, 2.34, 0.006) // 2.335 printed as 2.34, less 0.02 %
	elevation, azimuth = horizonFrom(40, cooper(51), -37.5)
	tilted := Surface{TiltDeg: 60, FacingDeg: 180}.irradiance(1.04, 0.796, elevation, azimuth, 0.60)
	near("2.15.1 beam", tilted.BeamWM2, 0.417, 0.0015)
	near("2.15.1 sky", tilted.SkyWM2, 0.597, 0.0005)
	near("2.15.1 ground", tilted.GroundWM2, 0.156, 0.0005)
	near("2.15.1 total", tilted.TotalWM2(), 1.171, 0.0015)
	// The same hour on an upright pane, ground 0.20, computed independently.
	pane := Surface{TiltDeg: 90, FacingDeg: 180}
	near("upright Rb", pane.CosIncidence(elevation, azimuth)/math.Sin(elevation*degree), 1.401, 0.002)
	near("upright total", pane.irradiance(1.04, 0.796, elevation, azimuth, 0.20).TotalWM2(), 0.844, 0.001)
}

// The column of quanta per joule (Thimijan & Heins 1983) carries over as
// printed; no conversion is made, so nothing is allowed for rounding.
func TestQuantaPerJouleAsPublished(t *testing.T) {
	checked := 0
	for _, row := range checktable.Rows(t, "photometry.csv") {
		if row["umol_per_joule"] == "" {
			continue
		}
		source, err := ParseSource(row["source"])
		if err != nil {
			t.Fatal(err)
		}
		want := row.Number(t, "umol_per_joule")
		if got := quantaPerJoule[source].Value; got != want {
			t.Errorf("%v: %v µmol/J, published %v", source, got, want)
		}
		checked++
	}
	if checked != 6 {
		t.Errorf("%d rows checked, the table has 6", checked)
	}
}

// FAO-56 example 19, 1 October: Sc 0.1889 h, dr 1.0001 and δ −0.0753,
// computed independently; half a unit of the last digit.
func TestFAO56Example19Intermediates(t *testing.T) {
	day, err := OnDayOfYear(16+13./60, 274)
	if err != nil {
		t.Fatal(err)
	}
	for what, pair := range map[string][2]float64{
		"Sc": {seasonalCorrectionHours(274), 0.1889},
		"dr": {day.InverseDistance, 1.0001},
		"δ":  {day.DeclinationRad, -0.0753},
	} {
		if !(math.Abs(pair[0]-pair[1]) <= 0.00005) {
			t.Errorf("%s is %v, want %v", what, pair[0], pair[1])
		}
	}
}
