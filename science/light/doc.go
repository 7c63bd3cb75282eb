// Package light answers how much light a plant gets: from a meter in lux or
// foot-candles, from the hours under a lamp, from a logger, or, when there is
// no reading at all, from the place, the date and the window.
//
// The chapter reads in this order:
//
//	source, photometry    lux, foot-candles and PPFD by kind of light
//	dli, series           the daily light integral and its inverse
//	units                 one conversion between all of them
//	profile               a usual level spread over the 24 hours of a day
//	absorbed              what a leaf absorbs, for the leaf's energy balance
//	solarday, solarhour   the sun by day of year (FAO-56)
//	sun, daylight         the sun by instant: position, rise and set
//	clearsky, surface     clear-sky radiation, level and on a pane
//	cover, window         glass, shade cloth and windows
//	calibrate             a reading takes the place of an estimate
//
// Sources. The daily and hourly radiation follow Allen et al. 1998, FAO
// Irrigation and Drainage Paper 56, chapter 3 (equation numbers from memory,
// results checked against the worked examples and annex tables). The position
// of the sun follows the low-accuracy method of Meeus, Astronomical
// Algorithms, 2nd ed. 1998, chapter 25, in the arrangement of the NOAA solar
// calculator (both from memory, checked against the worked example of Reda &
// Andreas 2004, NREL/TP-560-34302). Lux factors follow Thimijan & Heins 1983.
//
// Valid range. Years 1950 to 2050, latitudes from pole to pole. Positions are
// good to about 0.01° in that span, rise and set to about a minute up to 65°
// of latitude and a low horizon. A lux meter gives PPFD to ±7 % at best, and
// to ±12 % under white LEDs. The model of a clear day is an upper bound for
// ordinary days, never a forecast.
//
// Sign conventions. Latitude is positive north and longitude positive east, in
// degrees. Azimuth and the direction a pane faces are degrees clockwise from
// north. "Shortwave" means 300 to 3000 nm, PAR 400 to 700 nm.
//
// Not modelled: clouds, haze and horizon obstacles; the spectrum inside the
// PAR band, far red and ultraviolet; the fall of lamp output with age or
// distance; the view of the sky from a place inside a room; the difference
// between Universal and Terrestrial Time (below 0.001° of position).
package light
