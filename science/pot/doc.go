// Package pot follows the water, the salt and the air in one orchid's pot,
// basket or mount, hour by hour: how much of a pour is caught, what drains and
// carries salt away, how fast surface, wall and roots dry the medium, and when
// water or salt crosses a limit.
//
// It is written in the order of the work: a pot has a geometry (geometry.go,
// mount.go) and is filled with a medium (medium.go, retention.go), which makes
// a Pot; its State changes by pours (wetting.go, tanks.go, flush.go), soaks
// (soak.go) and hours (drying.go, fade.go, hour.go). Simulate runs a schedule against a
// forcing; PlanFlush, FlushDone, LongestInterval and WetHoursPerDay answer the
// questions a grower asks.
//
// An Ensemble (learn.go, resample.go) is many possible pots at once, weighted by
// what was weighed, read and seen; ahead.go and quantile.go tell what they agree on.
//
// What it follows. Drying is the two-stage surface model of Allen, Pereira,
// Raes and Smith 1998, "Crop evapotranspiration", FAO Irrigation and Drainage
// Paper 56, chapter 7 (called FAO-56 below), integrated exactly within each
// hour. Displacement of salt is the theory of well-mixed tanks in series with
// a bypass. Water between the particles (the film) and water inside them
// exchange salt as in van Genuchten and Wierenga 1976. Dissolved oxygen is the
// equation of Benson and Krause as printed by the APHA. Everything else that
// has no source is an assumption and is called so in Parameters.
//
// Water balance. Water enters by pours, by soaking and, on mounts, from humid
// air; it leaves by drainage, from the surface, through a porous wall and by
// the roots. Surfaces dry the film between the particles, roots and walls draw
// evenly on film and particles, and the two give and take until they are equally
// full. Salt is counted in mS/cm·mL, the product of
// conductivity at 25 °C and volume, which mixes linearly. Both balances close
// to 1e-9 of what was there and what came, or Simulate returns ErrBalance.
//
// Valid range: pots and mounts of 0.5 to 80 cm in each direction, pours up to
// 100 L and 50 mS/cm, potential evaporation up to 5 mm per hour. Anything
// outside is an error that names the quantity and its range.
//
// Not modelled: the height of roots and of salt in the pot (the top of a
// top-watered pot holds several times the salt of its middle); the weight of
// the pot's own wall; cations held on bark and moss, so that falling EC
// overstates how much potassium and ammonium has left; salts released by the
// medium or by slow fertiliser; fine material that fills the gaps of coarse; the
// taper of a pot in its water retention; media that settle, crush or decay, or
// hold more water as they age; water that stands in a saucer; separate
// nutrients (see package water for what is poured).
package pot
