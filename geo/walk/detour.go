package walk

// Where there are no heights the walk out is estimated from the straight distance. How much longer
// the time over real ground is than that of a straight level line off the way was measured on three
// kinds of ground with cells of 60 m, 1 to 15 km from single places (TestDetour): medians of 1.1 to 1.15 in the Judean desert and the
// Dead Sea valley, 1.3 to 1.4 in the dry hills of the Chilean coast, 1.65 in the Pyrenees of Andorra, where
// one case in twenty exceeds 2. Water, cliffs and thicket come on top.
const (
	// Detour is the factor used, between hills and mountains.
	Detour = 1.5
	// DetourLow and DetourHigh are the band of it: desert plateaus, and the worst case in twenty
	// of high mountains.
	DetourLow, DetourHigh = 1.0, 2.1
)

// Straight is the estimate of minutes on foot without heights: the straight distance in metres times
// Detour, at Tobler's level pace off a way. NaN for NaN. Such times must be shown as estimates.
func Straight(metres float64) float64 {
	return metres * Detour * Tobler(0) / OffPath / 60
}
