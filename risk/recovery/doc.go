// Package recovery works out what it takes to get a stuck vehicle moving again and whether the gear
// at hand can bear it, as a recovery engineer would on paper.
//
// [ParseTables] reads the numbers (assets/tables/recovery.toml). Then [Tables.RequiredPull] estimates
// the pull that a [Stuck] vehicle asks for, and [Tables.Plan] rigs it with the [Kit] on the [Site]:
// it picks the simplest rig that holds every check and returns a [Working] with each step, each link of
// the chain with its margin, the anchor, what fails and what would cure it, and the cautions.
//
// Beside the winch stand the other means: [Tables.Dig], [Tables.Boards], [Tables.Jack],
// [Tables.Kinetic], [Tables.Tug], [Tables.Tow]; the tyres ([ParseTyres], [Size], [Tyres.Advise],
// [Compressor]); and what a slope or a ford allows ([Tables.Stand], [Tables.Ford]).
//
// Every result is an estimate for planning. It is conservative where the sources disagree, and shows
// their disagreement as a band; a piece of gear without a readable rating bears nothing. What is not
// here: stresses in the vehicle's own frame, lifting, and any promise that the ground keeps.
//
// Units: kilonewtons, metres, kilograms, kilopascals (gauge), degrees where a name ends in Deg; grade
// and slope are rise over run. Manuals speak of pulls in kilograms or pounds: [KN] and [Kg] convert.
package recovery
