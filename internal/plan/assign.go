package plan

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoRoom is returned when the places together hold fewer than there are to be
// placed, or some fit none.
var ErrNoRoom = errors.New("plan: there is not room enough")

// Forbidden is the cost of what must not be.
const Forbidden = math.MaxInt32

// Assign gives each of a number of things one place, so that no place holds more
// than its capacity and the sum of the costs is least. cost has a row for each
// thing and a column for each place; costs are 0 or more. Among equal sums it
// always chooses the same one.
//
// It is the assignment problem with capacities, solved exactly by shortest
// augmenting paths: things come one by one, and each may push others from place
// to place (Kuhn 1955, Edmonds & Karp 1972, from memory). The time grows with
// the square of the things times the places.
func Assign(cost [][]int, capacity []int) (place []int, total int, err error) {
	places := len(capacity)
	for i, row := range cost {
		if len(row) != places {
			return nil, 0, fmt.Errorf("plan: thing %d has %d costs, there are %d places", i, len(row), places)
		}
		for k, c := range row {
			if c < 0 {
				return nil, 0, fmt.Errorf("plan: the cost of thing %d at place %d is %d; 0 or more is expected", i, k, c)
			}
		}
	}
	for k, n := range capacity {
		if n < 0 {
			return nil, 0, fmt.Errorf("plan: place %d has room for %d", k, n)
		}
	}
	a := &assignment{cost: cost, place: make([]int, len(cost)), left: make([]int, places), in: make([][]int, places),
		dist: make([]int, places), through: make([]int, places), from: make([]int, places)}
	copy(a.left, capacity)
	for i := range cost {
		if !a.add(i) {
			return nil, 0, fmt.Errorf("%w: thing %d of %d cannot be placed", ErrNoRoom, i+1, len(cost))
		}
	}
	for i, k := range a.place {
		total += cost[i][k]
	}
	return a.place, total, nil
}

type assignment struct {
	cost  [][]int
	place []int
	left  []int   // room in each place
	in    [][]int // things in each place

	dist    []int // least cost of getting a thing into each place
	through []int // the thing that would be moved there, −1 for the new one
	from    []int // and the place it would leave
}

const unreached = math.MaxInt

// add places one more thing by the cheapest chain of moves. Places are the
// nodes: from one to another leads the thing in the first that is cheapest to
// move. There are no chains that pay, so passing over the places until nothing
// changes finds the shortest (Bellman 1958).
func (a *assignment) add(thing int) bool {
	for k := range a.dist {
		a.dist[k], a.through[k], a.from[k] = unreached, -1, -1
		if c := a.cost[thing][k]; c < Forbidden {
			a.dist[k] = c
		}
	}
	for changed := true; changed; {
		changed = false
		for k, things := range a.in {
			if a.dist[k] == unreached {
				continue
			}
			for _, other := range things {
				row := a.cost[other]
				base := a.dist[k] - row[k]
				for to, c := range row {
					if to != k && c < Forbidden && base+c < a.dist[to] {
						a.dist[to], a.through[to], a.from[to] = base+c, other, k
						changed = true
					}
				}
			}
		}
	}
	best := -1
	for k, room := range a.left {
		if room > 0 && a.dist[k] < unreached && (best < 0 || a.dist[k] < a.dist[best]) {
			best = k
		}
	}
	if best < 0 {
		return false
	}
	a.left[best]--
	for k := best; ; {
		other, from := a.through[k], a.from[k]
		if other < 0 {
			a.enter(thing, k)
			return true
		}
		a.leave(other, from)
		a.enter(other, k)
		k = from
	}
}

func (a *assignment) enter(thing, k int) {
	a.place[thing] = k
	a.in[k] = append(a.in[k], thing)
}

func (a *assignment) leave(thing, k int) {
	list := a.in[k]
	for i, other := range list {
		if other == thing {
			a.in[k] = append(list[:i], list[i+1:]...)
			return
		}
	}
}
