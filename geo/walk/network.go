package walk

import (
	"math"

	"github.com/paulmach/orb"
)

// network is the ways and roads of a land laid over its grid: nodes on the lines, half a cell apart or
// closer where lines meet, links along the lines, and transfers between nodes and the middles of the
// cells around them.
type network struct {
	x, y   []float64 // places of nodes in cells
	height []float32
	// links of node k are links[firstLink[k]:firstLink[k+1]].
	links     []link
	firstLink []int32
	// transfers of node k are transfers[firstTransfer[k]:firstTransfer[k+1]]; head is one more than the
	// first transfer of a cell, in the order of transfer.next.
	transfers     []transfer
	firstTransfer []int32
	head          []int32
	roads         []int32 // nodes on roads to reach
	stretches     []stretch
}

// link leads to a neighbouring node along a line.
type link struct {
	to     int32
	metres float32
	slow   float32 // of its way
}

// stretch is a link before links are sorted by node.
type stretch struct {
	a, b         int32
	metres, slow float32
}

// transfer joins a node with the middle of a cell, which lie no more than a cell's diagonal apart.
type transfer struct {
	node, cell int32
	metres     float32
	next       int32 // of the same cell, one more than its number; 0 for none
}

// spacing is the distance between nodes along a line in cells: near enough that every cell a line
// passes has a node within reach, far enough to keep them few.
const spacing = 0.5

// network builds the nodes; nil when the land has neither ways nor roads.
func (l *Land) network() *network {
	if len(l.ways) == 0 {
		return nil
	}
	n := &network{head: make([]int32, l.stride*(l.grid.Rows+2*rim))}
	// A point that several lines share, that one passes twice, or where one ends must stay a node.
	// The map holds the node of such a point once it is made.
	points := 0
	for _, w := range l.ways {
		points += len(w.line)
	}
	shared := make(map[orb.Point]int32, points)
	for _, w := range l.ways {
		for i, p := range w.line {
			if _, ok := shared[p]; ok || i == 0 || i == len(w.line)-1 {
				shared[p] = keep
			} else {
				shared[p] = once
			}
		}
	}
	for _, w := range l.ways {
		n.lay(l, w, shared)
	}
	n.link()
	n.join(l)
	return n
}

// Marks of points in the map that lay uses, which holds nodes from 0 on.
const (
	once = -1 - iota // passed by one line, once
	keep             // must become a node
)

// link sorts the stretches by node, both ways.
func (n *network) link() {
	n.firstLink = make([]int32, len(n.x)+1)
	for _, s := range n.stretches {
		n.firstLink[s.a]++
		n.firstLink[s.b]++
	}
	sum := int32(0)
	for k, c := range n.firstLink {
		sum += c
		n.firstLink[k] = sum // the end for now; filling moves it to the beginning
	}
	n.links = make([]link, sum)
	for _, s := range n.stretches {
		n.firstLink[s.a]--
		n.links[n.firstLink[s.a]] = link{s.b, s.metres, s.slow}
		n.firstLink[s.b]--
		n.links[n.firstLink[s.b]] = link{s.a, s.metres, s.slow}
	}
	n.stretches = nil
}

// add makes a node.
func (n *network) add(l *Land, x, y float64) int32 {
	n.x, n.y = append(n.x, x), append(n.y, y)
	n.height = append(n.height, l.grid.heightAt(x, y))
	return int32(len(n.x) - 1)
}

