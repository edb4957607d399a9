package walk

// Detour is how much longer the walk out takes than a straight level line off the way would, used
// where there are no heights.
const Detour = 1.5
