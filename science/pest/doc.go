// Package pest counts warmth for cold-blooded pests and says when to look
// again.
//
// Insects and mites grow by warmth, not by the calendar. A stage (an egg, a
// whole generation) needs a fixed sum of degree-days above its lower
// threshold. The chapter has three parts: the degree-days of one day from
// what is known of its temperature; the days a stage takes; and, after a
// treatment or a repotting, the dates between which a repeat finds most eggs
// hatched and no survivor laying yet.
//
// It follows F. G. Zalom, P. B. Goodell, L. T. Wilson, W. W. Barnett and
// W. J. Bentley, "Degree-days: the calculation and use of heat units in pest
// management" (University of California Leaflet 21373, 1983), for the daily
// sums; G. L. Baskerville and P. Emin, Ecology 50:514–517 (1969), for the
// single sine; and G. S. McMaster and W. W. Wilhelm, Agricultural and Forest
// Meteorology 87:291–300 (1997), for the two readings of the average method.
// The single sine with a horizontal cut-off is the usual companion of
// published insect constants and is what the windows use.
//
// Valid range: temperatures of −40 to 60 °C. The daily sums hold in any
// scale; given °F they return °F-days, 9/5 of the °C-days. The straight line
// between warmth and pace fails near the lower threshold, so a mean less than
// two kelvin above it gives "paused" and no date.
//
// Not modelled: death by heat, cold, dryness or predators; resting stages;
// slowing above the optimum other than a cut-off; the difference between leaf
// and air temperature; numbers of pests; products and doses, which the label
// alone decides.
package pest
