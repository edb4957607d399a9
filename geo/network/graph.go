package network

import (
	"math"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// Use says how a way is driven.
type Use struct {
	// Forward and Back are the paces along and against the line in m/s; 0 = not driven that way.
	Forward, Back float64
	// Kept ways are maintained roads: the journey to one ends there.
	Kept bool
	// Barred ways are closed to the public (private, no). They are left out unless asked for.
	Barred bool
}

// Graph is a network of ways. It does not change once built and may be used by several goroutines.
type Graph struct {
	ways  []osm.Way
	edges []edge
	// first[w] is the first edge of way w; its edges follow one another along the line.
	first []int32
	// along[point[w]+k] is how far point k of way w lies from the start of the edge that leaves it, metres.
	along []float64
	point []int32
	nodes int
	out   rows // by node, the half edges that leave it
	in    rows // by node, the half edges that reach it, to search against the traffic
	snap  snapper
}

// edge is a stretch of a way between two joints.
type edge struct {
	way      int32
	from, to int32 // indices into the line
	a, b     int32 // nodes at from and to
	metres   float64
	use      Use
}

// half is an edge seen from one of its nodes: 16 bytes, since the search goes through all of them.
type half struct {
	to      int32 // the other node
	edge    int32
	seconds float32 // with the sign bit set on a barred way
	metres  float32
}

func (h *half) barred() bool { return math.Signbit(float64(h.seconds)) }

func halfOf(e *edge, i int, to int32, pace float64) half {
	s := float32(e.metres / pace)
	if e.use.Barred {
		s = float32(math.Copysign(float64(s), -1))
	}
	return half{to: to, edge: int32(i), seconds: s, metres: float32(e.metres)}
}

// rows are compressed rows: the half edges of node n are list[start[n]:start[n+1]].
type rows struct {
	start []int32
	list  []half
}

func (r *rows) of(n int32) []half { return r.list[r.start[n]:r.start[n+1]] }

// Build makes the network of the ways that use lets drive in at least one direction. ways is kept and
// must not change. use is called once a way, in order; a pace that is not a finite number counts as 0.
func Build(ways []osm.Way, use func(w *osm.Way) Use) *Graph {
	g := &Graph{ways: ways, first: make([]int32, len(ways)+1), point: make([]int32, len(ways))}
	uses := make([]Use, len(ways))
	total := 0
	for i := range ways {
		u := use(&ways[i])
		u.Forward, u.Back = sound(u.Forward), sound(u.Back)
		if len(ways[i].Line) < 2 {
			u.Forward, u.Back = 0, 0
		}
		uses[i] = u
		if u.Forward > 0 || u.Back > 0 {
			total += len(ways[i].Nodes)
		}
	}
	// A node is a joint when it ends a way or comes twice.
	joints := newIDSet(total)
	for i := range ways {
		if uses[i].Forward == 0 && uses[i].Back == 0 {
			continue
		}
		ids := ways[i].Nodes
		for k, id := range ids {
			joints.add(id, k == 0 || k == len(ids)-1)
		}
	}
	g.edges = make([]edge, 0, len(ways)+len(ways)/4)
	g.along = make([]float64, 0, total)
	for i := range ways {
		g.first[i] = int32(len(g.edges))
		u := uses[i]
		if u.Forward == 0 && u.Back == 0 {
			continue
		}
		w := &ways[i]
		from, length := 0, 0.0
		a := joints.number(w.Nodes[0], &g.nodes)
		g.point[i] = int32(len(g.along))
		for k := 1; k < len(w.Nodes); k++ {
			g.along = append(g.along, length)
			length += geo.Distance(w.Line[k-1], w.Line[k])
			if !joints.joint(w.Nodes[k]) {
				continue
			}
			b := joints.number(w.Nodes[k], &g.nodes)
			g.edges = append(g.edges, edge{way: int32(i), from: int32(from), to: int32(k), a: a, b: b, metres: length, use: u})
			from, a, length = k, b, 0
		}
	}
	g.first[len(ways)] = int32(len(g.edges))
	g.out = g.rows(func(e *edge) float64 { return e.use.Forward }, func(e *edge) float64 { return e.use.Back })
	g.in = g.rows(func(e *edge) float64 { return e.use.Back }, func(e *edge) float64 { return e.use.Forward })
	return g
}

func sound(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// rows sorts the half edges by node; ab gives the pace from a to b, ba that from b to a.
func (g *Graph) rows(ab, ba func(e *edge) float64) rows {
	r := rows{start: make([]int32, g.nodes+1)}
	for i := range g.edges {
		e := &g.edges[i]
		if ab(e) > 0 {
			r.start[e.a]++
		}
		if ba(e) > 0 {
			r.start[e.b]++
		}
	}
	sum := int32(0)
	for n, c := range r.start {
		r.start[n] = sum
		sum += c
	}
	r.list = make([]half, sum)
	at := make([]int32, g.nodes)
	copy(at, r.start)
	for i := range g.edges {
		e := &g.edges[i]
		if v := ab(e); v > 0 {
			r.list[at[e.a]] = halfOf(e, i, e.b, v)
			at[e.a]++
		}
		if v := ba(e); v > 0 {
			r.list[at[e.b]] = halfOf(e, i, e.a, v)
			at[e.b]++
		}
	}
	return r
}

// Size is the number of joints and of stretches between them.
func (g *Graph) Size() (joints, stretches int) { return g.nodes, len(g.edges) }
