package pot

import "math"

// Bath is the water in which a pot or loose medium was soaked, afterwards.
type Bath struct {
	TakenML float64 // water that stayed in the medium
	LeftML  float64 // water in the bath
	ECmS    float64 // of the water left
	SaltIn  float64 // in the bath at the start, mS/cm·mL
	SaltOut float64 // in the bath at the end, mS/cm·mL
}

// Soak immerses the medium for the given hours (0.1 to 336) in a bath of the
// given volume, which must cover what the medium can still take, and EC, lets
// it drain and changes the state.
//
// Immersion gets round the bypass and the poor capture of a pour: the film
// fills to the soak capture. It does not get round the slow uptake inside the
// particles: at 0.02 per day a whole day fills 2 % of them. Bath and film are
// taken as well mixed; salt inside the particles comes out with their time
// constant, so that husk chips need several baths.
func (p *Pot) Soak(s *State, hours, bathML, ECmS float64) (Bath, error) {
	if err := p.check(s); err != nil {
		return Bath{}, err
	}
	roomML := max(0, p.capacityML-s.WaterML())
	if err := firstError(
		within("duration of a soak", hours, 0.1, longestSoakHours, "hours"),
		within("volume of the bath", bathML, roomML+1, LargestPourML, "mL"),
		within("EC of the bath", ECmS, 0, LargestECmS, "mS/cm"),
	); err != nil {
		return Bath{}, err
	}
	bath := Bath{SaltIn: bathML * ECmS}
	mixedML := bathML + s.FilmML
	mixedSalt := bath.SaltIn + s.filmSalt()

	steps := math.Ceil(hours)
	stepHours := hours / steps
	for range int(steps) {
		if p.particleCapacityML == 0 {
			break
		}
		filling := s.ParticleML / p.particleCapacityML
		rate := p.uptakePerHour(filling >= p.uptakeSwitch, s.Age) * stepHours
		ml := max(0, p.particleCapacityML-s.ParticleML) * (1 - math.Exp(-rate))
		salt := mixedSalt * ml / mixedML
		mixedML -= ml
		mixedSalt -= salt
		s.ParticleML += ml
		s.ParticleSalt += salt
		_, remains := p.saltRemains(mixedML, s.ParticleML, stepHours, math.Exp(-stepHours/p.saltHours))
		out := saltToParticles(mixedSalt, s.ParticleSalt, mixedML, s.ParticleML, remains)
		mixedSalt -= out
		s.ParticleSalt += out
		s.Age = min(1, s.Age+stepHours*p.agePerHour)
	}

	filled := s.FilmML + p.soakCapture*max(0, p.filmCapacityML-s.FilmML)
	bath.LeftML = mixedML - filled
	bath.TakenML = bathML - bath.LeftML
	bath.ECmS = mixedSalt / mixedML
	bath.SaltOut = bath.ECmS * bath.LeftML
	s.FilmML = filled
	for i := range p.tanks {
		s.FilmSalt[i] = bath.ECmS * filled / float64(p.tanks)
	}
	// The surface is at least as wet as the pot as a whole.
	s.DepletionMM = min(s.DepletionMM, p.totalMM*(1-p.Wetness(s)))
	return bath, nil
}
