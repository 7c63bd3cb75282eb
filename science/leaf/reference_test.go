package leaf

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Three published sets of physics that differ from ours in saturation, latent
// heat, boundary layer and constants. They live in tests only: they show that
// the balance and the search are right, whatever goes into them.

// table reads a check table: numbers separated by commas, # for comments.
func table(t testing.TB, name string) [][]float64 {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var rows [][]float64
	scanner := bufio.NewScanner(file)
	for scanner.Scan() {
		line := scanner.Text()
		if strings.HasPrefix(line, "#") {
			continue
		}
		var row []float64
		for field := range strings.SplitSeq(line, ",") {
			x, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			row = append(row, x)
		}
		rows = append(rows, row)
	}
	if err := scanner.Err(); err != nil {
		t.Fatal(err)
	}
	if len(rows) == 0 {
		t.Fatalf("%s is empty", name)
	}
	return rows
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// Gas constants, J mol⁻¹ K⁻¹, as the sources have them.
const (
	gasSchymanski = 8.314472
	gasBonan      = 8.31447
	gasTealeaves  = 8.3144598
)

// byConcentration makes a saturation function for models that drive vapour by
// concentration e/(R T) instead of e: with e'(T) = e(T)·Ta/T and conductances
// turned into moles at air temperature, g P/(R Ta), our flux g(e'−ea)/P is
// theirs exactly.
func byConcentration(saturationKPa func(kelvin float64) float64, airKelvin float64) func(float64) float64 {
	return func(c float64) float64 {
		k := c + kelvin
		return saturationKPa(k) * airKelvin / k
	}
}

// schymanski: Schymanski & Or 2017, constants of their numeric leaf. Heat
// transfer and vapour conductance of a face are inputs.
func schymanski(airKelvin, heatWM2K, vapourMS float64) Physics {
	saturation := func(k float64) float64 { return 0.611 * math.Exp(44100/gasSchymanski*(1/273.0-1/k)) }
	const heatCapacity = 29.2
	face := Face{
		HeatMol:   heatWM2K / heatCapacity,
		VapourMol: vapourMS * 101325 / (gasSchymanski * airKelvin),
	}
	return Physics{
		SaturationKPa:        byConcentration(saturation, airKelvin),
		LatentJPerMol:        func(_, _ float64) float64 { return 2450000 * 0.018 },
		Boundary:             func(float64, Surroundings, float64) (Face, Face) { return face, face },
		HeatCapacityJPerMolK: heatCapacity, Emissivity: 1, StefanBoltzmann: 5.67e-8,
	}
}

// bonanLayers returns the laminar, turbulent and free conductance to heat of a
// face and their factors for vapour: Bonan 2019, program 10.1.
func bonanLayers(dimensionM, speedMS, airC, warmerK, pressureKPa float64) (laminar, turbulent, free Face) {
	k := airC + kelvin
	scale := 101.325 / pressureKPa * math.Pow(k/kelvin, 1.81)
	momentum, heat, vapour := 13.3e-6*scale, 18.9e-6*scale, 21.8e-6*scale
	re := speedMS * dimensionM / momentum
	gr := 9.80616 * dimensionM * dimensionM * dimensionM * max(warmerK, 0) / (k * momentum * momentum)
	density := pressureKPa * 1000 / (gasBonan * k)
	face := func(coefficient, power, flow float64) Face {
		return Face{
			HeatMol:   density * heat / dimensionM * coefficient * math.Pow(momentum/heat, power) * flow,
			VapourMol: density * vapour / dimensionM * coefficient * math.Pow(momentum/vapour, power) * flow,
		}
	}
	return face(1.5*0.66, 0.33, math.Sqrt(re)), face(1.5*0.036, 0.33, math.Pow(re, 0.8)), face(0.54, 0.25, math.Pow(gr, 0.25))
}

// flatauKPa is the polynomial of Flatau et al. 1992 for 0 to 100 °C.
func flatauKPa(c float64) float64 {
	sum := 0.0
	for _, a := range [...]float64{
		0.209339997e-15, -0.373208410e-12, 0.892344772e-10, 0.196237241e-07, 0.305903558e-05,
		0.264461437e-03, 0.143064234e-01, 0.444007856, 6.11213476,
	} {
		sum = sum*c + a
	}
	return sum / 10
}

// bonan: Bonan 2019, program 10.2. Its leaf has one series of stomata and
// boundary layer, no cuticle, and takes the larger of laminar and turbulent
// plus the free term.
func bonan(airC, rhPercent, pressureKPa float64) Physics {
	const water, dry = 18.016, 28.966
	vapourShare := rhPercent / 100 * flatauKPa(airC) / pressureKPa
	humidity := water / dry * vapourShare / (1 - (1-water/dry)*vapourShare)
	molarMass := dry / 1000 * (1 - (1-water/dry)*vapourShare)
	return Physics{
		SaturationKPa: flatauKPa,
		LatentJPerMol: func(airC, _ float64) float64 { return (2501.6 - 2.3773*airC) * water },
		Boundary: func(dimensionM float64, around Surroundings, leafC float64) (lower, upper Face) {
			laminar, turbulent, free := bonanLayers(dimensionM, around.SpeedMS, around.AirC, leafC-around.AirC, around.PressureKPa)
			face := Face{
				HeatMol:   max(laminar.HeatMol, turbulent.HeatMol) + free.HeatMol,
				VapourMol: max(laminar.VapourMol, turbulent.VapourMol) + free.VapourMol,
			}
			return face, face
		},
		HeatCapacityJPerMolK: 1004.64 * (1 + (1810/1004.64-1)*humidity) * molarMass,
		Emissivity:           0.98, StefanBoltzmann: 5.67e-8,
	}
}

// goffGratchKPa is the saturation pressure after Goff & Gratch, as tealeaves
// has it, with the boiling point at 101.3246 kPa.
func goffGratchKPa(k float64) float64 {
	r := 373.16 / k
	return 101.3246 * math.Pow(10, -7.90298*(r-1)+5.02808*math.Log10(r)-
		1.3816e-7*(math.Pow(10, 11.344*(1-1/r))-1)+8.1328e-3*(math.Pow(10, -3.49149*(r-1))-1))
}

// tealeaves: Muir 2019, after Monteith & Unsworth 2013; mixed convection with
// power 3.5, faces that differ in free convection, buoyancy of moist air.
func tealeaves(airC, rhPercent float64) Physics {
	airKelvin := airC + kelvin
	return Physics{
		SaturationKPa: byConcentration(goffGratchKPa, airKelvin),
		LatentJPerMol: func(_, leafC float64) float64 { return 56847.6825 - 43.12514*(leafC+kelvin) },
		Boundary: func(dimensionM float64, around Surroundings, leafC float64) (lower, upper Face) {
			return tealeavesFace(dimensionM, around, leafC, leafC < airC), tealeavesFace(dimensionM, around, leafC, leafC > airC)
		},
		HeatCapacityJPerMolK: heatCapacityAir, Emissivity: 0.97, StefanBoltzmann: 5.67e-8,
	}
}

func tealeavesFace(dimensionM float64, around Surroundings, leafC float64, rising bool) Face {
	airK, leafK := around.AirC+kelvin, leafC+kelvin
	mean := (airK + leafK) / 2
	scale := math.Pow(mean/kelvin, 1.75) * 101.3246 / around.PressureKPa
	momentum, heat, vapour := 13.3e-6*scale, 19.0e-6*scale, 21.2e-6*scale
	virtual := func(k, kPa float64) float64 { return k / (1 - (1-0.622)*kPa/around.PressureKPa) }
	buoyancy := math.Abs(virtual(leafK, goffGratchKPa(leafK)) - virtual(airK, around.RHPercent/100*goffGratchKPa(airK)))
	gr := 9.8 / airK * dimensionM * dimensionM * dimensionM * buoyancy / (momentum * momentum)
	re := around.SpeedMS * dimensionM / momentum
	forced := 0.6 * math.Sqrt(re)
	if re > 4000 {
		forced = 0.032 * math.Pow(re, 0.8)
	}
	free := 0.23 * math.Pow(gr, 0.25)
	if rising {
		free = 0.5 * math.Pow(gr, 0.25)
	}
	mixed := func(a, b float64) float64 { return math.Pow(math.Pow(a, 3.5)+math.Pow(b, 3.5), 1/3.5) }
	heatMS := heat / dimensionM * mixed(forced, free)
	vapourMS := vapour / dimensionM * mixed(forced*math.Pow(heat/vapour, 0.33), free*math.Pow(heat/vapour, 0.25))
	// Heat in W m⁻² K⁻¹ is density of dry air at the mean temperature times
	// 1.01 J g⁻¹ K⁻¹; vapour is moved by concentration (see byConcentration).
	density := around.PressureKPa * 1e6 / (287.058 * mean)
	return Face{
		HeatMol:   density * 1.01 * heatMS / heatCapacityAir,
		VapourMol: vapourMS * around.PressureKPa * 1000 / (gasTealeaves * airK),
	}
}
