package light

import (
	"fmt"
	"math"

	"velamen/science/basis"
)

// Cover is something between the sky and the plant.
type Cover uint8

const (
	SingleGlass Cover = iota + 1
	DoubleGlass
	LowEDoubleGlass // with a heat-reflecting coating
	Acrylic
	TwinWallPolycarb
	TripleWallPolycarb
	FiveWallPolycarb
	WholeGreenhouse // cover and frame together
	InsectScreen
	SheerCurtain
	ShadeCloth // rated by the percentage it blocks
)

var coverNames = [][]string{
	SingleGlass:        {"single glass", "glass"},
	DoubleGlass:        {"double glass", "double glazing"},
	LowEDoubleGlass:    {"coated double glass", "low-e double glass", "low-e"},
	Acrylic:            {"acrylic"},
	TwinWallPolycarb:   {"twin-wall polycarbonate", "polycarbonate"},
	TripleWallPolycarb: {"triple-wall polycarbonate"},
	FiveWallPolycarb:   {"five-wall polycarbonate"},
	WholeGreenhouse:    {"whole greenhouse", "greenhouse"},
	InsectScreen:       {"insect screen", "fly screen"},
	SheerCurtain:       {"sheer curtain", "net curtain", "curtain"},
	ShadeCloth:         {"shade cloth", "shade net"},
}

// String returns the cover's display name.
func (c Cover) String() string { return displayName(int(c), coverNames) }

// ParseCover reads the name of a cover. The error for an unknown name lists
// the known ones.
func ParseCover(text string) (Cover, error) {
	i, err := matchName("cover", text, coverNames)
	return Cover(i), err
}

// Layer is one cover; BlockedPercent (0 to 100) is the rating of shade cloth
// and must be 0 for all others.
type Layer struct {
	Cover          Cover
	BlockedPercent float64
}

// Transmission returns the share of light, 0 to 1, that passes all layers.
// Layers multiply: cloth of 50 % under cloth of 30 % passes 0.5 × 0.7 = 0.35.
// Without layers it is 1.
func Transmission(layers ...Layer) (basis.Value, error) {
	result := basis.Exactly(1, "1", basis.Given, "")
	passed := make([]basis.Value, 0, len(layers))
	for _, layer := range layers {
		v, err := layer.transmission()
		if err != nil {
			return basis.Value{}, err
		}
		passed = append(passed, v)
		result.Value *= v.Value
		result.Grade = basis.Weakest(result.Grade, v.Grade)
		if result.Source != "" {
			result.Source += "; "
		}
		result.Source += layer.Cover.String() + ": " + v.Source
	}
	low, high := basis.Spread(func(in []float64) float64 {
		product := 1.0
		for _, share := range in {
			product *= share
		}
		return product
	}, passed...)
	result.Low, result.High = math.Max(0, low), math.Min(1, high)
	return result, nil
}

func (l Layer) transmission() (basis.Value, error) {
	if l.Cover == 0 || int(l.Cover) >= len(coverNames) {
		return basis.Value{}, fmt.Errorf("light: cover number %d is not in the table of covers", l.Cover)
	}
	if l.Cover != ShadeCloth {
		if l.BlockedPercent != 0 {
			return basis.Value{}, fmt.Errorf("light: a blocked percentage of %v %% belongs to shade cloth, not to %v", l.BlockedPercent, l.Cover)
		}
		return coverTransmission[l.Cover], nil
	}
	if err := within("blocked share of shade cloth", l.BlockedPercent, 0, 100, "%"); err != nil {
		return basis.Value{}, err
	}
	share := 1 - l.BlockedPercent/100
	return basis.Value{
		Value: share, Low: math.Max(0, share+shadeClothError.Low), High: math.Min(1, share+shadeClothError.High),
		Unit: "1", Grade: shadeClothError.Grade, Source: "by its rating, taken as right within 5 points",
	}, nil
}
