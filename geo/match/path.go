package match

import "math"

// search is a shortest-path search from one place on the network, cut off at a limit. One-way streets may be driven
// both ways, for routes are drawn and driven against them, but each edge driven the wrong way counts as longer.
type search struct {
	g     *Graph
	wrong float64 // how much longer, metres
	dist  []float64
	metre []float64 // the same without what driving the wrong way adds
	stamp []int32   // dist[v] is valid when stamp[v] == now
	now   int32
	via   []int32 // the edge by which v is reached, as in arc; -1 for the one on which the search begins
	heap  []reached
}

// mostArcs is after how many arcs a search ends. Judgement: so many lie within its limit, some hundred metres, only in files
// made to keep a reader busy; a city has some hundreds.
const mostArcs = 20_000

type reached struct {
	d float64
	v int32
}

func (s *search) init(g *Graph) {
	s.g = g
	s.dist = make([]float64, g.verts)
	s.metre = make([]float64, g.verts)
	s.stamp = make([]int32, g.verts)
	s.via = make([]int32, g.verts)
}

// from finds the distances from a place to the vertices within the limit. Where the candidates of the
// next point all lie on the same edge nothing needs to be found.
func (s *search) from(c *candidate, next []candidate, limit float64) {
	s.now++
	s.heap = s.heap[:0]
	e := &s.g.edges[c.edge]
	if c.q > limit && e.length-c.q > limit {
		return
	}
	only := true
	for k := range next {
		only = only && next[k].edge == c.edge
	}
	if only && e.u != e.v {
		return
	}
	s.offer(e.u, c.q+s.wrong*e.wrongBack, c.q, limit, -1)
	s.offer(e.v, e.length-c.q+s.wrong*e.wrongOn, e.length-c.q, limit, -1)
	for looked := 0; len(s.heap) > 0 && looked < mostArcs; {
		r := s.pop()
		if r.d > s.dist[r.v] {
			continue
		}
		arcs := s.g.out[s.g.first[r.v]:s.g.first[r.v+1]]
		if left := mostArcs - looked; len(arcs) > left {
			arcs = arcs[:left]
		}
		looked += len(arcs)
		for _, a := range arcs {
			s.offer(a.to, r.d+a.length+s.wrong*a.wrong, s.metre[r.v]+a.length, limit, a.via)
		}
	}
}

func (s *search) offer(v int32, d, metre, limit float64, via int32) {
	if d > limit || s.stamp[v] == s.now && s.dist[v] <= d {
		return
	}
	s.stamp[v], s.dist[v], s.metre[v], s.via[v] = s.now, d, metre, via
	s.heap = append(s.heap, reached{d, v})
	for i := len(s.heap) - 1; i > 0; {
		up := (i - 1) / 2
		if s.heap[up].d <= s.heap[i].d {
			break
		}
		s.heap[up], s.heap[i] = s.heap[i], s.heap[up]
		i = up
	}
}

func (s *search) pop() reached {
	top := s.heap[0]
	n := len(s.heap) - 1
	s.heap[0] = s.heap[n]
	s.heap = s.heap[:n]
	for i := 0; ; {
		c := 2*i + 1
		if c >= n {
			break
		}
		if c+1 < n && s.heap[c+1].d < s.heap[c].d {
			c++
		}
		if s.heap[i].d <= s.heap[c].d {
			break
		}
		s.heap[i], s.heap[c] = s.heap[c], s.heap[i]
		i = c
	}
	return top
}

// reach is the distance along the network to another place after from; +Inf beyond its limit.
func (s *search) reach(a, b *candidate) float64 {
	d := math.Inf(1)
	if a.edge == b.edge {
		d = math.Abs(a.q - b.q)
	}
	e := &s.g.edges[b.edge]
	return min(d, s.over(e.u, b.q, e.wrongOn), s.over(e.v, e.length-b.q, e.wrongBack))
}

// over is the distance to a place q metres behind a vertex.
func (s *search) over(v int32, q, wrong float64) float64 {
	if s.stamp[v] != s.now {
		return math.Inf(1)
	}
	return s.dist[v] + q + s.wrong*wrong
}

// metres is the length of the way to another place that reach gives the distance d of.
func (s *search) metres(a, b *candidate, d float64) float64 {
	e := &s.g.edges[b.edge]
	switch {
	case a.edge == b.edge && d == math.Abs(a.q-b.q):
		return d
	case d == s.over(e.u, b.q, e.wrongOn):
		return s.metre[e.u] + b.q
	}
	return s.metre[e.v] + e.length - b.q
}
