package window

import (
	"math"
	"runtime/debug"
)

// memoryAtStart lets the collector rest while the demo comes up, so that nothing takes time from the first
// picture. The limit is what a start may take at most for that.
func memoryAtStart() {
	debug.SetMemoryLimit(240 << 20)
	debug.SetGCPercent(-1)
}

// memoryAtWork is how the collector works from then on: a window that stands open all evening should be small
// rather than quick to allocate.
func memoryAtWork() {
	debug.SetMemoryLimit(math.MaxInt64)
	debug.SetGCPercent(50)
}
