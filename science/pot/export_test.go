package pot

// PassForTest lets a step of any length pass, so that tests can show that
// finer steps converge.
func (p *Pot) PassForTest(s *State, hours, demandML, potentialMM, rhPercent float64, t *Totals) {
	c := p.newPace(hours)
	p.pass(s, &c, demandML, potentialMM, rhPercent, t)
}

// CloseForTest closes the balances of a result.
func (r *Result) CloseForTest(start *State) error { return r.close(start) }

// LostForTest is 1 − e^(−x).
func LostForTest(x float64) float64 { return lost(x) }
