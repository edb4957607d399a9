package network

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// land is a random small network, with the same as a graph of single steps for the other program.
type land struct {
	ways []osm.Way
	uses []Use
}

func drawLand(t *rapid.T) land {
	var l land
	nodes := rapid.IntRange(2, 14).Draw(t, "nodes")
	at := make([]orb.Point, nodes)
	for i := range at {
		// No two alike: a step of no length can be driven against a one-way street.
		at[i] = orb.Point{20 + 0.3*float64(i) + rapid.Float64Range(0, 0.2).Draw(t, "x"), 30 + rapid.Float64Range(0, 0.2).Draw(t, "y")}
	}
	for k := range rapid.IntRange(1, 12).Draw(t, "ways") {
		w := osm.Way{ID: int64(k)}
		last := -1
		for range rapid.IntRange(2, 6).Draw(t, "points") {
			n := rapid.IntRange(0, nodes-1).Draw(t, "node")
			if n == last {
				n = (n + 1) % nodes
			}
			last = n
			w.Nodes, w.Line = append(w.Nodes, int64(n)), append(w.Line, at[n])
		}
		u := Use{Kept: rapid.IntRange(0, 4).Draw(t, "kept") == 0, Barred: rapid.IntRange(0, 4).Draw(t, "barred") == 0}
		switch rapid.IntRange(0, 5).Draw(t, "direction") {
		case 0:
			u.Forward = 7
		case 1:
			u.Back = 5
		case 2:
		default:
			u.Forward, u.Back = rapid.Float64Range(1, 30).Draw(t, "v"), rapid.Float64Range(1, 30).Draw(t, "b")
		}
		l.ways, l.uses = append(l.ways, w), append(l.uses, u)
	}
	return l
}

func (l land) build() *Graph {
	i := -1
	return Build(l.ways, func(*osm.Way) Use { i++; return l.uses[i] })
}

// gonum is the land as gonum's graph of all single steps; barred ways only if barred is true, with weight
// times cost.
func (l land) gonum(barred bool, cost float64, reversed bool) *simple.WeightedDirectedGraph {
	g := simple.NewWeightedDirectedGraph(0, math.Inf(1))
	for n := range int64(14) {
		g.AddNode(simple.Node(n))
	}
	set := func(a, b int64, pace, m float64, u Use) {
		if pace <= 0 || u.Barred && !barred {
			return
		}
		s := m / pace
		if u.Barred {
			s *= cost
		}
		if reversed {
			a, b = b, a
		}
		if old, ok := g.Weight(a, b); !ok || s < old {
			g.SetWeightedEdge(g.NewWeightedEdge(simple.Node(a), simple.Node(b), s))
		}
	}
	for i, w := range l.ways {
		for k := 1; k < len(w.Nodes); k++ {
			m := geo.Distance(w.Line[k-1], w.Line[k])
			set(w.Nodes[k-1], w.Nodes[k], l.uses[i].Forward, m, l.uses[i])
			set(w.Nodes[k], w.Nodes[k-1], l.uses[i].Back, m, l.uses[i])
		}
	}
	return g
}

// near allows for edges that keep their seconds as float32: 6e-8 each, a few dozen in a row.
func near(a, b float64) bool {
	return math.IsInf(a, 1) && math.IsInf(b, 1) || math.Abs(a-b) <= 1e-5*math.Max(1, math.Abs(b))
}

// TestKeptAgainstGonum: from every node of every way the time to (or from) the nearest maintained road is what
// gonum's shortest paths give over the graph of all single steps.
func TestKeptAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLand(t)
		g := l.build()
		for _, barred := range []bool{false, true} {
			for _, dir := range []Direction{ToSeed, FromSeed} {
				f := g.Kept(dir, barred)
				o := l.gonum(barred, 1, dir == ToSeed)
				best := map[int64]float64{}
				for i, w := range l.ways {
					if u := l.uses[i]; u.Kept && (u.Forward > 0 || u.Back > 0) && (barred || !u.Barred) {
						for _, n := range w.Nodes {
							p := path.DijkstraFrom(simple.Node(n), o)
							for k := range int64(14) {
								if d := p.WeightTo(k); best[k] == 0 || d < best[k] {
									best[k] = d + 1e-300
								}
							}
						}
					}
				}
				for i, w := range l.ways {
					u := l.uses[i]
					if u.Forward == 0 && u.Back == 0 {
						continue
					}
					for k, n := range w.Nodes {
						p := Position{Way: int32(i), Seg: int32(min(k, len(w.Nodes)-2))}
						if k == len(w.Nodes)-1 {
							p.T = 1
						}
						// On a joint the place may be left by any way that meets there: ask one's own joint.
						want, ok := best[n]
						if !ok {
							want = math.Inf(1)
						}
						r, found := f.At(p)
						got := math.Inf(1)
						if found {
							got = r.Seconds
						}
						if u.Barred && !barred && !joint(l, n) {
							continue // a place inside a barred way may be left along it, which the other graph does not know
						}
						if u.Barred && !barred {
							if got > want+1e-5*math.Max(1, want) {
								t.Fatalf("from node %d of barred way %d: %v s, at most %v wanted", n, i, got, want)
							}
							continue
						}
						if !near(got, want) {
							t.Fatalf("node %d of way %d, direction %d, barred %v: %v s, want %v", n, i, dir, barred, got, want)
						}
					}
				}
			}
		}
	})
}

