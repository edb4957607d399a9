package match

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Graph is the part of the ways that lies near a route: cut into edges at the nodes where ways meet,
// with a grid to find the pieces near a point. It is not changed once made.
type Graph struct {
	ways   []Way
	cum    [][]float64 // metres along each way used; nil for ways away from the route
	edges  []edge
	first  []int32 // vertex v has out[first[v]:first[v+1]]
	out    []arc
	verts  int
	pieces int32 // number of steps of all edges
	grid   grid
}

// edge is a stretch of one way between two vertices.
type edge struct {
	way      int32
	from, to int32 // points of the way's line
	u, v     int32 // vertices at from and to
	start    float64
	length   float64
	base     int32 // number of its first piece, counted over all edges

	wrongOn, wrongBack float64 // 1 where driving it from u to v, or back, is against the way's direction
}

// arc is an edge as it is driven from one of its ends.
type arc struct {
	to     int32
	via    int32 // twice the number of the edge, plus 1 when it is driven from v to u
	length float64
	wrong  float64 // 1 against the direction of a one-way way
}

// piece is one step of a way's line.
type piece struct {
	edge int32
	seg  int32
}

// cellDeg is the height of a grid cell in degrees of latitude, 77 m; in longitude a cell spans the
// same number of degrees times a factor chosen from the latitude, so that cells stay about square.
const cellDeg = 0.0007

// maxReachM bounds how far from a point ways are looked for, and maxRing the cells around its own that
// are searched for it.
const (
	maxReachM = 200.0
	cellM     = 77.0 // a cell is nowhere lower or narrower: 0.0007 degrees of 110 574 m, widths rounded up
	maxRing   = 3    // covers maxReachM and a quarter of a cell
)

type cell struct{ x, y int32 }

type grid struct {
	at     map[cell]int32 // index into first
	first  []int32
	pieces []piece
}

// width is how many degrees of longitude a cell of row y spans: wider by the latitude of the row's middle
// in steps of whole degrees, so that the same place always falls into the same cell.
func width(y int32) float64 {
	return widths[min(90, int(math.Abs((float64(y)+0.5)*cellDeg)))]
}

var widths = func() (t [91]float64) {
	for d := range t {
		t[d] = cellDeg / math.Max(0.05, math.Cos(float64(d)*math.Pi/180))
	}
	return t
}()

func cellOf(p orb.Point) cell {
	y := int32(math.Floor(p[1] / cellDeg))
	return cell{int32(math.Floor(geo.WrapLon(p[0]) / width(y))), y}
}

// around calls f for the cell of a point and those beside it, ring cells far. Rows beyond a whole degree
// of latitude have another width, so each row is looked up with its own.
func around(p orb.Point, ring int32, f func(cell)) {
	y := int32(math.Floor(p[1] / cellDeg))
	for dy := -ring; dy <= ring; dy++ {
		w := width(y + dy)
		x := int32(math.Floor(geo.WrapLon(p[0]) / w))
		last := int32(math.Floor(180 / w))
		for dx := -ring; dx <= ring; dx++ {
			c := cell{x + dx, y + dy}
			if c.x > last { // across the antimeridian
				c.x -= 2*last + 2
			} else if c.x < -last-1 {
				c.x += 2*last + 2
			}
			f(c)
		}
	}
}

// gap is how far into a step without given points p lies, as far as that makes it uncertain.
func (p *Point) gap() float64 { return min(p.GapM, gapMostM) }

// reachOf is how far ways are looked for from a point.
func reachOf(p *Point) float64 {
	return min(maxReachM, reachM+2*gapSlope*p.gap())
}

func ringOf(reach float64) int32 { return min(maxRing, int32(math.Ceil((reach+cellM/4)/cellM))) }

// NewGraph takes from the ways those that come near one of the points, in time proportional to the
// ways' points plus the route's. Ways with fewer than two points, or with another number of nodes than
// points, are left out.
func NewGraph(ways []Way, points []Point) *Graph {
	g := &Graph{ways: ways, cum: make([][]float64, len(ways))}
	g.grid.at = map[cell]int32{}
	var last cell
	for i, p := range points {
		c := cellOf(p.At)
		if i > 0 && c == last {
			continue
		}
		last = c
		ring := ringOf(reachOf(&p))
		around(p.At, ring, func(c cell) { g.grid.at[c] = -1 })
	}
	var used []int32
	for w := range ways {
		if g.near(&ways[w]) {
			used = append(used, int32(w))
		}
	}
	g.cut(used)
	g.fill(used)
	return g
}

func (g *Graph) near(w *Way) bool {
	if len(w.Line) < 2 || len(w.Nodes) != len(w.Line) {
		return false
	}
	for i := 1; i < len(w.Line); i++ {
		hit := false
		eachCell(w.Line[i-1], w.Line[i], func(c cell) {
			if !hit {
				_, hit = g.grid.at[c]
			}
		})
		if hit {
			return true
		}
	}
	return false
}

