// Package casefile reads a case file: what a grower tells about one place and
// the plants repotted there, written as a TOML page that reads like a notebook.
//
// One idea is carried through: every measured quantity stands in quotation
// marks with its unit, such as day = "82 °F", light = "12000 lx",
// ec = "180 ppm (500)" or pot = "4.5 in". Counts, coordinates, parts of a mix
// and yes-or-no answers are bare. What was left out stays without a grade; the
// care package chooses and names the default.
//
// The file follows TOML 1.0 (toml.io), and accepts line breaks inside braces
// as TOML 1.1 does. A file may hold up to 16 MB and 20,000 plants. Every
// problem is reported with its line and column, all of them at once.
//
// Not modelled: merging several files, and volumes such as
// spoonfuls or millilitres of feed, whose mass depends on the product.
package casefile