// lay puts the nodes of one line, those of its points that lie off the grid left out.
func (n *network) lay(l *Land, w way, shared map[orb.Point]int32) {
	g := l.grid
	node := func(p orb.Point, x, y float64) int32 {
		k := shared[p]
		if k < 0 {
			k2 := n.add(l, x, y)
			if k == keep {
				shared[p] = k2
			}
			return k2
		}
		return k
	}
	last, length := int32(-1), 0.0 // the last node and the metres walked since
	reach := func(k int32) {
		if last >= 0 && last != k {
			n.stretches = append(n.stretches, stretch{last, k, float32(length), w.slow})
		}
		if w.road {
			n.roads = append(n.roads, k)
		}
		last, length = k, 0
	}
	if len(w.line) == 1 {
		if x, y := g.position(w.line[0]); g.near(x, y) {
			reach(node(w.line[0], x, y))
		}
		return
	}
	bx, by := g.position(w.line[0])
	for i := 1; i < len(w.line); i++ {
		ax, ay := bx, by
		bx, by = g.position(w.line[i])
		t0, t1, ok := g.clip(ax, ay, bx, by, 0.5)
		if !ok {
			last = -1
			continue
		}
		dx, dy := bx-ax, by-ay
		if t0 > 0 || last < 0 {
			if last = -1; t0 > 0 {
				reach(n.add(l, ax+t0*dx, ay+t0*dy))
			} else {
				reach(node(w.line[i-1], ax, ay))
			}
		}
		metres := g.metres(ax, ay, bx, by)
		cells := math.Hypot(dx, dy)
		// Nodes inside a long segment, then its end where it is wanted.
		parts := int(max(math.Ceil((t1-t0)*cells/spacing), 1))
		step := (t1 - t0) / float64(parts)
		for k := 1; k <= parts; k++ {
			t := t0 + step*float64(k)
			length += step * metres
			switch end := k == parts; {
			case !end:
				reach(n.add(l, ax+t*dx, ay+t*dy))
			case t1 < 1:
				reach(n.add(l, ax+t1*dx, ay+t1*dy))
				last = -1
			case shared[w.line[i]] != once || length >= spacing*min(g.northM, g.eastM[g.rowOf(by)]):
				reach(node(w.line[i], bx, by))
			}
		}
	}
}

// join makes the transfers to the middles of the four cells around each node, one or two where the
// node lies on a row or column of middles, except where a barrier lies between.
func (n *network) join(l *Land) {
	g := l.grid
	n.firstTransfer = make([]int32, len(n.x)+1)
	n.transfers = make([]transfer, 0, 4*len(n.x))
	for k := range n.x {
		x, y := n.x[k], n.y[k]
		c0, r0 := int(math.Floor(x)), int(math.Floor(y))
		for r := r0; r <= int(math.Ceil(y)); r++ {
			for c := c0; c <= int(math.Ceil(x)); c++ {
				if !l.inGrid(c, r) || l.inside != nil && l.inside[r*g.Cols+c] {
					continue
				}
				if l.walls.between(l, piece{x, y, float64(c), float64(r)}) {
					continue
				}
				cell := int32(l.index(c, r))
				n.transfers = append(n.transfers, transfer{int32(k), cell, float32(g.metres(x, y, float64(c), float64(r))), n.head[cell]})
				n.head[cell] = int32(len(n.transfers))
			}
		}
		n.firstTransfer[k+1] = int32(len(n.transfers))
	}
}

// near reports whether a place in cells lies on the grid.
func (g *Grid) near(x, y float64) bool {
	return x >= -0.5 && y >= -0.5 && x <= float64(g.Cols)-0.5 && y <= float64(g.Rows)-0.5
}

// rowOf is the row nearest to a place.
func (g *Grid) rowOf(y float64) int { return int(math.Round(min(max(y, 0), float64(g.Rows-1)))) }

// metres is the distance between two places in cells.
func (g *Grid) metres(ax, ay, bx, by float64) float64 {
	east := (g.eastM[g.rowOf(ay)] + g.eastM[g.rowOf(by)]) / 2
	return math.Hypot((bx-ax)*east, (by-ay)*g.northM)
}

// heightAt is the height of a place in cells, bilinear between the middles.
func (g *Grid) heightAt(x, y float64) float32 {
	x, y = min(max(x, 0), float64(g.Cols-1)), min(max(y, 0), float64(g.Rows-1))
	i, j := min(int(x), g.Cols-2), min(int(y), g.Rows-2)
	fx, fy := float32(x-float64(i)), float32(y-float64(j))
	h := g.HeightM[j*g.Cols+i:]
	a, b, c, d := h[0], h[1], h[g.Cols], h[g.Cols+1]
	// A corner without weight may be unknown.
	if fx == 0 {
		b, d = a, c
	}
	if fy == 0 {
		c, d = a, b
	}
	n, s := a+fx*(b-a), c+fx*(d-c)
	return n + fy*(s-n)
}
