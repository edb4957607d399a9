// Package risk judges a surveyed route: which troubles it is likely to bring, what ends each of
// them with the people, vehicle and load at hand, what every leg needs, and how ready the party is.
//
// Give [Judge] a [geo.Survey], a [Trip] and the tables of package catalogue; it returns a [Judgement]
// with readiness, plain odds, needs and every lost point explained. It is a pure function: same
// input, same output; it opens no file, reads no clock and knows no window.
//
// [Compare] sets variants side by side on the same samples, [Advise] says what to pack and what may stay at
// home, [Simulate] plays whole trips as a check on the analytic answer. All of them begin alike: the survey
// is cut into pieces (pieces.go), every kind of trouble gets its expected number on every piece
// (exposure.go), recipes are tried with what is at hand and its ratings (trial.go, forces.go), and the
// arithmetic of package coverage does the rest. Legs only add pieces up.
//
// Packages below it answer narrower questions and can be used alone: coverage (the arithmetic
// of the model, without routes or vehicles), recovery (pull, rigs, chains,
// anchors, tyres, stability), supply (water, fuel, food, mass, time, cooling), catalogue (the tables
// of items, hazards, recipes and vehicle classes), choose (what to add, what may stay, alone or together).
//
// Every figure that could hurt someone carries its cautions and defers to the maker's handbook,
// stamped ratings, local rules and trained people.
package risk
