package outcome

// TurnbullFrom climbs from other shares than equal ones, which start draws.
func TurnbullFrom(records []Recovery, start func() float64) (IntervalCurve, error) {
	in, spans := intersect(records)
	m := newMixture(spans, len(in.starts))
	for j := range m.share {
		m.share[j] = start()
	}
	m.cumulate()
	return climb(records, in, m)
}
