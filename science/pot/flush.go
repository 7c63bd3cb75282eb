package pot

// Drainage is what became of one pour.
type Drainage struct {
	PouredML   float64 // as poured
	CapturedML float64 // kept by the film
	DrainedML  float64 // run out of the pot: the leachate
	SaltIn     float64 // poured, mS/cm·mL
	SaltOut    float64 // drained, mS/cm·mL
	MeanECmS   float64 // of all that drained; 0 if nothing did
	LastECmS   float64 // of the last 50 mL that drained, where the pen is dipped; 0 if nothing did
}

// LeachingFraction returns leachate over all the water that entered the pot,
// 0 to 1; 0 if nothing was poured.
//
//	LF = drained/(retained + drained)   University of Florida IFAS, EP529
func (d Drainage) LeachingFraction() float64 {
	if d.PouredML == 0 {
		return 0
	}
	return d.DrainedML / d.PouredML
}

// Flush pours water of the given volume (0 to 100 000 mL) and EC (0 to
// 50 mS/cm) onto the pot and changes the state.
//
// The film first keeps its capture share. The rest drains: the bypass runs
// through as it came, and what remains displaces the film water through the
// tanks in series. Salt inside the particles does not move during a pour.
func (p *Pot) Flush(s *State, volumeML, ECmS float64) (Drainage, error) {
	if err := firstError(p.check(s), checkPour(volumeML, ECmS)); err != nil {
		return Drainage{}, err
	}
	return p.flush(s, volumeML, ECmS), nil
}

func checkPour(volumeML, ECmS float64) error {
	return firstError(
		within("volume of a pour", volumeML, 0, LargestPourML, "mL"),
		within("EC of a pour", ECmS, 0, LargestECmS, "mS/cm"),
	)
}

func (p *Pot) flush(s *State, volumeML, ECmS float64) Drainage {
	d := Drainage{PouredML: volumeML, SaltIn: volumeML * ECmS}
	d.CapturedML = p.capture(s, volumeML, ECmS)
	d.DrainedML = volumeML - d.CapturedML
	if !(d.DrainedML > 0) || !(s.FilmML > 0) {
		// Without a film there is nothing to displace, and nothing that
		// could hold salt: the water leaves as it came.
		d.SaltOut = d.DrainedML * ECmS
		if d.DrainedML > 0 {
			d.MeanECmS, d.LastECmS = ECmS, ECmS
		}
		return d
	}
	// Two exact steps make one, so the last cup costs no accuracy.
	lastML := min(cupOfDrainageML, d.DrainedML)
	firstOut := p.drain(s, d.DrainedML-lastML, ECmS)
	lastOut := p.drain(s, lastML, ECmS)
	d.SaltOut = firstOut + lastOut
	d.MeanECmS = d.SaltOut / d.DrainedML
	d.LastECmS = lastOut / lastML
	return d
}

// capture lets the film keep its part of a pour, equally in each tank.
func (p *Pot) capture(s *State, pouredML, ECmS float64) float64 {
	ml := p.captureML(s, pouredML)
	s.FilmML += ml
	s.DepletionMM = max(0, s.DepletionMM-ml/p.mlPerMM)
	for i := range p.tanks {
		s.FilmSalt[i] += ml * ECmS / float64(p.tanks)
	}
	return ml
}

// drain lets water run through a film that stays as full as it is and returns
// the salt that left with it.
func (p *Pot) drain(s *State, drainedML, ECmS float64) (saltOut float64) {
	passedBy := p.bypass * drainedML
	out := displace(s.FilmSalt[:p.tanks], s.FilmML/float64(p.tanks), drainedML-passedBy, ECmS)
	return out + passedBy*ECmS
}

// Leachates appends to readings the EC of each successive fraction of the
// drainage that a pour would give: what a grower reads who catches it in cups
// of fractionML (1 to 100 000 mL). The last fraction may be smaller. The state
// is not changed.
func (p *Pot) Leachates(s State, volumeML, ECmS, fractionML float64, readings []float64) ([]float64, error) {
	if err := firstError(
		p.check(&s), checkPour(volumeML, ECmS),
		within("volume of a fraction", fractionML, 1, LargestPourML, "mL"),
	); err != nil {
		return readings, err
	}
	left := volumeML - p.capture(&s, volumeML, ECmS)
	for left > 0 && s.FilmML > 0 {
		cup := min(fractionML, left)
		readings = append(readings, p.drain(&s, cup, ECmS)/cup)
		left -= cup
	}
	return readings, nil
}
