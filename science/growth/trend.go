package growth

import "math"

// Belief is what is known of one root at one moment: its length and its rate,
// with the variances of both and their covariance.
type Belief struct {
	Day          float64
	LengthMM     float64
	RateMMPerDay float64
	LengthVar    float64 // mm²; +Inf while nothing is known of the length
	Covariance   float64 // mm²/day
	RateVar      float64 // mm²/day²
}

// Unmeasured returns the belief before the first reading: any length, and the
// given rate.
func Unmeasured(day float64, rate Rate) Belief {
	return Belief{Day: day, LengthVar: math.Inf(1), RateMMPerDay: rate.MMPerDay, RateVar: rate.Variance}
}

// Rate returns the part of the belief that concerns the rate.
func (b Belief) Rate() Rate { return Rate{MMPerDay: b.RateMMPerDay, Variance: b.RateVar} }

// Trend is the local linear trend: the length grows with the rate, and the
// rate wanders.
//
//	dℓ = r·dt + dξ,  dr = dζ   Harvey 1989, section 9.2 (from memory)
type Trend struct {
	RateNoise   float64 // variance of ζ per day, mm²/day³
	LengthNoise float64 // variance of ξ per day, mm²/day; zero for roots
}

// Ahead returns the belief of a later day, before any reading on it. With
// Δ the days between, T = [1 Δ; 0 1] and
//
//	Q = σζ²·[Δ³/3 Δ²/2; Δ²/2 Δ] + σξ²·[Δ 0; 0 0]   exact discretisation, Harvey 1989, section 9.2 (from memory)
//
// the state becomes T·(ℓ, r) and its covariance T·P·Tᵀ + Q. A day before that
// of the belief has no meaning here and is not checked.
func (t Trend) Ahead(b Belief, day float64) Belief {
	d := day - b.Day
	return Belief{
		Day:          day,
		LengthMM:     b.LengthMM + d*b.RateMMPerDay,
		RateMMPerDay: b.RateMMPerDay,
		LengthVar:    b.LengthVar + d*(2*b.Covariance+d*b.RateVar) + t.RateNoise*d*d*d/3 + t.LengthNoise*d,
		Covariance:   b.Covariance + d*b.RateVar + t.RateNoise*d*d/2,
		RateVar:      b.RateVar + t.RateNoise*d,
	}
}

// Surprise is how a reading compared with what was expected of it: v and F of
// the filter. Both are zero where nothing was expected, at a first reading.
type Surprise struct {
	MM  float64
	Var float64 // mm², of the reading as it was expected
}

// Read returns the belief after a reading whose error has the given variance.
//
//	v = y − ℓ,  F = Pℓℓ + σε²,  K = (Pℓℓ, Pℓr)/F   Durbin & Koopman 2012, section 4.3 (from memory)
//
// A first reading, with nothing known of the length, is the limit of an
// infinite variance: the length becomes the reading and the rate is untouched.
func (b Belief) Read(lengthMM, errorVar float64) (Belief, Surprise) {
	if math.IsInf(b.LengthVar, 1) {
		b.LengthMM, b.LengthVar, b.Covariance = lengthMM, errorVar, 0
		return b, Surprise{}
	}
	s := Surprise{MM: lengthMM - b.LengthMM, Var: b.LengthVar + errorVar}
	share := s.MM / s.Var
	b.LengthMM += b.LengthVar * share
	b.RateMMPerDay += b.Covariance * share
	b.RateVar = max(0, b.RateVar-b.Covariance*b.Covariance/s.Var)
	// P − K·F·Kᵀ, written so that nothing cancels when the variance was large.
	kept := errorVar / s.Var
	b.LengthVar *= kept
	b.Covariance *= kept
	return b, s
}

// ChanceFaster returns the probability that the rate exceeds the given one.
func (b Belief) ChanceFaster(thanMMPerDay float64) float64 {
	return b.Rate().ChanceFaster(thanMMPerDay)
}