// eachCell calls f for the cells that a step of a line touches; the same cell may come twice. The line is
// sampled a quarter of a cell apart, so of cells of which only a corner is cut some may be left out: what
// they hold of the line lies within a quarter of a cell of one that is not, which reaches are widened by.
func eachCell(a, b orb.Point, f func(cell)) {
	dlon, dlat := geo.LonDiff(a[0], b[0]), b[1]-a[1]
	n := 1 + int(4*math.Max(math.Abs(dlon)/width(int32(math.Floor(a[1]/cellDeg))), math.Abs(dlat)/cellDeg))
	prev := cellOf(a)
	f(prev)
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		if c := cellOf(orb.Point{a[0] + t*dlon, a[1] + t*dlat}); c != prev {
			f(c)
			prev = c
		}
	}
}

// cut makes vertices of the nodes where ways end or meet, and edges between them.
func (g *Graph) cut(used []int32) {
	type use struct {
		node     int64
		way, pos int32
	}
	var uses []use
	for _, w := range used {
		for i, n := range g.ways[w].Nodes {
			uses = append(uses, use{n, w, int32(i)})
		}
	}
	slices.SortFunc(uses, func(a, b use) int {
		switch {
		case a.node != b.node:
			if a.node < b.node {
				return -1
			}
			return 1
		case a.way != b.way:
			return int(a.way - b.way)
		}
		return int(a.pos - b.pos)
	})
	vertex := make([][]int32, len(g.ways)) // vertex of each point of a way, -1 = none
	for _, w := range used {
		v := make([]int32, len(g.ways[w].Nodes))
		for i := range v {
			v[i] = -1
		}
		vertex[w] = v
	}
	for i := 0; i < len(uses); {
		j := i + 1
		for j < len(uses) && uses[j].node == uses[i].node {
			j++
		}
		end := uses[i].pos == 0 || int(uses[i].pos) == len(g.ways[uses[i].way].Nodes)-1
		if j-i > 1 || end {
			for _, u := range uses[i:j] {
				vertex[u.way][u.pos] = int32(g.verts)
			}
			g.verts++
		}
		i = j
	}
	for _, w := range used {
		way := &g.ways[w]
		cum := geo.Cumulative(make([]float64, 0, len(way.Line)), way.Line)
		g.cum[w] = cum
		from := 0
		for i := 1; i < len(way.Line); i++ {
			if vertex[w][i] < 0 {
				continue
			}
			e := edge{way: w, from: int32(from), to: int32(i),
				u: vertex[w][from], v: vertex[w][i], start: cum[from], length: cum[i] - cum[from], base: g.pieces}
			switch {
			case way.OneWay > 0:
				e.wrongBack = 1
			case way.OneWay < 0:
				e.wrongOn = 1
			}
			g.edges = append(g.edges, e)
			g.pieces += int32(i - from)
			from = i
		}
	}
	g.first = make([]int32, g.verts+1)
	for _, e := range g.edges {
		g.first[e.u+1]++
		g.first[e.v+1]++
	}
	for i := 1; i < len(g.first); i++ {
		g.first[i] += g.first[i-1]
	}
	g.out = make([]arc, 2*len(g.edges))
	next := slices.Clone(g.first)
	for i, e := range g.edges {
		g.out[next[e.u]] = arc{e.v, 2 * int32(i), e.length, e.wrongOn}
		next[e.u]++
		g.out[next[e.v]] = arc{e.u, 2*int32(i) + 1, e.length, e.wrongBack}
		next[e.v]++
	}
}

// fill puts the pieces of the edges into the cells near the route.
func (g *Graph) fill(used []int32) {
	type entry struct {
		slot int32
		p    piece
	}
	slots := int32(0)
	var list []entry
	for i, e := range g.edges {
		line := g.ways[e.way].Line
		for s := e.from; s < e.to; s++ {
			from := len(list)
			eachCell(line[s], line[s+1], func(c cell) {
				slot, near := g.grid.at[c]
				if !near {
					return
				}
				if slot < 0 {
					slot = slots
					g.grid.at[c] = slot
					slots++
				}
				for _, l := range list[from:] {
					if l.slot == slot {
						return
					}
				}
				list = append(list, entry{slot, piece{int32(i), s}})
			})
		}
	}
	g.grid.first = make([]int32, slots+1)
	for _, l := range list {
		g.grid.first[l.slot+1]++
	}
	for i := 1; i < len(g.grid.first); i++ {
		g.grid.first[i] += g.grid.first[i-1]
	}
	g.grid.pieces = make([]piece, len(list))
	next := slices.Clone(g.grid.first)
	for _, l := range list {
		g.grid.pieces[next[l.slot]] = l.p
		next[l.slot]++
	}
}
