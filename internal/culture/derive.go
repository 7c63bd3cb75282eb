package culture

import "velamen/science/basis"

// settleGaps fills the engine's columns that a grower's own new group leaves
// empty, by habit and photosynthesis. All of it is assumption.
func (g *Group) settleGaps() {
	if g.Kin.Grade == 0 {
		family := DendrobiumFamily
		switch {
		case g.Habit.Is == Monopodial:
			family = VandaFamily
		case g.Habit.Is == Sympodial && g.Photosynthesis.Is == CAM:
			family = CattleyaFamily
		}
		g.Kin = Fact[Kin]{Kin{family, true}, basis.Assumption, "nearest family by habit"}
	}
	if g.Leaf.Grade == 0 {
		leaf := ThinLeaf // the leaf that dries first: the safe guess
		if g.Photosynthesis.Is == CAM {
			leaf = ThickLeaf
		}
		g.Leaf = Fact[LeafClass]{leaf, basis.Assumption, "by photosynthesis"}
	}
	if g.Storage.Grade == 0 {
		g.Storage = Fact[StorageOrgan]{NoStorage, basis.Assumption, "none named"}
	}
	if g.SaltTolerance.Grade == 0 {
		g.SaltTolerance = Fact[SaltTolerance]{OrdinarySalt, basis.Assumption, "none named"}
	}
}

// derive computes the engine's fields from the others.
func (g *Group) derive() {
	g.settleGaps()
	g.Derived.Stomata = stomataOf(*g)
	g.Derived.MinimumConductance, g.Derived.LeafThicknessMM = leafFigures(g.Leaf.Is)
	share := lightFloorShare()
	g.Derived.LightFloorFC = basis.Value{
		Value: share.Value * g.LightFC.Low, Low: share.Low * g.LightFC.Low, High: share.High * g.LightFC.Low,
		Unit: "fc", Grade: basis.Assumption, Source: "a share of the group's lowest usual light",
	}
	g.Derived.ECCapFactor = ecCapFactor(g.SaltTolerance.Is)
	g.Derived.Recovery = recoveryOf(g.Kin.Is)
}

// stomataOf assigns the row of leaf conductances. The rule, first that fits:
//
//  1. Phalaenopsis, Paphiopedilum and Cymbidium have rows of their own;
//  2. Phragmipedium borrows that of Paphiopedilum;
//  3. CAM is computed as a thick CAM leaf, C3 as a thin C3 leaf;
//  4. where the pathway is unknown, a thick leaf is taken for CAM and any
//     other for C3, which loses water faster and so errs on the safe side.
//
// The rows were pooled from reviews for Phalaenopsis, Cattleya, Vanda,
// Oncidium, thin-leaved Dendrobium, Cymbidium and Paphiopedilum. For these the
// class is from memory; for all others it is an assumption.
func stomataOf(g Group) Fact[StomatalClass] {
	class := ThinC3Stomata
	known := !g.Kin.Is.Near && g.Kin.Is.Family != MountedFamily
	switch {
	case g.Kin.Is == Kin{Family: PhalaenopsisFamily}:
		class = PhalaenopsisStomata
	case g.Kin.Is == Kin{Family: PaphiopedilumFamily}:
		class = PaphiopedilumStomata
	case g.Kin.Is == Kin{Family: PhragmipediumFamily}:
		class, known = PaphiopedilumStomata, false
	case g.Kin.Is == Kin{Family: CymbidiumFamily}:
		class = CymbidiumStomata
	case g.Photosynthesis.Is == CAM:
		class = ThickCAMStomata
		known = known && (g.Kin.Is.Family == CattleyaFamily || g.Kin.Is.Family == VandaFamily)
	case g.Photosynthesis.Is == C3:
		known = known && (g.Kin.Is.Family == OncidiumFamily || g.Kin.Is.Family == DendrobiumFamily && g.Leaf.Is == ThinLeaf)
	default:
		known = false
		if g.Leaf.Is == ThickLeaf {
			class = ThickCAMStomata
		}
	}
	if !known {
		return Fact[StomatalClass]{class, basis.Assumption, "nearest class with figures"}
	}
	return Fact[StomatalClass]{class, basis.FromMemory, "leaf conductances pooled from reviews, among them Zhang et al. 2018, Plant Diversity, from memory"}
}

func recoveryOf(kin Kin) Recovery {
	onRecord := familyOnRecord(kin.Family)
	firstRoot, reestablished := recoveryFigures(onRecord)
	offFirst, offReestablished := slower(firstRoot), slower(reestablished)
	grade, source := basis.FromMemory, recoveryNotes
	offGrade, offSource := basis.Assumption, "the warm-season delay made longer, as growers find in a cool or dark season"
	if onRecord == CattleyaFamily {
		offFirst, offReestablished = cattleyaOffSeason()
		offGrade, offSource = grade, source
	}
	if kin.Near || kin.Family != onRecord {
		firstRoot, reestablished = wider(firstRoot), wider(reestablished)
		offFirst, offReestablished = wider(offFirst), wider(offReestablished)
		grade, source = basis.Assumption, "borrowed from the nearest family on record ("+string(onRecord)+") with a wider range"
		offGrade, offSource = grade, source
	}
	return Recovery{
		FirstRoot:              firstRoot.prior(grade, source),
		Reestablished:          reestablished.prior(grade, source),
		FirstRootOffSeason:     offFirst.prior(offGrade, offSource),
		ReestablishedOffSeason: offReestablished.prior(offGrade, offSource),
	}
}

func wider(d delays) delays {
	return delays{d.median, d.tenth / borrowedWidening, d.ninetieth * borrowedWidening}
}

func slower(d delays) delays {
	return wider(delays{d.median * offSeasonFactor, d.tenth * offSeasonFactor, d.ninetieth * offSeasonFactor})
}
