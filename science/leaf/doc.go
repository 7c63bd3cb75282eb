// Package leaf computes the temperature and the water loss of an orchid leaf.
//
// Subject: the energy balance of one leaf in a room, a greenhouse or shade
// outdoors; the boundary layer of air that clings to it; how its stomata open
// over the day by type of photosynthesis; the water a leaf loses in a day; and
// how long the water stored in leaves and pseudobulbs lasts without roots.
//
// Handbooks followed: Campbell and Norman, An Introduction to Environmental
// Biophysics, 2nd edition 1998, for the boundary layer and the balance in
// molar units; Monteith and Unsworth, Principles of Environmental Physics, for
// the isothermal form; Schymanski and Or, Hydrology and Earth System Sciences
// 21:685, 2017, for leaves that lose heat from two faces and vapour from one.
//
// Heat leaves both faces. Water vapour leaves the lower face through stomata
// and cuticle and the upper face through the cuticle alone, because orchid
// stomata sit on the lower face (Goh et al., New Phytologist, 1977). All
// conductances and fluxes are per square metre of projected, one-sided area.
//
// Valid range: air −10 to 60 °C, relative humidity 0 to 100 %, pressure 50 to
// 110 kPa, air speed 0 to 20 m/s, absorbed light 0 to 1000 W/m², greatest leaf
// width 1 mm to 0.5 m. Anything outside is an error that names the quantity.
//
// [Solve] is the truth of this package: it finds the leaf temperature by a
// bracketing search. [PenmanMonteith] is the same balance in closed form, for
// the loops that need millions of hours; a test measures their difference over
// the whole orchid domain.
//
// Not modelled: walls, glass or sky at another temperature than the air; dew
// and frost on leaves; condensation heat; shading and shelter of leaves by one
// another; heat stored in thick leaves, which delays their temperature by some
// minutes; slow opening of stomata; closure by drought (the caller lowers the
// open conductance); uptake of carbon dioxide.
package leaf
