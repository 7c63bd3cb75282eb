package outcome

import (
	"cmp"
	"slices"
)

// edge is an end of an interval. At equal days the start of an exact day comes
// first, then the ends of intervals, which include their day, then the starts
// of intervals, which do not. So a plant not yet rooted on day 6 was still at
// risk of a root seen on day 6.
type edge struct {
	day  float64
	kind edgeKind
}

type edgeKind uint8

const (
	exactStart edgeKind = iota
	end
	openStart
)

func (e edge) compare(other edge) int {
	return cmp.Or(cmp.Compare(e.day, other.day), cmp.Compare(e.kind, other.kind))
}

// edges returns the interval in which a record lets the sign appear.
func (r Recovery) edges() (start, stop edge) {
	kind := openStart
	if r.AfterDay == r.ByDay {
		kind = exactStart
	}
	return edge{r.AfterDay, kind}, edge{r.ByDay, end}
}

// inOrder returns copies of the records in order of their edges.
func inOrder(records []Recovery) []Recovery {
	ordered := slices.Clone(records)
	slices.SortFunc(ordered, func(a, b Recovery) int {
		aStart, aStop := a.edges()
		bStart, bStop := b.edges()
		return cmp.Or(aStart.compare(bStart), aStop.compare(bStop))
	})
	return ordered
}

// span is a run of maximal intersections, first to last, that a number of
// records may have shown the sign in.
type span struct {
	first, last int32
	weight      float64
}

// innermost are the maximal intersections of Turnbull 1976 (from memory): the
// shortest intervals, each from a start to the next end, that can carry mass
// in the most likely curve.
type innermost struct{ starts, stops []edge }

// intersect finds the maximal intersections of the records and the span of
// each record, equal spans counted together.
func intersect(records []Recovery) (innermost, []span) {
	all := make([]edge, 0, 2*len(records))
	for _, r := range records {
		start, stop := r.edges()
		all = append(all, start, stop)
	}
	slices.SortFunc(all, edge.compare)
	var in innermost
	for i, e := range all[1:] {
		if before := all[i]; before.kind != end && e.kind == end {
			in.starts = append(in.starts, before)
			in.stops = append(in.stops, e)
		}
	}

	spans := make([]span, len(records))
	for i, r := range records {
		start, stop := r.edges()
		first, _ := slices.BinarySearchFunc(in.starts, start, edge.compare)
		last, exactly := slices.BinarySearchFunc(in.stops, stop, edge.compare)
		if !exactly {
			last--
		}
		spans[i] = span{int32(first), int32(last), 1}
	}
	slices.SortFunc(spans, func(a, b span) int {
		return cmp.Or(cmp.Compare(a.first, b.first), cmp.Compare(a.last, b.last))
	})
	merged := spans[:0]
	for _, s := range spans {
		if n := len(merged); n > 0 && merged[n-1].first == s.first && merged[n-1].last == s.last {
			merged[n-1].weight++
			continue
		}
		merged = append(merged, s)
	}
	return in, merged
}

// mass returns the innermost interval i as the grower reads it.
func (in innermost) mass(i int, share float64) Mass {
	return Mass{AfterDay: in.starts[i].day, ByDay: in.stops[i].day, Share: share}
}
