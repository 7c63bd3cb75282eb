// Package batch works out what to pour and what to weigh for one can of feed:
// the shares of the waters at hand, grams of feeds and salts, and acid if it is
// chosen, so that nitrogen or conductivity comes out as wanted while calcium,
// magnesium, potassium, alkalinity and what else is limited stay within their
// limits and nothing is used that is not there.
//
// Ions add, so everything but conductivity is linear in what is mixed and a
// small linear program finds the mix: of all that meet the goal within the
// limits the one with the fewest things to weigh, and of these the one that
// prefers the usual feed and water. Conductivity is brought in by linearising it
// about the last mix until it stays.
//
// If no mix will do, the nearest is returned with what is in its way: upper limits
// are held first, then the goal's range, then lower limits.
//
// Handbook followed: the chapter on water beside it for ions, conductivity and
// solubility; Dantzig's simplex method with Bland's rule.
//
// Valid range: working feeds up to the chapter's ionic strength, a handful of
// waters and about a dozen products.
//
// Not modelled: pH, trace elements, how fast a powder dissolves, price.
package batch
