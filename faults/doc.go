// Command faults does to Velamen what a home does to a server, and counts what is
// lost. It builds the program as it is released, runs it many times, and strikes
// at moments that a seed chooses: it kills it without notice, fills its disk,
// flips bits of its files, cuts and doubles what phones send, and turns its clock.
//
//	go run ./faults                          every fault, one table; some minutes
//	go run ./faults --only kill-entries      some of them
//	go run ./faults --runs 200 --soak 10m    more of it
//	go run ./faults --markdown | --json      the table for a document, or for programs
//
// An entry counts as acknowledged once an answer that says so has arrived whole.
// None of those may be lost, none may be there twice, and every file must verify
// or be found damaged. A run that breaks this makes the command fail and names its
// seed, with which it can be run again.
//
// Everything stays on the loopback interface and in a temporary folder, and ends
// by itself. Full and read-only disks are small file systems in memory; only root
// can make those, and elsewhere these rows say that they were left out. A killed
// process leaves to the system what it wrote: that a commit outlives the loss of
// power is SQLite's promise under synchronous=FULL and is not tested here.
package main
