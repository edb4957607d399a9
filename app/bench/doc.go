// Package bench is the recovery bench: one recovery worked out from figures that are given freely, beside
// any trip. The pull verb prints it and the window's bench shows it; both ask [Work] and arrange the answer
// by [Report.Parts], so that they can never tell two stories.
//
// It adds nothing to the sums, which are package recovery's: it puts digging and a second vehicle's pull
// beside the winch, and refuses what cannot be meant.
package bench
