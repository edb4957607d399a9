package window

import (
	"runtime/debug"
	"runtime/metrics"
	"sync/atomic"
	"time"
)

// The window's memory. A window that stands open all evening should be small rather than quick to allocate, and
// opening a region, which leaves much garbage behind, should not make it large for a moment: the collector's
// limit follows what is alive closely.
const (
	startBytes = 170 << 20 // what the first picture may take, so that nothing takes time from it
	leastBytes = 110 << 20 // what is always granted
	collectAt  = 50        // per cent of garbage over what is alive
)

var steady atomic.Bool // the start is over

// memoryAtStart lets the collector rest while the demo comes up.
func memoryAtStart() {
	debug.SetMemoryLimit(startBytes)
	debug.SetGCPercent(-1)
}

// memoryAtWork is how the collector works from then on.
func memoryAtWork() {
	steady.Store(true)
	followMemory()
	debug.SetGCPercent(collectAt)
}

// followMemory sets the limit to a little over what is alive, so that the collector never runs without end
// because of it, however large a region is.
func followMemory() {
	if !steady.Load() {
		return
	}
	s := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(s)
	live := int64(0)
	if s[0].Value.Kind() == metrics.KindUint64 {
		live = int64(s[0].Value.Uint64())
	}
	debug.SetMemoryLimit(max(leastBytes, live+live/8+(22<<20)))
}

// watchMemory follows until stop is closed.
func watchMemory(stop <-chan struct{}) {
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		followMemory()
		select {
		case <-stop:
			return
		case <-tick.C:
		}
	}
}

// giveBack returns what reading a region has left behind.
func giveBack() {
	debug.FreeOSMemory()
	followMemory()
}
