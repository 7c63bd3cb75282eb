// Package water is the chemistry of irrigation water and feed: what is
// dissolved, how well it conducts, and what mixing, feeding, acid or a
// reverse-osmosis unit does to it.
//
// A solution is a list of ions in mmol/L. Everything else (conductivity,
// hardness, alkalinity, parts per million of an element) is computed from that
// list, because ions are what adds up when waters are mixed; conductivity and
// pH are not.
//
// Handbook followed: Standard Methods for the Examination of Water and
// Wastewater, parts 1030 (ion balance), 2320 (alkalinity), 2340 (hardness) and
// 2510 (conductivity); for conductivity the Kohlrausch–Onsager law with an
// ion-size denominator and the two ion pairs that matter in these waters,
// CaSO4 and MgSO4. ISO 7888 for temperature. Ayers & Westcot, FAO Irrigation
// and Drainage Paper 29 (1985) for field leaching.
//
// Valid range: ionic strength up to 0.15 mol/L, 25 °C, pH about 4 to 9, which
// covers every water and every working feed; stock concentrates are refused.
//
// Not modelled: pH and carbonate equilibria, precipitation and solubility,
// trace elements and chelates, silica and boron, ion pairs other than CaSO4 and
// MgSO4, temperatures other than 25 °C (readings are converted, solutions are
// not), uptake by plants. Movement of salt through a pot belongs to the chapter
// on pots.
package water
