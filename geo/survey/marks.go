package survey

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/index"
	"lastroad/geo/osm"
)

const (
	// onLineM is how near to the line a node of a way that the route follows must lie to be on it, metres:
	// a little more than the scatter that matching allows. Judgement.
	onLineM = 30.0
	// offLineM is the same for a node where the route follows no way.
	offLineM = 15.0
	// passM is the same for mountain passes, which are mapped beside the road as often as on it.
	passM = 60.0
	// againM: a second pass of the same node counts when the route came this far in between, metres.
	againM = 200.0
)

// routeTrees are the pieces of the route itself, one tree a chunk; piece k lies between sample from+k and
// the next one.
func (w *work) routeTrees() []*index.Tree {
	if w.lines != nil {
		return w.lines
	}
	w.lines = make([]*index.Tree, len(w.chunks))
	for c := range w.chunks {
		ch := &w.chunks[c]
		var segs []index.Seg
		for i := ch.from; i < ch.to; i++ {
			j := min(i+1, len(w.s.Samples)-1)
			ax, ay := ch.plane.ToXY(orb.Point{w.s.Samples[i].Lon, w.s.Samples[i].Lat})
			bx, by := ch.plane.ToXY(orb.Point{w.s.Samples[j].Lon, w.s.Samples[j].Lat})
			segs = append(segs, index.Seg{AX: ax, AY: ay, BX: bx, BY: by})
		}
		w.lines[c] = index.Build(segs)
	}
	return w.lines
}

// passing is a moment at which the route passes a place.
type passing struct {
	sample int
	off    float64
	m      float64 // along the route
}

// passings finds every time that the route comes within reach of a place.
func (w *work) passings(p orb.Point, reach float64) []passing {
	var near []passing
	for c, t := range w.routeTrees() {
		ch := &w.chunks[c]
		x, y := ch.plane.ToXY(p)
		if x < ch.box[0]-2*reach || x > ch.box[2]+2*reach || y < ch.box[1]-2*reach || y > ch.box[3]+2*reach {
			continue
		}
		t.Within(x, y, reach, func(seg int, d, px, py float64) bool {
			i := ch.from + seg
			s := t.Seg(seg)
			near = append(near, passing{i, d, w.s.Samples[i].DistanceM + math.Hypot(px-s.AX, py-s.AY)})
			return true
		})
	}
	slices.SortFunc(near, func(a, b passing) int { return cmp.Compare(a.m, b.m) })
	var out []passing
	for _, p := range near {
		if n := len(out); n > 0 && p.m-out[n-1].m < againM {
			if p.off < out[n-1].off {
				out[n-1] = p
			}
			continue
		}
		out = append(out, p)
	}
	return out
}

// regionMarks puts fords, gates, bridges, tunnels, passes and private stretches on the line.
func (w *work) regionMarks() {
	if w.region != nil {
		for i := range w.region.Nodes {
			w.nodeMarks(&w.region.Nodes[i])
		}
		w.wayMarks()
	}
}

// marks puts the stops on the line and sorts all marks.
func (w *work) marks() {
	for _, st := range w.stops {
		s := w.s.Samples[st.sample]
		detail := ""
		if st.Night {
			detail = "night"
		}
		w.s.Marks = append(w.s.Marks, geo.Mark{Kind: geo.MarkStop, DistanceM: st.m, At: orb.Point{s.Lon, s.Lat}, Name: st.Name, Detail: detail, WaterL: st.WaterL, Fuel: st.Fuel})
	}
	slices.SortStableFunc(w.s.Marks, byPlace)
}

func byPlace(a, b geo.Mark) int {
	return cmp.Or(cmp.Compare(a.DistanceM, b.DistanceM), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.OSM, b.OSM))
}

func (w *work) nodeMarks(n *osm.Node) {
	var kind geo.MarkKind
	reach := onLineM
	switch n.Kind {
	case osm.NodeFord:
		kind = geo.MarkFord
	case osm.NodeGate, osm.NodeBlock:
		kind = geo.MarkGate
	case osm.NodePass:
		kind, reach = geo.MarkPass, passM
	default:
		return
	}
	for _, p := range w.passings(n.At, reach) {
		if n.Kind != osm.NodePass && !w.onWay(n, p) {
			continue
		}
		w.s.Marks = append(w.s.Marks, geo.Mark{Kind: kind, DistanceM: p.m, At: n.At, Name: n.Tags.Get("name"), Detail: markTag(n.Tags), OSM: n.ID})
	}
}

