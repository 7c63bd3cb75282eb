package culture

import "velamen/science/basis"

// This file is the table of every figure used to derive the engine's fields.

const (
	conductanceUnit = "mmol m⁻² s⁻¹"
	reviewsOfLeaves = "leaf minimum conductances reviewed by Duursma et al. 2019, New Phytol. 221:693 (no orchid among them); the orchid class is assumed"
	leafThickness   = "orchid leaf sections, from memory"
	recoveryNotes   = "growers' experience, from memory; no published distribution was found"
)

// leafFigures returns the conductance of a leaf whose stomata are shut, and
// the leaf's thickness.
func leafFigures(leaf LeafClass) (minimumConductance, thicknessMM basis.Value) {
	assumed := func(value, low, high float64) basis.Value {
		return basis.Value{Value: value, Low: low, High: high, Unit: conductanceUnit, Grade: basis.Assumption, Source: reviewsOfLeaves}
	}
	switch leaf {
	case ThickLeaf:
		return assumed(1, 0.5, 2), basis.Value{Value: 2, Low: 1.5, High: 3, Unit: "mm", Grade: basis.FromMemory, Source: leafThickness}
	case LeatheryLeaf:
		return assumed(2.5, 2, 3), basis.Assumed(0.8, 0.4, 1.5, "mm")
	case Leafless:
		// Velamen has no cuticle worth the name: taken like a damaged leaf.
		// The thickness is that of a root.
		return assumed(15, 10, 20), basis.Assumed(2, 1, 3, "mm")
	default:
		return assumed(4.5, 3, 6), basis.Value{Value: 0.3, Low: 0.2, High: 0.4, Unit: "mm", Grade: basis.FromMemory, Source: leafThickness}
	}
}

// lightFloorShare is the share of a group's lowest usual light under which
// shading stops helping. Phalaenopsis put on bare roots was started at 34 µmol
// m⁻² s⁻¹, 0.17 of its lowest usual light (Hou, Setter and Chang 2010,
// J. Am. Soc. Hort. Sci. 135:183, abstract), and was to go up within days.
func lightFloorShare() basis.Value { return basis.Assumed(0.25, 0.15, 0.40, "1") }

// ecCapFactor scales the general caps on EC.
func ecCapFactor(salt SaltTolerance) basis.Value {
	switch salt {
	case FineRooted:
		return basis.Assumed(0.5, 0.4, 0.7, "1")
	case RobustSalt:
		return basis.Assumed(1.2, 1.0, 1.4, "1") // once established; not before
	default:
		return basis.Assumed(1, 0.8, 1.2, "1")
	}
}

// delays are the median and the 10 % and 90 % points of a delay in days.
type delays struct{ median, tenth, ninetieth float64 }

func (d delays) prior(grade basis.Grade, source string) Prior {
	return Prior{basis.Value{Value: d.median, Low: d.tenth, High: d.ninetieth, Unit: "d", Grade: grade, Source: source}}
}

// familyOnRecord returns the family whose recovery times serve for this one.
func familyOnRecord(family Family) Family {
	switch family {
	case CymbidiumFamily:
		return DendrobiumFamily
	case PhragmipediumFamily:
		return PaphiopedilumFamily
	}
	return family
}

// recoveryFigures returns the days to the first new root tip and to a plant
// that has three roots of 3 cm, or stands firm and grows, for a plant with at
// least three living roots in its warm season.
func recoveryFigures(family Family) (firstRoot, reestablished delays) {
	switch family {
	case PhalaenopsisFamily:
		return delays{30, 14, 70}, delays{90, 60, 180}
	case CattleyaFamily: // repotted as roots emerge
		return delays{14, 5, 40}, delays{90, 60, 180}
	case VandaFamily:
		return delays{30, 10, 120}, delays{120, 60, 300}
	case PaphiopedilumFamily:
		return delays{45, 20, 120}, delays{150, 90, 270}
	case MountedFamily: // until the first root has stuck to the mount
		return delays{45, 14, 150}, delays{180, 90, 365}
	default: // Dendrobium and Oncidium with new growth
		return delays{20, 7, 50}, delays{75, 45, 150}
	}
}

// cattleyaOffSeason is for plants of the Cattleya family disturbed between two
// flushes of roots. The second is remembered only as "180 days and more".
func cattleyaOffSeason() (firstRoot, reestablished delays) {
	return delays{90, 30, 200}, delays{180, 120, 400}
}

// borrowedWidening stretches the range of a prior that belongs to another
// family, both ways.
const borrowedWidening = 1.5 // assumption

// offSeasonFactor lengthens the median in a cool or dark season.
const offSeasonFactor = 1.5 // from memory, growers' experience

// RescueFactor lengthens the median delay of a plant left with two roots or
// fewer.
func RescueFactor() basis.Value {
	return basis.Value{Value: 1.75, Low: 1.5, High: 2, Unit: "1", Grade: basis.FromMemory, Source: recoveryNotes}
}

// MountedRecovery is what to expect of any epiphyte newly tied to a mount,
// whatever its group does in a pot.
func MountedRecovery() Recovery { return recoveryOf(Kin{Family: MountedFamily}) }
