package batch

import "math"

// sense is how a row of a program compares.
type sense int8

const (
	atMost sense = iota
	equal
	atLeast
)

// row is one condition: the sum of a·x compares to b.
type row struct {
	a     []float64
	sense sense
	b     float64
}

// program is a linear program: the least sum of cost·x over x ≥ 0 that meets the
// rows.
type program struct {
	cost []float64
	rows []row
}

// outcome is how a program ends.
type outcome int8

const (
	optimal outcome = iota
	infeasible
	unbounded
)

const (
	pivotSize   = 1e-9 // smaller entries of a row, scaled to 1, count as nothing
	feasibility = 1e-8 // what may be left of the artificial sum, rows scaled to 1
)

// solve returns the optimum by the two-phase simplex method on a dense tableau.
// It is meant for tens of variables and rows. Dantzig's rule picks the column;
// after as many pivots as there are columns Bland's rule takes over, so that it
// always ends.
func (p *program) solve() (x []float64, value float64, how outcome) {
	t := newTableau(p)
	if t.artificial > 0 {
		t.price(func(j int) float64 {
			if j >= t.firstArtificial {
				return 1
			}
			return 0
		})
		t.run(t.columns)
		if -t.at(t.rows, t.columns) > feasibility {
			return nil, 0, infeasible
		}
		t.dropArtificials()
	}
	t.price(func(j int) float64 {
		if j < len(p.cost) {
			return p.cost[j]
		}
		return 0
	})
	if !t.run(t.firstArtificial) {
		return nil, 0, unbounded
	}
	x = make([]float64, len(p.cost))
	for i, j := range t.basis {
		if j < len(x) {
			x[j] = math.Max(0, t.at(i, t.columns))
		}
	}
	for j, c := range p.cost {
		value += c * x[j]
	}
	return x, value, optimal
}

// tableau holds the rows, one after the other, with the right-hand side as last
// column and the reduced costs as last row.
type tableau struct {
	rows, columns   int // without the right-hand side and the costs
	firstArtificial int
	artificial      int
	cells           []float64
	basis           []int // column of each row
}

func (t *tableau) at(i, j int) float64 { return t.cells[i*(t.columns+1)+j] }

func (t *tableau) line(i int) []float64 {
	width := t.columns + 1
	return t.cells[i*width : (i+1)*width]
}

func newTableau(p *program) *tableau {
	n := len(p.cost)
	slacks, artificials := 0, 0
	senses := make([]sense, len(p.rows))
	for i, r := range p.rows {
		senses[i] = r.sense
		if r.b < 0 { // turned round below
			senses[i] = atLeast - r.sense
		}
		if senses[i] != equal {
			slacks++
		}
		if senses[i] != atMost {
			artificials++
		}
	}
	t := &tableau{rows: len(p.rows), columns: n + slacks + artificials, firstArtificial: n + slacks, artificial: artificials}
	t.cells = make([]float64, (t.rows+1)*(t.columns+1))
	t.basis = make([]int, t.rows)
	slack, artificial := n, t.firstArtificial
	for i, r := range p.rows {
		largest := 0.0
		for _, a := range r.a {
			largest = math.Max(largest, math.Abs(a))
		}
		scale := 1.0
		if largest > 0 {
			scale = 1 / largest
		}
		if r.b < 0 {
			scale = -scale
		}
		line := t.line(i)
		for j, a := range r.a {
			line[j] = scale * a
		}
		line[t.columns] = scale * r.b
		if senses[i] != equal {
			line[slack] = 1
			if senses[i] == atLeast {
				line[slack] = -1
			}
			t.basis[i] = slack
			slack++
		}
		if senses[i] != atMost {
			line[artificial] = 1
			t.basis[i] = artificial
			artificial++
		}
	}
	return t
}

// price sets the last row to the reduced costs of the columns.
func (t *tableau) price(cost func(j int) float64) {
	last := t.line(t.rows)
	for j := range t.columns {
		last[j] = cost(j)
	}
	last[t.columns] = 0
	for i, basic := range t.basis {
		c := cost(basic)
		if c == 0 {
			continue
		}
		for j, a := range t.line(i) {
			last[j] -= c * a
		}
	}
}

// run pivots over the first columns until none of them lowers the cost. It
// reports false if the cost has no lower bound.
func (t *tableau) run(columns int) bool {
	costs := t.line(t.rows)
	for pivots := 0; ; pivots++ {
		entering, best := -1, -pivotSize
		for j := range columns {
			if costs[j] < best {
				entering, best = j, costs[j]
				if pivots > t.columns {
					break // Bland: the first that lowers it
				}
			}
		}
		if entering < 0 {
			return true
		}
		leaving, least := -1, math.Inf(1)
		for i := range t.rows {
			a := t.at(i, entering)
			if a <= pivotSize {
				continue
			}
			ratio := t.at(i, t.columns) / a
			if ratio < least-1e-12 || ratio <= least+1e-12 && leaving >= 0 && t.basis[i] < t.basis[leaving] {
				leaving, least = i, math.Min(ratio, least)
			}
		}
		if leaving < 0 {
			return false
		}
		t.pivot(leaving, entering)
	}
}

func (t *tableau) pivot(leaving, entering int) {
	line := t.line(leaving)
	inverse := 1 / line[entering]
	for j := range line {
		line[j] *= inverse
	}
	line[entering] = 1
	for i := range t.rows + 1 {
		if i == leaving {
			continue
		}
		other := t.line(i)
		factor := other[entering]
		if factor == 0 {
			continue
		}
		for j, a := range line {
			other[j] -= factor * a
		}
		other[entering] = 0
	}
	t.basis[leaving] = entering
}

// dropArtificials takes artificial columns that are left, at nothing, out of the
// basis. A row in which no other column is left says nothing.
func (t *tableau) dropArtificials() {
	for i, basic := range t.basis {
		if basic < t.firstArtificial {
			continue
		}
		for j := range t.firstArtificial {
			if math.Abs(t.at(i, j)) > pivotSize {
				t.pivot(i, j)
				break
			}
		}
	}
}
