// Package coverage is the arithmetic of the risk model. It knows nothing of routes, vehicles or
// catalogues: it is given a [Model] of pieces of a trip, the mean number of each kind of trouble on
// each piece, and the recipes that end each kind, and says how much of the trouble is covered.
//
// The words it uses:
//
//   - a thing is something a recipe asks for whose presence is uncertain: a stock that is used up, or
//     an item with a chance of working. What is surely there or surely missing is settled before.
//   - a class is a set of recipes for one kind of trouble in one situation (ground, grade).
//   - a cell is one kind of trouble on one piece with its mean number and its class.
//   - an input is an uncertain number (a rate, a chance, a time) with its distribution.
//
// [NewWork] takes a model, [Work.Set] puts the inputs in, [Work.Evaluate] gives the weighted trouble U
// and its denominator D, so that readiness = 100 (1 - U/D), and 0 where U is larger (see [Result.Whole]). D is what
// the adverse case brings: recipes do not move it, and pieces whose troubles may have no place at all are left out of it
// (see [Piece.Aside]). [Simulate] plays whole trips that use
// their stocks up, and is the check on the analytic answer. [LatinHypercube] draws the samples that all
// variants share.
//
// Everything here is deterministic; the hot paths allocate nothing. Formulas and worked examples:
// Poisson protection levels and expected backorders as in Sherbrooke's METRIC, importance measures of
// fault tree practice (Birnbaum; Fussell and Vesely), beta factor for common cause (IEC 61508-6 annex D).
package coverage
