package window

import (
	"runtime"
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
	roomBytes  = 4 << 20   // for garbage, besides a sixteenth of what is alive
	longBytes  = 32 << 20  // more of it while a long step reckons: with 4 MB the collector takes most of the time
)

var (
	steady    atomic.Bool  // the start is over
	longSteps atomic.Int32 // long steps under way
)

// longStep gives a long step of reckoning room for its garbage until over is called.
func longStep() (over func()) {
	longSteps.Add(1)
	followMemory()
	return func() {
		longSteps.Add(-1)
		followMemory()
	}
}

// memoryAtStart lets the collector rest while the demo comes up.
func memoryAtStart() {
	debug.SetMemoryLimit(startBytes)
	debug.SetGCPercent(-1)
}

// memoryAtWork is how the collector works from then on.
func memoryAtWork() {
	if !steady.Swap(true) {
		followEach()
	}
	followMemory()
	debug.SetGCPercent(collectAt)
}

// followEach has the limit follow after every collection. A limit that was set before a picture or a judgement came to
// what is alive has the collector run without end.
func followEach() {
	// What nothing holds is found by the next collection.
	runtime.AddCleanup(new(*int), func(struct{}) {
		followMemory()
		followEach()
	}, struct{}{})
}

// followMemory sets the limit to a little over what is alive, so that the collector never runs without end
// because of it, however large a region is. The limit is on all that the program's own memory takes, so what is no
// object is granted on top: without it a large region leaves no room, and the collector runs several times a second
// while the map moves.
func followMemory() {
	if !steady.Load() {
		return
	}
	s := []metrics.Sample{{Name: "/gc/heap/live:bytes"}, {Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"},
		{Name: "/memory/classes/heap/free:bytes"}, {Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	n := func(i int) int64 {
		if s[i].Value.Kind() != metrics.KindUint64 {
			return 0
		}
		return int64(s[i].Value.Uint64())
	}
	live, room := n(0), int64(roomBytes)
	if longSteps.Load() > 0 {
		room += longBytes
	}
	beside := max(0, n(1)-n(2)-n(3)-n(4))
	debug.SetMemoryLimit(max(leastBytes, live+live/16+room+beside))
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
