// Package bench measures the program beside the best programs and libraries for the same work, in one run on one
// machine, and writes the table that the README quotes.
//
// A comparison gives both sides the same input, looks whether both give the same answer, and takes turns: one round
// of ours, one of the peer, several times over. What counts is the ratio of the medians; milliseconds of one machine
// say little elsewhere. Libraries are timed inside their process, after their input is in memory or in the file cache;
// programs from start to end. Peers that live in Go modules are measured by the benchmarks of the packages
// themselves ([goRows]); their raw lines are kept in a form that benchstat reads.
//
// A peer that is not installed is passed over with a line that says so.
package bench
