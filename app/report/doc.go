// Package report writes a judged trip as plain text and as JSON. It draws nothing and knows no window;
// the verbs print what it writes and the exports reuse it.
package report

// Caution stands at the head or foot of everything that leaves the program.
const Caution = "Planning help, not a promise: every figure is an estimate. Makers' ratings and handbooks, local rules and trained people come first. " +
	"Use only rated recovery points, keep everybody clear of a line under load, and never enter flooded water."
