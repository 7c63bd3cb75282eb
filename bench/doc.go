// Command bench measures Velamen beside general-purpose tools and prints one
// table: the same task, the results compared first, then the times.
//
//	go run ./bench                     everything, as Markdown; about ten minutes
//	go run ./bench --only pot,climate  some parts
//	go run ./bench --quick             small sizes, to see that everything runs
//
// The peers are Debian packages and one npm package. They are installed by
// bench/peers/install where that may be done, belong to no part of the product,
// and a peer that cannot be had is named as missing. A peer does what somebody
// who knows it well would do: whole arrays in numpy, the solver's own events in
// deSolve, one pass over the file in SQL. What each times and leaves out stands
// beside its row.
//
// Times are medians of repeated runs. The first time is that of the processor
// (user and system, over all threads): it hardly depends on what else the
// machine does. The second is that of the clock.
package main
