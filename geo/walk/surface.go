package walk

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// Options say how the surface is made; the zero value is the usual way.
type Options struct {
	// Pace is the rule on ways; nil takes Tobler.
	Pace Pace
	// OffPath is the part of the speed on a way that is walked off it, above 0 and at most 1; 0 takes OffPath.
	OffPath float64
	// MaxSlope is the steepest step allowed off ways, rise over run; 0 takes MaxSlope. Along ways the
	// grid's slope is no bar, since ways are benched; it is priced like MaxSlope where it is steeper.
	MaxSlope float64
	// EightOnly leaves the knight's moves out: a third faster, but lines between the eight directions
	// come out up to 8.2 % too long instead of 2.7 %.
	EightOnly bool
	// Outward walks away from the road instead of towards it, to compare with other programs.
	Outward bool
	// Progress, when set, is told now and then which part of the cells is done, 0..1.
	Progress func(part float64)
}

// ErrNoRoad is given by Surface when no road to reach touches the grid.
var ErrNoRoad = errors.New("no maintained road lies within the ground searched")

// cell is what the search reads of a neighbour, side by side for the cache.
type cell struct{ height, secs float32 }

const (
	doneBit     = 0x80 // in Result.from: the time is final
	estimateBit = 0x40 // the way out passes ground without heights
	dirBits     = 0x1f
)

// Surface spreads from every road of the land at once and finds for each cell the least seconds of
// walking to a road. It works through cells in the order of time in buckets as wide as the shortest step takes
// (Dial 1969): no step leads into the bucket being worked on, so every cell is settled once and
// the answer is that of Dijkstra's algorithm. It gives ErrNoRoad, the error of ctx, or an error for options
// that make no sense.
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
	if len(l.roads) == 0 {
		return nil, ErrNoRoad
	}
	on := newPaceTable(o.Pace, o.MaxSlope)
	off := newPaceTable(func(s float64) float64 { return o.Pace(s) / o.OffPath }, o.MaxSlope)
	if !(on.fast > 0) || math.IsInf(off.slow, 0) || math.IsNaN(off.slow) {
		return nil, fmt.Errorf("the pace rule gives %g to %g s/m; it must be positive and finite", on.fast, off.slow)
	}
	s := search{l: l, o: o, on: on, off: off, edges: l.settledEdges()}
	s.prepare()
	if err := s.run(ctx); err != nil {
		return nil, err
	}
	return &Result{Grid: l.grid, stride: l.stride, cells: s.cells, from: s.from}, nil
}

type search struct {
	l       *Land
	o       Options
	on, off paceTable
	edges   []uint32
	cells   []cell
	from    []uint8
	rows    []rowSteps
	offset  [sixteen]int32
	dirs    int
	shift   float32 // least seconds of any step
	queue   buckets
	unknown [2]float32 // pace on unknown ground: on ways, off ways
}

// rowSteps holds the lengths of the steps from one row and their inverses.
type rowSteps struct{ length, inverse lengths }

func (s *search) prepare() {
	g, stride := s.l.grid, s.l.stride
	n := stride * (g.Rows + 2*rim)
	s.cells, s.from = make([]cell, n), make([]uint8, n)
	for i := range s.cells {
		s.cells[i].secs = float32(math.Inf(-1)) // the rim can never be improved
	}
	inf := float32(math.Inf(1))
	for r := range g.Rows {
		row := s.cells[s.l.index(0, r):][:g.Cols]
		for c, h := range g.HeightM[r*g.Cols:][:g.Cols] {
			row[c] = cell{h, inf}
		}
	}
	for i := range s.from {
		s.from[i] = none
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
	fast := s.off.fast
	if s.l.hasWay {
		fast = s.on.fast
	}
	s.unknown = [2]float32{float32(s.o.Pace(UnknownSlope)), float32(s.o.Pace(UnknownSlope) / s.o.OffPath)}
	fast = min(fast, float64(s.unknown[0]))
	// A hair less, so that rounding never puts a step's end into the bucket it starts from.
	s.shift = float32(shortest * fast * (1 - 1e-5))
	s.queue.init(float64(s.shift), longest*max(s.off.slow, float64(s.unknown[1])))
	for _, r := range s.l.roads {
		// From the middle of the cell to the road itself, on level ground.
		t := r.metres * float32(s.o.Pace(0)/s.o.OffPath)
		if c := &s.cells[r.cell]; t < c.secs {
			c.secs = t
			s.queue.push(r.cell, t)
		}
	}
}

func (s *search) run(ctx context.Context) error {
	total := float64(s.l.grid.Cols * s.l.grid.Rows)
	done, asked := 0, 0
	for {
		list := s.queue.next()
		if list == nil {
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
				s.o.Progress(float64(done) / total)
			}
		}
	}
}

// spread settles the cells of one bucket and improves their neighbours.
func (s *search) spread(list []int32) (done int) {
	cells, from := s.cells, s.from
	for _, i := range list {
		if from[i]&doneBit != 0 {
			continue
		}
		if s.queue.early(cells[i].secs) {
			s.queue.push(i, cells[i].secs)
			continue
		}
		from[i] |= doneBit
		done++
		here := cells[i]
		flag := from[i] & estimateBit
		reject := here.secs + s.shift
		st := &s.rows[uint32(i)/uint32(s.l.stride)]
		var edge uint32
		if s.edges != nil {
			edge = s.edges[i]
		}
		for d := range s.dirs {
			n := i + s.offset[d]
			c := &cells[n]
			if c.secs <= reject || edge&(1<<d) != 0 {
				continue
			}
			slope := (here.height - c.height) * st.inverse[d]
			if s.o.Outward {
				slope = -slope
			}
			onWay := edge&(1<<(16+d)) != 0
			var pace float32
			est := flag
			switch table := &s.off; {
			case slope != slope:
				est = estimateBit
				pace = s.unknown[1]
				if onWay {
					pace = s.unknown[0]
				}
			case onWay:
				pace = s.on.at(min(max(slope, -s.on.limit), s.on.limit))
			case slope > table.limit || slope < -table.limit:
				continue
			default:
				if pace = table.read(slope); pace != pace {
					pace = table.at(slope)
				}
			}
			if t := here.secs + st.length[d]*pace; t < c.secs {
				c.secs = t
				from[n] = uint8(d) ^ 4 | est
				s.queue.push(n, t)
			}
		}
	}
	return done
}
