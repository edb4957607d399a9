package network

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Path is a journey with its line.
type Path struct {
	Line            orb.LineString
	Seconds, Metres float64
	// BarredM are the metres on barred ways, 0 unless they were asked for.
	BarredM float64
	// Ways are the indices of the ways driven, in order, one entry a stretch.
	Ways []int32
}

// barredCost makes barred ways the last resort when they are allowed: their time counts ten times as
// much in the choice (judgement: one would drive some ten kilometres round to avoid one of them).
const barredCost = 10

// Path is the quickest journey between two places; ok is false when there is none. With barred true,
// barred ways may be driven where there is hardly another way.
func (g *Graph) Path(from, to Position, barred bool) (p Path, ok bool) {
	e0, x0, ok0 := g.edgeAt(from)
	e1, x1, ok1 := g.edgeAt(to)
	if !ok0 || !ok1 {
		return Path{}, false
	}
	cost := func(e *edge, metres, pace float64) float64 {
		switch {
		case e.use.Barred && !barred:
			return math.Inf(1)
		case e.use.Barred:
			return over(metres, pace) * barredCost
		}
		return over(metres, pace)
	}
	a, b := &g.edges[e0], &g.edges[e1]
	direct := math.Inf(1)
	if e0 == e1 {
		if x1 >= x0 {
			direct = cost(a, x1-x0, a.use.Forward)
		}
		if x0 >= x1 {
			direct = math.Min(direct, cost(a, x0-x1, a.use.Back))
		}
	}
	s := search{g: g, best: make([]float64, g.nodes), via: make([]int32, g.nodes), prev: make([]int32, g.nodes)}
	for i := range s.best {
		s.best[i] = math.Inf(1)
	}
	s.reach(a.b, cost(a, a.metres-x0, a.use.Forward), startForward, -1)
	s.reach(a.a, cost(a, x0, a.use.Back), startBack, -1)
	endA, endB := cost(b, x1, b.use.Forward), cost(b, b.metres-x1, b.use.Back)
	for {
		key, n, more := s.heap.pop()
		if !more {
			break
		}
		t := s.best[n]
		// The margin is what float32 may hide in the order of the heap.
		if end := math.Min(direct, math.Min(s.best[b.a]+endA, s.best[b.b]+endB)); float64(key) > end*(1+1e-6) {
			break
		}
		if key != float32(t) {
			continue
		}
		list := g.out.of(n)
		for i := range list {
			x := &list[i]
			d := float64(x.seconds)
			if x.barred() {
				if !barred {
					continue
				}
				d *= -barredCost
			}
			s.reach(x.to, t+d, x.edge, n)
		}
	}
	viaA, viaB := s.best[b.a]+endA, s.best[b.b]+endB
	if math.IsInf(math.Min(direct, math.Min(viaA, viaB)), 1) {
		return Path{}, false
	}
	if direct <= viaA && direct <= viaB {
		p.drive(g, e0, from, to, x0, x1)
		return p, true
	}
	n, into := b.a, 0.0
	if viaB < viaA {
		n, into = b.b, b.metres
	}
	var chain []int32
	for s.via[n] >= 0 {
		chain = append(chain, s.via[n])
		n = s.prev[n]
	}
	if s.via[n] == startForward {
		p.drive(g, e0, from, g.endOf(e0, true), x0, a.metres)
	} else {
		p.drive(g, e0, from, g.endOf(e0, false), x0, 0)
	}
	for _, i := range slices.Backward(chain) {
		if e := &g.edges[i]; e.a == n {
			p.drive(g, i, g.endOf(i, false), g.endOf(i, true), 0, e.metres)
			n = e.b
		} else {
			p.drive(g, i, g.endOf(i, true), g.endOf(i, false), e.metres, 0)
			n = e.a
		}
	}
	p.drive(g, e1, g.endOf(e1, into > 0), to, into, x1)
	return p, true
}

// search is Dijkstra's search with the way back from each node.
type search struct {
	g    *Graph
	heap heap
	best []float64
	via  []int32 // edge by which a node is reached, or how the first edge was left
	prev []int32
}

const (
	startForward = -1
	startBack    = -2
)

func (s *search) reach(n int32, seconds float64, via, prev int32) {
	if seconds < s.best[n] {
		s.best[n], s.via[n], s.prev[n] = seconds, via, prev
		s.heap.push(seconds, n)
	}
}

// endOf is the position of the start or the end of an edge.
func (g *Graph) endOf(i int32, end bool) Position {
	e := &g.edges[i]
	if end {
		return Position{Way: e.way, Seg: e.to - 1, T: 1}
	}
	return Position{Way: e.way, Seg: e.from}
}

// drive appends the stretch of an edge from one position to another, x0 and x1 metres from its start.
func (p *Path) drive(g *Graph, i int32, from, to Position, x0, x1 float64) {
	e := &g.edges[i]
	line := g.ways[e.way].Line
	add := func(q orb.Point) {
		if n := len(p.Line); n == 0 || p.Line[n-1] != q {
			p.Line = append(p.Line, q)
		}
	}
	add(g.Point(from))
	pace := e.use.Forward
	if x1 >= x0 {
		for k := from.Seg + 1; k <= to.Seg; k++ {
			add(line[k])
		}
	} else {
		pace = e.use.Back
		for k := from.Seg; k > to.Seg; k-- {
			add(line[k])
		}
	}
	add(g.Point(to))
	d := math.Abs(x1 - x0)
	if d > 0 {
		p.Metres += d
		p.Seconds += over(d, pace)
		if e.use.Barred {
			p.BarredM += d
		}
		if n := len(p.Ways); n == 0 || p.Ways[n-1] != e.way {
			p.Ways = append(p.Ways, e.way)
		}
	}
}
