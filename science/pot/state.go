package pot

// State is what changes in a pot. It holds no pointers: copy it freely.
type State struct {
	FilmML       float64           // water between the particles
	ParticleML   float64           // water inside the particles
	FilmSalt     [MaxTanks]float64 // salt in each tank of the film from the top down, mS/cm·mL; unused tanks are 0
	ParticleSalt float64           // salt inside the particles, mS/cm·mL
	DepletionMM  float64           // water lost from the surface layer and not yet replaced (FAO-56 De)
	Age          float64           // 0 fresh medium, 1 aged
}

// WaterML returns the water in film and particles.
func (s *State) WaterML() float64 { return s.FilmML + s.ParticleML }

// Salt returns the salt in film and particles, mS/cm·mL.
func (s *State) Salt() float64 { return s.filmSalt() + s.ParticleSalt }

func (s *State) filmSalt() float64 {
	var sum float64
	for _, salt := range s.FilmSalt {
		sum += salt
	}
	return sum
}

// Fill returns a state with the film and the particles filled to the given
// shares (0 to 1) with water of the given EC, its surface as wet as the whole,
// and its medium of the given age (0 fresh, 1 aged).
func (p *Pot) Fill(filmShare, particleShare, ECmS, age float64) (State, error) {
	if err := firstError(
		p.made(),
		within("filling of the film", filmShare, 0, 1, "1"),
		within("filling of the particles", particleShare, 0, 1, "1"),
		within("EC", ECmS, 0, LargestECmS, "mS/cm"),
		within("age of the medium", age, 0, 1, "1"),
	); err != nil {
		return State{}, err
	}
	s := State{FilmML: filmShare * p.filmCapacityML, ParticleML: particleShare * p.particleCapacityML, Age: age}
	for i := range p.tanks {
		s.FilmSalt[i] = ECmS * s.FilmML / float64(p.tanks)
	}
	s.ParticleSalt = ECmS * s.ParticleML
	s.DepletionMM = p.totalMM * (1 - p.Wetness(&s))
	return s, nil
}

// Wetness returns the water held as a share of capacity, 0 to 1.
func (p *Pot) Wetness(s *State) float64 { return min(1, s.WaterML()*p.perCapacity) }

// ECmS returns the mean EC of the pore water, film and particles together. A
// nearly dry pot has hardly any water to dissolve its salt in; the figure then
// counts on at least 2 % of capacity, and stays finite in a dry pot.
func (p *Pot) ECmS(s *State) float64 {
	return s.Salt() / max(s.WaterML(), ecAtLeastWaterShare*p.capacityML)
}

// check reports a state that this pot cannot be in.
func (p *Pot) check(s *State) error {
	const slack = 1 + 1e-9 // a state made by adding up may be full to the last digit but one
	if err := p.made(); err != nil {
		return err
	}
	if err := firstError(
		within("film water", s.FilmML, 0, p.filmCapacityML*slack, "mL"),
		within("particle water", s.ParticleML, 0, p.particleCapacityML*slack, "mL"),
		within("salt in the particles", s.ParticleSalt, 0, 1e9, "mS/cm·mL"),
		within("depletion of the surface", s.DepletionMM, 0, p.totalMM*slack, "mm"),
		within("age of the medium", s.Age, 0, 1, "1"),
		// The surface layer is part of the pot and cannot hold more than it.
		within("water of the surface layer", (p.totalMM-s.DepletionMM)*p.mlPerMM, -p.capacityML, s.WaterML()+1e-9*p.capacityML, "mL"),
	); err != nil {
		return err
	}
	for i, salt := range s.FilmSalt {
		most := 1e9
		if i >= p.tanks {
			most = 0
		}
		if err := within("salt in a tank of the film", salt, 0, most, "mS/cm·mL"); err != nil {
			return err
		}
	}
	return nil
}
