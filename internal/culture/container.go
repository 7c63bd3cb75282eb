package culture

import (
	"slices"

	"velamen/science/basis"
)

// Mount is a surface that plants are tied to. It holds water per area of its
// face: 1 mm is 10 mL on 100 cm².
type Mount struct {
	Key     string   `json:"key"`
	Name    string   `json:"name"`
	Aliases []string `json:"aliases,omitempty"`
	// StoreMM is for a plate ReferenceMM thick; zero means that only the face
	// counts.
	StoreMM     basis.Value `json:"store_mm"`
	ReferenceMM float64     `json:"reference_mm"`
	// VapourShare is the most of its store that the mount can win back from
	// saturated air.
	VapourShare basis.Value `json:"vapour_share"`
	Note        string      `json:"note,omitempty"`
}

// Container is a kind of pot or basket.
type Container struct {
	Key     string   `json:"key"`
	Name    string   `json:"name"`
	Aliases []string `json:"aliases,omitempty"`
	// WallFactor is the share of the side through which water evaporates.
	WallFactor basis.Value `json:"wall_factor"`
	// ByContact means that the wall is wet only where the medium touches it:
	// WallFactor is then multiplied by the medium's WallContact.
	ByContact bool   `json:"by_contact"`
	Note      string `json:"note,omitempty"`
}

// Pot is a nominal size with inside measures to the brim. A ruler is better:
// pots of one nominal size differ.
type Pot struct {
	Key      string      `json:"key"`
	Name     string      `json:"name"`
	Aliases  []string    `json:"aliases,omitempty"`
	TopCM    basis.Value `json:"top_cm"`    // inside diameter at the brim
	BaseCM   basis.Value `json:"base_cm"`   // inside diameter at the base
	HeightCM basis.Value `json:"height_cm"` // inside height
}

func readMounts(rows []row, sources citations) []Mount {
	mounts := make([]Mount, 0, len(rows))
	place := map[string]int{}
	for _, r := range rows {
		grade, source := r.basis(sources, "grade", "source")
		low, high := r.band("store_mm", 0, 100)
		store := Band{low, high, "mm", grade, source}
		grade, source = r.basis(sources, "vapour_grade", "vapour_source")
		low, high = r.band("vapour_share", 0, 1)
		mounts = append(mounts, Mount{
			Key: r.key(place, len(mounts)), Name: r.text("name"), Aliases: r.list("aliases"), Note: r.cells["note"],
			StoreMM: store.Value(), ReferenceMM: r.quantity("reference_mm", 0, 200),
			VapourShare: Band{low, high, "1", grade, source}.Value(),
		})
	}
	return mounts
}

func readContainers(rows []row, sources citations) []Container {
	containers := make([]Container, 0, len(rows))
	place := map[string]int{}
	for _, r := range rows {
		containers = append(containers, Container{
			Key: r.key(place, len(containers)), Name: r.text("name"), Aliases: r.list("aliases"), Note: r.cells["note"],
			WallFactor: r.value(sources, "1", 0, 1), ByContact: r.yes("by_contact"),
		})
	}
	return containers
}

func readPots(rows []row) []Pot {
	pots := make([]Pot, 0, len(rows))
	place := map[string]int{}
	for _, r := range rows {
		// One maker's pot may differ from another's of the same size by a
		// twentieth: assumption.
		measure := func(column string) basis.Value {
			const spread = 0.05
			v := r.quantity(column, 1, 100)
			return basis.Assumed(v, v*(1-spread), v*(1+spread), "cm")
		}
		pots = append(pots, Pot{
			Key: r.key(place, len(pots)), Name: r.text("name"), Aliases: r.list("aliases"),
			TopCM: measure("top_cm"), BaseCM: measure("base_cm"), HeightCM: measure("height_cm"),
		})
	}
	return pots
}

func (m Mount) clone() Mount {
	m.Aliases = slices.Clone(m.Aliases)
	return m
}

func (c Container) clone() Container {
	c.Aliases = slices.Clone(c.Aliases)
	return c
}

func (p Pot) clone() Pot {
	p.Aliases = slices.Clone(p.Aliases)
	return p
}
