package batch

import (
	"fmt"
	"math"

	"velamen/science/water"
)

// Quantity is something that a batch is held to.
type Quantity uint8

// The quantities. Elements are in mg/L of the element, alkalinity in mg/L as
// CaCO3, EC in mS/cm at 25 °C.
const (
	Nitrogen Quantity = iota
	Phosphorus
	Potassium
	Calcium
	Magnesium
	Sulphur
	Sodium
	Chloride
	Alkalinity
	EC
)

var quantityWords = [...]struct{ name, unit string }{
	Nitrogen: {"nitrogen", "mg/L"}, Phosphorus: {"phosphorus", "mg/L"}, Potassium: {"potassium", "mg/L"}, Calcium: {"calcium", "mg/L"},
	Magnesium: {"magnesium", "mg/L"}, Sulphur: {"sulphur", "mg/L"}, Sodium: {"sodium", "mg/L"}, Chloride: {"chloride", "mg/L"},
	Alkalinity: {"alkalinity", "mg/L CaCO3"}, EC: {"EC", "mS/cm"},
}

// String returns the word for the quantity.
func (q Quantity) String() string {
	if int(q) >= len(quantityWords) {
		return "unknown quantity"
	}
	return quantityWords[q].name
}

// Unit returns the unit the quantity is in.
func (q Quantity) Unit() string {
	if int(q) >= len(quantityWords) {
		return ""
	}
	return quantityWords[q].unit
}

// of returns the quantity of a solution. All but EC are linear in the ions, so
// it may also be asked of what a gram of something adds.
func (q Quantity) of(c *water.Ions) float64 {
	switch q {
	case Nitrogen:
		return c.Elements().N
	case Phosphorus:
		return c.Elements().P
	case Potassium:
		return c.MgPerL(water.K)
	case Calcium:
		return c.MgPerL(water.Ca)
	case Magnesium:
		return c.MgPerL(water.Mg)
	case Sulphur:
		return c.Elements().S
	case Sodium:
		return c.MgPerL(water.Na)
	case Chloride:
		return c.MgPerL(water.Cl)
	case Alkalinity:
		return c.AlkalinityMgCaCO3()
	case EC:
		ec, err := c.ECmS()
		if err != nil {
			return math.Inf(1) // beyond the law: stronger than any feed
		}
		return ec
	}
	return math.NaN()
}

// Water is one water at hand.
type Water struct {
	Name   string
	Ions   water.Ions
	StockL float64 // +Inf from a tap
	// Cost says how gladly a litre of it is used, 0 or more: the usual water
	// costs nothing, a scarce one more than another.
	Cost float64
}

// Product is a feed or a salt at hand.
type Product struct {
	Name       string
	PerGram    water.Ions // mmol from one gram
	StockG     float64    // +Inf if it is not known
	Usual      bool       // the feed the plants usually get: it is in every mix
	KgPerLitre float64    // density of a liquid; 0 for what is weighed
}

// Portion is a product that goes in whatever else does, such as a supplement.
type Portion struct {
	Product       Product
	GramsPerLitre float64
}

// Limit holds a quantity between two figures.
type Limit struct {
	Quantity Quantity
	Min, Max float64 // −Inf and +Inf for none
}

// Request is what is wanted of one can.
type Request struct {
	Litres float64 // 0.05 to 100 000

	// Goal is EC or a nutrient, and how much of it. Anything from Low to High
	// will do, which is where the nearest mix is looked for.
	Goal            Quantity
	Target          float64
	Low, High       float64
	Limits          []Limit
	Waters          []Water
	Products        []Product
	Always          []Portion
	Acid            *water.Acid // nil: none is used
	KeepsAlkalinity float64     // mg/L as CaCO3 that acid must leave
}

// MaxProducts is how many products a request may name.
const MaxProducts = 24

// check reports a request that cannot be right.
func (r *Request) check() error {
	bad := func(what string, value, low, high float64, unit string) error {
		return &water.RangeError{Chapter: "water", Quantity: what, Value: value, Low: low, High: high, Unit: unit}
	}
	switch {
	case !(r.Litres >= 0.05 && r.Litres <= 1e5):
		return bad("volume of the batch", r.Litres, 0.05, 1e5, "L")
	case len(r.Waters) == 0:
		return fmt.Errorf("water: a batch needs a water")
	case len(r.Products) > MaxProducts:
		return fmt.Errorf("water: %d products are more than the %d that can be chosen among", len(r.Products), MaxProducts)
	case r.Goal != EC && r.Goal > EC:
		return fmt.Errorf("water: the goal of a batch is not known")
	case !(r.Target > 0 && r.Target <= 5000):
		return bad("goal of the batch, "+r.Goal.String(), r.Target, 0, 5000, r.Goal.Unit())
	case !(r.Low <= r.Target && r.Target <= r.High):
		return fmt.Errorf("water: the goal %g of the batch lies outside its own range %g to %g", r.Target, r.Low, r.High)
	}
	for _, l := range r.Limits {
		if !(l.Min <= l.Max) || l.Quantity > EC {
			return fmt.Errorf("water: the limits of %s, %g to %g, leave nothing", l.Quantity, l.Min, l.Max)
		}
	}
	for _, w := range r.Waters {
		if err := w.Ions.Check(); err != nil {
			return fmt.Errorf("water %s: %w", w.Name, err)
		}
		if !(w.StockL >= 0) || !(w.Cost >= 0) {
			return fmt.Errorf("water %s: a stock of %g L at a cost of %g cannot be right", w.Name, w.StockL, w.Cost)
		}
	}
	for _, p := range r.Products {
		if err := p.check(); err != nil {
			return err
		}
	}
	for _, p := range r.Always {
		if err := p.Product.check(); err != nil {
			return err
		}
		if !(p.GramsPerLitre >= 0 && p.GramsPerLitre <= 100) {
			return bad("strength of "+p.Product.Name, p.GramsPerLitre, 0, 100, "g/L")
		}
	}
	return nil
}

func (p *Product) check() error {
	if err := p.PerGram.Check(); err != nil {
		return fmt.Errorf("%s: %w", p.Name, err)
	}
	if !(p.StockG >= 0) {
		return fmt.Errorf("%s: a stock of %g g cannot be right", p.Name, p.StockG)
	}
	return nil
}
