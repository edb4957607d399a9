package walk

import (
	"context"
	"errors"
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// Options say how the surface is made; the zero value is the usual way.
type Options struct {
	// Pace is the rule on ways; nil takes Tobler.
	Pace Pace
	// OffPath is the part of the speed on a way that is walked on open ground off it, above 0 and at most 1; 0 takes
	// OffPath. See Land.Ground for other ground.
	OffPath float64
	// MaxSlope is the steepest step allowed off ways, rise over run; 0 takes MaxSlope. Along ways the
	// grid's slope is no bar, since ways are benched; it is priced like MaxSlope where it is steeper.
	MaxSlope float64
	// EightOnly leaves the knight's moves out: a third faster, but lines between the eight directions
	// come out up to 8.2 % too long instead of 2.7 %.
	EightOnly bool
	// Outward walks away from the road instead of towards it, to compare with other programs.
	Outward bool
	// Places, when set, are all that is asked for, in degrees: the search ends as soon as Minutes and Estimate
	// stand for each of them. What the result says of other places is then no answer.
	Places []orb.Point
	// Progress, when set, is told now and then which part of the cells is done, 0..1.
	Progress func(part float64)
}

// cell is what the search reads of a neighbour, side by side for the cache.
type cell struct{ height, secs float32 }

const (
	doneBit     = 0x80 // in Result.from: the time is final unless a node of the same bucket improves it
	estimateBit = 0x40 // the way out passes ground without heights
	wayBit      = 0x20 // of cells: a way is within reach
	dirBits     = 0x1f
)

// ErrNoRoad is given by Surface when no road to reach touches the grid.
var ErrNoRoad = errors.New("no maintained road lies within the ground searched")

// Surface spreads from every road of the land at once and finds for each cell the least seconds of
// walking to a road. It works through cells in the order of time in buckets as wide as the shortest step
// between cells takes (Dial, "Algorithm 360: shortest-path forest with topological ordering",
// Communications of the ACM 12, 1969). No such step leads into the bucket being worked on; links
// along ways may, and are followed until the bucket is empty. So the answer is that of Dijkstra's
// algorithm. It gives ErrNoRoad, the error of ctx, or an error for options that make no sense.
func Surface(ctx context.Context, l *Land, o Options) (*Result, error) {
	if o.Pace == nil {
		o.Pace = Tobler
	}
	if o.OffPath == 0 {
		o.OffPath = OffPath
	}
	if o.MaxSlope == 0 {
		o.MaxSlope = MaxSlope
	}
	if !(o.OffPath > 0 && o.OffPath <= 1) {
		return nil, fmt.Errorf("speed off ways is %g of that on ways; it must be above 0 and at most 1", o.OffPath)
	}
	if !(o.MaxSlope > 0 && o.MaxSlope <= 100) {
		return nil, fmt.Errorf("the steepest slope is %g; it must be above 0 and at most 100", o.MaxSlope)
	}
	net := l.network()
	if net == nil || len(net.roads) == 0 {
		return nil, ErrNoRoad
	}
	on := newPaceTable(o.Pace, o.MaxSlope)
	off := newPaceTable(func(s float64) float64 { return o.Pace(s) / o.OffPath }, o.MaxSlope)
	if !(on.fast > 0) || math.IsInf(off.slow, 0) || math.IsNaN(off.slow) {
		return nil, fmt.Errorf("the pace rule gives %g to %g s/m; it must be positive and finite", on.fast, off.slow)
	}
	s := search{l: l, o: o, on: on, off: off, net: net}
	s.prepare()
	if err := s.run(ctx); err != nil {
		return nil, err
	}
	return &Result{Grid: l.grid, stride: l.stride, cells: s.cells, from: s.from, parent: s.parent, via: s.via, net: net, nodes: s.nodes}, nil
}

type search struct {
	l       *Land
	o       Options
	on, off paceTable
	net     *network
	// cells and from hold the cells of the grid with its rim first, from nodes on the nodes of the network.
	cells   []cell
	from    []uint8
	nodes   int32
	parent  []int32         // see Result
	via     map[int32]int32 // see Result
	rows    []rowSteps
	offset  [sixteen]int32
	dirs    int
	shift   float32 // least seconds of any step between cells
	queue   buckets
	unknown [2]float32 // pace on unknown ground: on ways, off ways
	slow    []float32  // by Land.rough: how much longer a step takes than on open ground; nil when all are open
	wanted  []bool     // cells that the places of Options need and that are not settled yet; nil for all
	open    int        // how many of them
}

// rowSteps holds the lengths of the steps from one row and their inverses.
type rowSteps struct{ length, inverse lengths }

func (s *search) prepare() {
	g, stride := s.l.grid, s.l.stride
	s.nodes = int32(stride * (g.Rows + 2*rim))
	n := int(s.nodes) + len(s.net.x)
	s.cells, s.from = make([]cell, n), make([]uint8, n)
	for i := range s.cells {
		s.cells[i].secs = float32(math.Inf(-1)) // the rim can never be improved
		s.from[i] = none
	}
	inf := float32(math.Inf(1))
	for r := range g.Rows {
		row := s.cells[s.l.index(0, r):][:g.Cols]
		for c, h := range g.HeightM[r*g.Cols:][:g.Cols] {
			row[c] = cell{h, inf}
		}
	}
	for _, x := range s.net.transfers {
		s.from[x.cell] |= wayBit
	}
	s.via = make(map[int32]int32)
	s.parent = make([]int32, len(s.net.x))
	for k, h := range s.net.height {
		s.cells[int(s.nodes)+k] = cell{h, inf}
		s.parent[k] = -1
	}
	s.dirs = sixteen
	if s.o.EightOnly {
		s.dirs = eight
	}
	for d := range s.offset {
		s.offset[d] = int32(stepRow[d]*stride + stepCol[d])
	}
	shortest, longest := math.Inf(1), 0.0
	s.rows = make([]rowSteps, g.Rows+2*rim)
	for r := range g.Rows {
		st := rowSteps{length: g.lengthsOf(r)}
		for d, v := range st.length {
			st.inverse[d] = 1 / v
			shortest, longest = min(shortest, float64(v)), max(longest, float64(v))
		}
		s.rows[r+rim] = st
	}
	s.unknown = [2]float32{float32(s.o.Pace(UnknownSlope)), float32(s.o.Pace(UnknownSlope) / s.o.OffPath)}
	fast, slowest := min(s.off.fast, float64(s.unknown[1])), 1.0
	if s.l.rough != nil {
		s.slow = []float32{1}
		least := 1.0
		for _, part := range s.l.parts {
			f := s.o.OffPath / part
			s.slow = append(s.slow, float32(f))
			least, slowest = min(least, f), max(slowest, f)
		}
		fast *= least
	}
	// A hair less, so that rounding never puts a step's end into the bucket it starts from.
	s.shift = float32(shortest * fast * (1 - 1e-5))
	s.queue.init(float64(s.shift), longest*max(s.off.slow, float64(s.unknown[1]))*slowest)
	s.want()
	for _, k := range s.net.roads {
		if c := &s.cells[s.nodes+k]; c.secs > 0 {
			c.secs = 0
			s.queue.push(s.nodes+k, 0)
		}
	}
}

// want marks the four cells around each place that is asked for.
func (s *search) want() {
	g := s.l.grid
	if len(s.o.Places) == 0 || g.Cols < 2 || g.Rows < 2 {
		return
	}
	s.wanted = make([]bool, s.nodes)
	for _, p := range s.o.Places {
		i, j, _, _, ok := g.around(p)
		if !ok {
			continue
		}
		for k := range 4 {
			if w := &s.wanted[s.l.index(i+k%2, j+k/2)]; !*w {
				*w = true
				s.open++
			}
		}
	}
}

func (s *search) run(ctx context.Context) error {
	total := float64(s.l.grid.Cols * s.l.grid.Rows)
	done, asked := 0, 0
	for {
		now := s.queue.now
		list := s.queue.next()
		// A settled cell is final once its bucket is left.
		if list == nil || s.wanted != nil && s.open == 0 && s.queue.now != now {
			return nil
		}
		done += s.spread(list)
		s.queue.recycle(list)
		if done-asked >= 1<<16 {
			asked = done
			if err := ctx.Err(); err != nil {
				return err
			}
			if s.o.Progress != nil {
				s.o.Progress(min(float64(done)/total, 1))
			}
		}
	}
}

// spread settles the cells and nodes of one bucket and improves their neighbours.
func (s *search) spread(list []int32) (done int) {
	cells, from, closed, head := s.cells, s.from, s.l.closed, s.net.head
	slow, rough := s.slow, s.l.rough
	for _, i := range list {
		if from[i]&doneBit != 0 {
			continue
		}
		if s.queue.early(cells[i].secs) {
			s.queue.push(i, cells[i].secs)
			continue
		}
		from[i] |= doneBit
		if i >= s.nodes {
			s.spreadNode(i - s.nodes)
			continue
		}
		done++
		if s.wanted != nil && s.wanted[i] {
			s.wanted[i] = false
			s.open--
		}
		here := cells[i]
		flag := from[i] & estimateBit
		reject := here.secs + s.shift
		st := &s.rows[uint32(i)/uint32(s.l.stride)]
		var shut uint16
		if closed != nil {
			shut = closed[i]
		}
		for d := range s.dirs {
			n := i + s.offset[d]
			c := &cells[n]
			if c.secs <= reject || shut&(1<<d) != 0 {
				continue
			}
			slope := (here.height - c.height) * st.inverse[d]
			if s.o.Outward {
				slope = -slope
			}
			est := flag
			pace := s.unknown[1]
			switch {
			case slope != slope:
				est = estimateBit
			case slope > s.off.limit || slope < -s.off.limit:
				continue
			default:
				if pace = s.off.read(slope); pace != pace {
					pace = s.off.at(slope)
				}
			}
			if slow != nil {
				pace *= (slow[rough[i]] + slow[rough[n]]) / 2
			}
			if t := here.secs + st.length[d]*pace; t < c.secs {
				c.secs = t
				from[n] = uint8(d) ^ 4 | est | from[n]&wayBit
				s.queue.push(n, t)
			}
		}
		if from[i]&wayBit == 0 {
			continue
		}
		for t := head[i]; t != 0; t = s.net.transfers[t-1].next {
			x := &s.net.transfers[t-1]
			if s.walk(i, s.nodes+x.node, x.metres, s.slowAt(i), false) {
				s.parent[x.node] = i
			}
		}
	}
	return done
}

// spreadNode improves what lies around a node of the network.
func (s *search) spreadNode(k int32) {
	for _, l := range s.net.links[s.net.firstLink[k]:s.net.firstLink[k+1]] {
		if s.walk(s.nodes+k, s.nodes+l.to, l.metres, l.slow, true) {
			s.parent[l.to] = s.nodes + k
		}
	}
	for t := s.net.firstTransfer[k]; t < s.net.firstTransfer[k+1]; t++ {
		x := &s.net.transfers[t]
		if s.walk(s.nodes+k, x.cell, x.metres, s.slowAt(x.cell), false) {
			s.via[x.cell] = s.nodes + k
		}
	}
}

// slowAt is how much longer a step takes on the ground of a cell than on open ground.
func (s *search) slowAt(cell int32) float32 {
	if s.slow == nil {
		return 1
	}
	return s.slow[s.l.rough[cell]]
}

// walk improves the time at b by walking from there to a, and reports whether it did; slow is how much longer it
// takes than at the pace on or off ways. Along a way slopes beyond the steepest are priced like it; a transfer that steep is closed.
func (s *search) walk(a, b int32, metres, slow float32, onWay bool) bool {
	here, there := s.cells[a], &s.cells[b]
	if there.secs <= here.secs {
		return false
	}
	est := s.from[a] & estimateBit
	var secs float32
	if metres > 0 {
		slope := (here.height - there.height) / metres
		if s.o.Outward {
			slope = -slope
		}
		limit := s.off.limit
		switch {
		case slope != slope && onWay:
			secs, est = metres*s.unknown[0], estimateBit
		case slope != slope:
			secs, est = metres*s.unknown[1], estimateBit
		case onWay:
			secs = metres * s.on.at(min(max(slope, -limit), limit))
		case slope > limit || slope < -limit:
			return false
		default:
			secs = metres * s.off.at(slope)
		}
	}
	t := here.secs + secs*slow
	if t >= there.secs {
		return false
	}
	there.secs = t
	s.from[b] = none | est | s.from[b]&wayBit
	s.queue.push(b, t)
	return true
}