// onWay reports whether the route, where it passes the node, follows a way that the node is part of, or
// follows no way and runs over it.
func (w *work) onWay(n *osm.Node, p passing) bool {
	bare := true
	for i := max(0, p.sample-1); i <= min(len(w.found)-1, p.sample+2); i++ {
		if f := w.found[i].Way; f >= 0 {
			bare = false
			if _, ok := slices.BinarySearch(n.Ways, f); ok {
				return true
			}
		}
	}
	return bare && p.off <= offLineM
}

func markTag(t osm.Tags) string {
	for _, k := range []string{"ford", "barrier", "mountain_pass", "natural"} {
		if v := t.Get(k); v != "" {
			return k + "=" + v
		}
	}
	return ""
}

// wayMarks marks fords, bridges and tunnels that are ways by their middle, and private stretches by their
// beginning.
func (w *work) wayMarks() {
	for _, m := range []struct {
		kind geo.MarkKind
		key  string
	}{{geo.MarkFord, "ford"}, {geo.MarkBridge, "bridge"}, {geo.MarkTunnel, "tunnel"}} {
		w.structures(m.kind, m.key)
	}
	run := func(kind geo.MarkKind, is func(way int32) (string, bool)) {
		for i := 0; i < len(w.found); {
			if w.found[i].Way < 0 {
				i++
				continue
			}
			detail, ok := is(w.found[i].Way)
			if !ok {
				i++
				continue
			}
			j := i
			for j+1 < len(w.found) && w.found[j+1].Way >= 0 {
				if _, ok := is(w.found[j+1].Way); !ok {
					break
				}
				j++
			}
			way := &w.region.Ways[w.found[i].Way]
			s := w.s.Samples[i]
			w.s.Marks = append(w.s.Marks, geo.Mark{Kind: kind, DistanceM: s.DistanceM, At: orb.Point{s.Lon, s.Lat},
				Name: way.Tags.Get("name"), Detail: detail, OSM: way.ID})
			i = j + 1
		}
	}
	run(geo.MarkPrivate, func(way int32) (string, bool) {
		v := w.region.Ways[way].Tags.MotorAccess()
		switch osm.ParseAccess(v) {
		case osm.Private, osm.Forbidden, osm.Trades:
			return "access=" + v, true
		}
		return "", false
	})
}

// structures marks every time that the route passes over a way with the tag. Most bridges are shorter than
// a step of the samples, so the way itself is looked for along the route, not only under the samples: the
// route takes it when it passes its middle and, nearby, follows it or a way that is joined to one of its ends.
func (w *work) structures(kind geo.MarkKind, key string) {
	for i := range w.region.Ways {
		r := &w.region.Ways[i]
		if !r.Tags.Yes(key) {
			continue
		}
		mid, half := middle(r.Line)
		for _, p := range w.passings(mid, onLineM) {
			if !w.takes(int32(i), p, half) {
				continue
			}
			w.s.Marks = append(w.s.Marks, geo.Mark{Kind: kind, DistanceM: p.m, At: mid, Name: r.Tags.Get("name"),
				Detail: key + "=" + r.Tags.Get(key), OSM: r.ID})
		}
	}
}

// middle is the middle of a line and half its length.
func middle(line orb.LineString) (p orb.Point, halfM float64) {
	cum := geo.Cumulative(nil, line)
	halfM = cum[len(cum)-1] / 2
	for i := 1; i < len(cum); i++ {
		if cum[i] >= halfM {
			t := 0.0
			if l := cum[i] - cum[i-1]; l > 0 {
				t = (halfM - cum[i-1]) / l
			}
			a, b := line[i-1], line[i]
			return orb.Point{geo.WrapLon(a[0] + t*geo.LonDiff(a[0], b[0])), a[1] + t*(b[1]-a[1])}, halfM
		}
	}
	return line[0], halfM
}

// takes reports whether the route goes over a way whose middle it passes: the sample there lies on it, or
// the samples before and behind lie on it or on ways joined to its two ends.
func (w *work) takes(way int32, p passing, half float64) bool {
	n := len(w.found)
	if w.found[p.sample].Way == way || p.sample+1 < n && w.found[p.sample+1].Way == way {
		return true
	}
	ends := w.region.Ways[way].Nodes
	first, last := ends[0], ends[len(ends)-1]
	side := func(from, step int) (atFirst, atLast bool) {
		for k, i := 0, from; k <= 1+int(half/w.opts.StepM) && i >= 0 && i < n; k, i = k+1, i+step {
			f := w.found[i].Way
			if f < 0 {
				continue
			}
			nodes := w.region.Ways[f].Nodes
			atFirst = atFirst || slices.Contains(nodes, first)
			atLast = atLast || slices.Contains(nodes, last)
		}
		return
	}
	bf, bl := side(p.sample, -1)
	af, al := side(p.sample+1, 1)
	return bf && al || bl && af
}
