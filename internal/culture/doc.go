// Package culture holds what growers and handbooks say about orchid groups,
// potting media, mounts, containers, pests, cautions and the signs to expect
// after a repot. Each figure stands beside its grade and its source.
//
// The tables are CSV files in our own layout, embedded at build time and read
// once by Load, which also merges rows the grower supplies. A Table does not
// change after that: its methods hand out copies.
//
// # How a figure in groups.csv is graded
//
// One rule. A field is published when the column "read" names it: its whole
// figure, both ends of a band, was read at the addresses in "sources". Where a
// source gave only words ("half shade"), one end, or a single point from which
// the band was drawn, the field counts as from memory and the note says what
// the source did give. Every other cultural field is from memory. Fields that
// the grower supplies are given. The addresses belong to the row as a whole;
// which of them carries which field is not kept apart.
//
// # Fields derived for the engine
//
// Stomatal class, minimum conductance, light floor, salt factor and the
// expected days to new roots follow from each row by the rules in derive.go,
// with the figures in parameters.go. They are graded by themselves: a group
// without a figure of its own borrows that of the nearest family with a wider
// range, and is called an assumption.
//
// # Names
//
// genera.csv says which groups a genus may mean. Phalaenopsis, Vanda, Cattleya,
// Oncidium, Cymbidium and Phragmipedium resolve to the kind most often sold;
// Dendrobium, Paphiopedilum, Laelia, Lycaste and others have groups with
// opposite needs, so the bare genus is refused with its candidates.
//
// # Valid range
//
// Light is in foot-candles of daylight, as culture sheets print it;
// temperatures in °C; RH in percent; volume fractions of the whole medium
// (m³/m³) for media, measured on a core about 100 mm tall or recalled as such;
// pest constants in degree-days (°C·d) of the linear model, which fails within
// about 2 °C of the threshold and near the upper limit.
//
// Not modelled: single cultivars, seasons by hemisphere (words such as spring
// mean the grower's own spring), doses of any pesticide, and the fall of
// container capacity with pot height, which belongs to the pot.
package culture
