package plan

import (
	"cmp"
	"math"
	"slices"
)

// litres are the prices of a stock's water, by day. A litre used on one day is
// missing on those after it, until the tank would have run over: so the water that
// is there before a day costs at least as much as any later one's, but for what
// the tank cannot hold.
type litres struct {
	price []float64 // of a litre used on a day; nil: there is always enough
	use   []float64 // by day
	in    []float64 // what comes in, and on the first day what is there besides
	holds float64   // never more is there
	unit  float64   // litres of a usual use, in which days are compared

	wants []want
}

// want is what an item would use at its best, what that costs, and what leaving it
// out does.
type want struct {
	item               int32
	litres, cost, miss float64
}

// charge sets the price of each water at which as much is wanted as there is in
// all, and what items are worth with it: nearer to the best prices than none where
// water is what is scarce. It reports whether any has a price.
func (p *prices) charge() (any bool) {
	for k := range p.litre {
		l := &p.litre[k]
		slices.SortFunc(l.wants, func(a, b want) int {
			return cmp.Or(cmp.Compare((b.miss-b.cost)*a.litres, (a.miss-a.cost)*b.litres), cmp.Compare(a.item, b.item))
		})
		there, price := 0.0, 0.0
		for _, v := range l.in {
			there += v
		}
		for _, x := range l.wants {
			if there -= x.litres; there < 0 {
				price, any = (x.miss-x.cost)/x.litres, true
				break
			}
		}
		for day := range l.price {
			l.price[day] = price
		}
		for _, x := range l.wants {
			p.item[x.item] = min(x.miss, x.cost+price*x.litres)
		}
	}
	return any
}

// newLitres returns the prices of a stock, all of them nothing.
func newLitres(m *Model, stock int, scarce bool) litres {
	if !scarce {
		return litres{}
	}
	s := &m.Stocks[stock]
	l := litres{price: make([]float64, m.Days), use: make([]float64, m.Days), in: make([]float64, m.Days)}
	sum := s.Start
	for _, v := range s.In {
		sum += v
	}
	l.holds = math.Min(s.Holds, sum)
	for day, v := range s.In {
		if day == 0 {
			v += s.Start
		}
		l.in[day] = math.Min(l.holds, v)
	}
	uses := 0.0
	for i := range m.Items {
		if o := &m.Options[m.Items[i].First]; int(m.Items[i].Stock) == stock && o.Litres > 0 {
			l.unit += float64(o.Litres)
			uses++
		}
	}
	l.unit /= uses // it is scarce, so something uses it
	return l
}

// most is how many litres can be there on a day.
func (l *litres) most(day int) float64 {
	if l.price == nil {
		return math.Inf(1)
	}
	there := 0.0
	for d := range day + 1 {
		there = math.Min(l.holds, there+l.in[d])
	}
	return there
}

// worth is what all the water is worth at the prices: what comes in at the lower
// of its day's price and the one before, since it may add to a tank kept till
// then or be used; and a full tank wherever the price rises.
func (l *litres) worth() (sum float64) {
	for day, price := range l.price {
		if day == 0 {
			sum = l.in[0] * price
			continue
		}
		before := l.price[day-1]
		sum += l.in[day]*math.Min(price, before) + l.holds*math.Max(0, price-before)
	}
	return sum
}

// over is how many units are used on a day beyond what the prices reckon with;
// below nothing, so many are left.
func (l *litres) over(day int) float64 {
	there := l.in[day]
	if day > 0 && l.price[day] > l.price[day-1] {
		there = l.holds
	}
	if day+1 < len(l.price) && l.price[day+1] > l.price[day] {
		there += l.in[day+1] - l.holds
	}
	return (l.use[day] - there) / l.unit
}
