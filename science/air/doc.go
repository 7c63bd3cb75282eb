// Package air computes the state of moist air: how much water vapour it holds,
// how much more it could hold, and what that means for a leaf, a humidifier
// and a cold window.
//
// It follows two handbooks. The engine's fast path is the set of equations in
// Allen, Pereira, Raes and Smith 1998, "Crop evapotranspiration", FAO
// Irrigation and Drainage Paper 56, chapter 3 (called FAO-56 below). Humidity
// ratio, enthalpy, volume and wet bulb follow the ASHRAE Handbook,
// Fundamentals, 2017, chapter 1 (called ASHRAE below). The saturation pressure
// and the standard atmosphere of ASHRAE stand beside those of FAO-56 so that
// each can check the other: the saturation pressures agree within 0.5 % from 0 to
// 50 °C (they differ by 0.12 % at most), the atmospheres within 1 % up to 4500 m.
//
// Valid range: air −40 to 60 °C, relative humidity 0 to 100 %, pressure 50 to
// 110 kPa. A State made by one of the constructors lies inside it. The plain
// functions that return a single float64 are made for inner loops: they do not
// check, do not allocate, and are meant for figures that have already passed
// through a State. Outside the range they only extrapolate their formula, except
// where a limit is written beside them.
//
// Relative humidity is always over liquid water, also below 0 °C, as weather
// stations and humidity probes report it.
//
// Not modelled: a wet bulb covered in ice (below 0 °C the bulb is taken as wet
// with supercooled water); the 0.4 % by which real moist air departs from a
// mixture of ideal gases; the fall of the latent heat with temperature in the
// psychrometric constant (FAO-56 fixes it at 2.45 MJ/kg, which leaves the
// constant up to 2.5 % away from its value at 5 °C); moisture that plants, wet
// pots and people add to a room; water that walls and fabrics take up.
package air
