// Package choose answers what to pack: which things win most for their mass, the best set under a mass
// and volume limit, the frontier of gain against mass, and what may stay at home.
//
// It knows nothing of vehicles or troubles. A [Problem] is a list of candidates with mass and volume and
// a loss that is a sum of terms, each depending on a few candidates only; more candidates never make a
// loss larger. Most single things gain nothing where a remedy needs two, so sets are what is searched:
// [Best] is exact by branch and bound, [Frontier] walks the budgets, [Marginal] is the classic order of
// spares by gain per mass (Kline, O'Malley and Sherbrooke 1990), right only where gains are separable
// and convex.
package choose