// joint reports whether a node ends a way or is shared.
func joint(l land, n int64) bool {
	c := 0
	for _, w := range l.ways {
		for k, m := range w.Nodes {
			if m == n {
				c++
				if k == 0 || k == len(w.Nodes)-1 {
					c++
				}
			}
		}
	}
	return c > 1
}

// TestPathAgainstGonum: the path between any two nodes takes as long as gonum's, its length is that of its
// line, and it drives no way that it may not.
func TestPathAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLand(t)
		g := l.build()
		barred := rapid.Bool().Draw(t, "with barred")
		o := l.gonum(barred, barredCost, false)
		var ends []Position
		var ids []int64
		for i, w := range l.ways {
			u := l.uses[i]
			if u.Forward == 0 && u.Back == 0 || u.Barred && !barred {
				continue
			}
			for k := range len(w.Nodes) - 1 {
				ends, ids = append(ends, Position{Way: int32(i), Seg: int32(k)}), append(ids, w.Nodes[k])
			}
		}
		if len(ends) == 0 {
			return
		}
		for range 10 {
			a, b := rapid.IntRange(0, len(ends)-1).Draw(t, "from"), rapid.IntRange(0, len(ends)-1).Draw(t, "to")
			p, ok := g.Path(ends[a], ends[b], barred)
			want := path.DijkstraFrom(simple.Node(ids[a]), o).WeightTo(ids[b])
			if !ok {
				if !math.IsInf(want, 1) {
					t.Fatalf("no path from node %d to %d, want one of %v s", ids[a], ids[b], want)
				}
				continue
			}
			cost := p.Seconds
			if p.BarredM > 0 { // the time on barred ways counts ten times in the choice
				cost = costOf(l, g, p)
			}
			if !near(cost, want) {
				t.Fatalf("from node %d to %d: %v s (cost %v), want %v", ids[a], ids[b], p.Seconds, cost, want)
			}
			if length := geo.Length(p.Line); math.Abs(length-p.Metres) > 1e-6*(1+length) {
				t.Fatalf("the line is %v m long, the path %v m", length, p.Metres)
			}
			if p.Line[0] != g.Point(ends[a]) || p.Line[len(p.Line)-1] != g.Point(ends[b]) {
				t.Fatalf("the path goes from %v to %v, want %v to %v", p.Line[0], p.Line[len(p.Line)-1], g.Point(ends[a]), g.Point(ends[b]))
			}
		}
	})
}

// costOf is the time of a path with barred steps counting ten times, by the steps of its line: the cheapest
// way that has the step.
func costOf(l land, _ *Graph, p Path) float64 {
	sum := 0.0
	for k := 1; k < len(p.Line); k++ {
		best := math.Inf(1)
		for i, w := range l.ways {
			for j := 1; j < len(w.Line); j++ {
				m := geo.Distance(w.Line[j-1], w.Line[j])
				c := 1.0
				if l.uses[i].Barred {
					c = barredCost
				}
				if w.Line[j-1] == p.Line[k-1] && w.Line[j] == p.Line[k] {
					best = min(best, over(m, l.uses[i].Forward)*c)
				}
				if w.Line[j] == p.Line[k-1] && w.Line[j-1] == p.Line[k] {
					best = min(best, over(m, l.uses[i].Back)*c)
				}
			}
		}
		sum += best
	}
	return sum
}

// TestFieldOfSeeds: a seed's own place is reached in its own time, and from anywhere a journey to the nearest
// seed takes as long as the path there.
func TestFieldOfSeeds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLand(t)
		g := l.build()
		place := func(name string) Position {
			w := rapid.IntRange(0, len(l.ways)-1).Draw(t, name)
			return Position{Way: int32(w), Seg: int32(rapid.IntRange(0, len(l.ways[w].Line)-2).Draw(t, "seg")), T: rapid.Float64Range(0, 1).Draw(t, "t")}
		}
		var seeds []Seed
		for i := range rapid.IntRange(1, 3).Draw(t, "seeds") {
			seeds = append(seeds, Seed{At: place("seed"), Seconds: rapid.Float64Range(0, 100).Draw(t, "s"), Tag: int32(i)})
		}
		from := place("from")
		if u := l.uses[from.Way]; u.Barred {
			return
		}
		out := g.Field(seeds, ToSeed, false)
		in := g.Field(seeds, FromSeed, false)
		wantOut, wantIn := math.Inf(1), math.Inf(1)
		for _, s := range seeds {
			if l.uses[s.At.Way].Barred {
				continue
			}
			if p, ok := g.Path(from, s.At, false); ok {
				wantOut = min(wantOut, p.Seconds+s.Seconds)
			}
			if p, ok := g.Path(s.At, from, false); ok {
				wantIn = min(wantIn, p.Seconds+s.Seconds)
			}
		}
		for _, c := range []struct {
			name string
			f    *Field
			want float64
		}{{"out", out, wantOut}, {"in", in, wantIn}} {
			r, ok := c.f.At(from)
			if !ok {
				r.Seconds = math.Inf(1)
			}
			if !near(r.Seconds, c.want) {
				t.Fatalf("%s: %v s, want %v by the paths", c.name, r.Seconds, c.want)
			}
			if ok && (r.Tag < 0 || int(r.Tag) >= len(seeds)) {
				t.Fatalf("%s: tag %d", c.name, r.Tag)
			}
		}
	})
}
