// Package course follows a plant that has just lost roots: how much water its
// roots can still bring, how far its surroundings must therefore be turned
// down, and how they are stepped up again.
//
// The subject has no handbook. The balance of demand and supply is ours, from
// first principles; its parameters are assumptions with wide ranges and say
// so, and its results are held within what growers practise. Published anchors
// stand beside the figures they anchor.
//
// The chapter, in reading order:
//
//	supply.go     what the roots can bring, relative to what the leaves used to lose
//	turndown.go   from supply to turn-down, and the guard rails of practice
//	relief.go     the least disruptive change of climate that closes the gap
//	stage.go      settling, rooting, stepping up, established
//	parameters.go every figure with its range and basis
//
// Not modelled: carbohydrate reserves, hormones, disease, and any difference
// between one living root and another of the same length.
package course
