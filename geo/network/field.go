package network

import (
	"math"
	"sort"
)

// Position is a place on the network: on way Way between the points Seg and Seg+1 of its line, at the
// share T (0..1) of that step.
type Position struct {
	Way, Seg int32
	T        float64
}

// Direction says which way the journeys of a field go.
type Direction uint8

// The directions.
const (
	ToSeed   Direction = iota // from any place to the nearest seed: driving out
	FromSeed                  // from the nearest seed to any place: help driving in
)

// Seed is a place that journeys lead to or come from.
type Seed struct {
	At Position
	// Seconds and Metres are added for what lies beyond the network (from the road to the spring).
	Seconds, Metres float64
	// Tag is handed back with every journey that ends here.
	Tag int32
}

// Reach is a journey; its figures are good to 1e-6 of their size.
type Reach struct {
	Seconds, Metres float64
	Tag             int32 // of the seed; -1 for a maintained road
}

// Field holds the quickest journey between every joint of a network and the nearest of many seeds. It
// does not change once made.
type Field struct {
	g       *Graph
	dir     Direction
	barred  bool
	kept    bool // maintained roads are seeds all along
	seconds []float64
	metres  []float64
	tag     []int32
	at      map[int32][]seedOn // seeds by edge
}

// seedOn is a seed at along metres from the start of its edge.
type seedOn struct {
	along float64
	seed  Seed
}

// Kept is the field of journeys to the nearest maintained road. Barred ways are driven only if
// barred is true.
func (g *Graph) Kept(dir Direction, barred bool) *Field {
	f := g.newField(dir, barred)
	f.kept = true
	var h heap
	for i := range g.edges {
		if e := &g.edges[i]; e.use.Kept && (barred || !e.use.Barred) {
			for _, n := range [2]int32{e.a, e.b} {
				if f.seconds[n] != 0 {
					f.seconds[n], f.metres[n] = 0, 0
					h.push(0, n)
				}
			}
		}
	}
	f.run(&h)
	return f
}

// Field is the field of journeys to the nearest, in time, of the seeds. A seed on a way that is not
// part of the network is passed over.
func (g *Graph) Field(seeds []Seed, dir Direction, barred bool) *Field {
	f := g.newField(dir, barred)
	f.at = map[int32][]seedOn{}
	var h heap
	for _, s := range seeds {
		e, along, ok := g.edgeAt(s.At)
		if !ok || g.edges[e].use.Barred && !barred {
			continue
		}
		ed := &g.edges[e]
		f.at[e] = append(f.at[e], seedOn{along, s})
		// To the seed one comes from a going forward; from it one gets to b going forward.
		fwd, back := ed.use.Forward, ed.use.Back
		if dir == FromSeed {
			fwd, back = back, fwd
		}
		f.offer(&h, ed.a, s.Seconds+over(along, fwd), s.Metres+along, s.Tag)
		f.offer(&h, ed.b, s.Seconds+over(ed.metres-along, back), s.Metres+ed.metres-along, s.Tag)
	}
	f.run(&h)
	return f
}

func (g *Graph) newField(dir Direction, barred bool) *Field {
	f := &Field{g: g, dir: dir, barred: barred, seconds: make([]float64, g.nodes), metres: make([]float64, g.nodes), tag: make([]int32, g.nodes)}
	for i := range f.seconds {
		f.seconds[i], f.metres[i], f.tag[i] = math.Inf(1), math.Inf(1), -1
	}
	return f
}

// offer puts a better time to a node into the field; a time without end (a pace of 0) is none.
func (f *Field) offer(h *heap, n int32, seconds, metres float64, tag int32) {
	if seconds < f.seconds[n] {
		f.seconds[n], f.metres[n], f.tag[n] = seconds, metres, tag
		h.push(seconds, n)
	}
}

// run settles all nodes in the order of time (Dijkstra).
func (f *Field) run(h *heap) {
	g := f.g
	r := &g.in // to the seed: search against the traffic
	if f.dir == FromSeed {
		r = &g.out
	}
	for {
		key, n, ok := h.pop()
		if !ok {
			return
		}
		t := f.seconds[n]
		if key != float32(t) { // an entry that no longer holds
			continue
		}
		metres, tag := f.metres[n], f.tag[n]
		list := r.of(n)
		for i := range list {
			x := &list[i]
			d := float64(x.seconds)
			if x.barred() {
				if !f.barred {
					continue
				}
				d = -d
			}
			if s := t + d; s < f.seconds[x.to] {
				f.seconds[x.to], f.metres[x.to], f.tag[x.to] = s, metres+float64(x.metres), tag
				h.push(s, x.to)
			}
		}
	}
}

// At is the journey between a place on the network and the nearest seed; ok is false when there is
// none, or the place is not on the network. The place itself may lie on a barred way.
func (f *Field) At(p Position) (r Reach, ok bool) {
	g := f.g
	i, along, ok := g.edgeAt(p)
	if !ok {
		return Reach{}, false
	}
	e := &g.edges[i]
	if f.kept && e.use.Kept && (f.barred || !e.use.Barred) {
		return Reach{Tag: -1}, true
	}
	best := Reach{Seconds: math.Inf(1)}
	take := func(seconds, metres float64, tag int32) {
		if seconds < best.Seconds {
			best = Reach{seconds, metres, tag}
		}
	}
	fwd, back := e.use.Forward, e.use.Back
	if f.dir == FromSeed {
		fwd, back = back, fwd
	}
	// Driving out one leaves through a by going back, through b by going forward.
	take(f.seconds[e.a]+over(along, back), f.metres[e.a]+along, f.tag[e.a])
	take(f.seconds[e.b]+over(e.metres-along, fwd), f.metres[e.b]+e.metres-along, f.tag[e.b])
	for _, s := range f.at[i] {
		if d := s.along - along; d >= 0 {
			take(s.seed.Seconds+over(d, fwd), s.seed.Metres+d, s.seed.Tag)
		}
		if d := along - s.along; d >= 0 {
			take(s.seed.Seconds+over(d, back), s.seed.Metres+d, s.seed.Tag)
		}
	}
	return best, !math.IsInf(best.Seconds, 1)
}

// over is the time in seconds for a distance at a pace in m/s: none for no distance, without end for
// no pace.
func over(metres, pace float64) float64 {
	switch {
	case metres <= 0:
		return 0
	case pace <= 0:
		return math.Inf(1)
	}
	return metres / pace
}

// edgeAt finds the edge of a place and the metres from its start; ok is false when the way is not
// part of the network.
func (g *Graph) edgeAt(p Position) (e int32, along float64, ok bool) {
	if p.Way < 0 || int(p.Way) >= len(g.ways) || p.Seg < 0 || int(p.Seg)+1 >= len(g.ways[p.Way].Line) {
		return 0, 0, false
	}
	lo, hi := g.first[p.Way], g.first[p.Way+1]
	if lo == hi {
		return 0, 0, false
	}
	k := sort.Search(int(hi-lo), func(k int) bool { return g.edges[lo+int32(k)].to > p.Seg })
	e = lo + int32(k)
	ed := &g.edges[e]
	at := g.along[g.point[p.Way]+p.Seg:]
	along, end := at[0], ed.metres
	if p.Seg+1 < ed.to {
		end = at[1]
	}
	along += math.Max(0, math.Min(1, p.T)) * (end - along)
	return e, math.Min(along, ed.metres), true
}
