package outcome

import "math"

// mixture finds the most likely shares on the maximal intersections. With
// P_i the sum of the shares in span i, it maximises ℓ = Σ w_i log P_i over
// shares p_j ≥ 0 that sum to 1.
//
// Two kinds of step alternate: self-consistency (EM), which never makes ℓ
// worse but crawls, and the iterative convex minorant, a Newton step on the
// cumulated shares with the diagonal of the curvature, kept in order by
// isotonic regression, which can set shares to zero and restore them. Wellner
// & Zhan 1997, §3 (from memory), show that the two together converge from any
// start.
type mixture struct {
	spans  []span
	plants float64

	share      []float64 // p_j
	cumulative []float64 // C_k = p_0 + … + p_(k−1)
	slope      []float64 // ∂ℓ/∂p_j = Σ over spans containing j of w_i/P_i

	// Work space of the convex minorant.
	target, curvature []float64
	blocks            []block
	trial             []float64
}

// block is a run of cumulated shares that isotonic regression makes equal.
type block struct {
	mean, weight float64
	count        int
}

func newMixture(spans []span, intersections int) *mixture {
	m := &mixture{
		spans:      spans,
		share:      make([]float64, intersections),
		cumulative: make([]float64, intersections+1),
		slope:      make([]float64, intersections+1),
		target:     make([]float64, intersections+1),
		curvature:  make([]float64, intersections+1),
		trial:      make([]float64, intersections+1),
		blocks:     make([]block, 0, intersections),
	}
	for _, s := range spans {
		m.plants += s.weight
	}
	for j := range m.share {
		m.share[j] = 1 / float64(intersections)
	}
	m.cumulate()
	return m
}

// cumulate renews the cumulated shares, ending at exactly 1.
func (m *mixture) cumulate() {
	var sum float64
	for j, p := range m.share {
		sum += p
		m.cumulative[j+1] = sum
	}
	for k := range m.cumulative {
		m.cumulative[k] /= sum
	}
	for j := range m.share {
		m.share[j] = m.cumulative[j+1] - m.cumulative[j]
	}
}

// logLikelihood returns ℓ of cumulated shares, −Inf where a record would be
// impossible.
func (m *mixture) logLikelihood(cumulative []float64) float64 {
	var sum float64
	for _, s := range m.spans {
		p := cumulative[s.last+1] - cumulative[s.first]
		if p <= 0 {
			return math.Inf(-1)
		}
		sum += s.weight * math.Log(p)
	}
	return sum
}

// renewSlope computes the slopes and returns the duality gap max_j slope_j −
// plants. ℓ is concave, so its maximum lies at most the gap above ℓ; at the
// maximum the gap is 0 and slope_j = plants wherever p_j > 0, the conditions
// of Karush, Kuhn and Tucker (Gentleman & Geyer 1994, from memory).
func (m *mixture) renewSlope() (gap float64) {
	clear(m.slope)
	for _, s := range m.spans {
		pull := s.weight / (m.cumulative[s.last+1] - m.cumulative[s.first])
		m.slope[s.first] += pull
		m.slope[s.last+1] -= pull
	}
	var sum float64
	for j := range m.share {
		sum += m.slope[j]
		m.slope[j] = sum
		gap = math.Max(gap, sum-m.plants)
	}
	return gap
}

// selfConsistency moves each share to the average, over the records, of its
// probability given the record.
func (m *mixture) selfConsistency() {
	for j := range m.share {
		m.share[j] *= m.slope[j] / m.plants
	}
	m.cumulate()
}

// convexMinorant takes one damped Newton step on the cumulated shares.
func (m *mixture) convexMinorant() {
	last := len(m.share) // C_0 = 0 and C_last = 1 are fixed
	clear(m.target)
	clear(m.curvature)
	for _, s := range m.spans {
		pull := s.weight / (m.cumulative[s.last+1] - m.cumulative[s.first])
		bend := pull * pull / s.weight
		m.target[s.last+1] += pull
		m.curvature[s.last+1] += bend
		m.target[s.first] -= pull
		m.curvature[s.first] += bend
	}
	m.regress()
	// ascent is the slope of ℓ along the step, for the test of progress.
	var ascent float64
	k := 1
	for _, b := range m.blocks {
		mean := math.Min(1, math.Max(0, b.mean))
		for range b.count {
			ascent += m.target[k] * (mean - m.cumulative[k])
			m.target[k] = mean
			k++
		}
	}
	m.target[0], m.target[last] = 0, 1

	here := m.logLikelihood(m.cumulative)
	for length := 1.0; length > 1e-4; length /= 2 {
		for k := range m.trial {
			m.trial[k] = m.cumulative[k] + length*(m.target[k]-m.cumulative[k])
		}
		if m.logLikelihood(m.trial) >= here+0.1*length*ascent {
			m.cumulative, m.trial = m.trial, m.cumulative
			for j := range m.share {
				m.share[j] = math.Max(0, m.cumulative[j+1]-m.cumulative[j])
			}
			m.cumulate()
			return
		}
	}
}

// regress fills blocks with the weighted isotonic regression of the Newton
// steps: neighbours in the wrong order are pooled until none are.
func (m *mixture) regress() {
	m.blocks = m.blocks[:0]
	for k := 1; k < len(m.share); k++ {
		b := block{m.cumulative[k] + m.target[k]/m.curvature[k], m.curvature[k], 1}
		for n := len(m.blocks); n > 0 && m.blocks[n-1].mean >= b.mean; n = len(m.blocks) {
			before := m.blocks[n-1]
			weight := before.weight + b.weight
			b = block{(before.mean*before.weight + b.mean*b.weight) / weight, weight, before.count + b.count}
			m.blocks = m.blocks[:n-1]
		}
		m.blocks = append(m.blocks, b)
	}
}
