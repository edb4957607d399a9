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

// marks puts fords, gates, bridges, tunnels, passes, private stretches and stops on the line.
func (w *work) marks() {
	if w.region != nil {
		for i := range w.region.Nodes {
			w.nodeMarks(&w.region.Nodes[i])
		}
		w.wayMarks()
	}
	for _, st := range w.stops {
		s := w.s.Samples[st.sample]
		detail := ""
		if st.Night {
			detail = "night"
		}
		w.s.Marks = append(w.s.Marks, geo.Mark{Kind: geo.MarkStop, DistanceM: st.m, At: orb.Point{s.Lon, s.Lat}, Name: st.Name, Detail: detail})
	}
	slices.SortStableFunc(w.s.Marks, func(a, b geo.Mark) int {
		return cmp.Or(cmp.Compare(a.DistanceM, b.DistanceM), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.OSM, b.OSM))
	})
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

// wayMarks marks each run of samples on a ford, bridge, tunnel or private way by its middle (a private
// stretch by its beginning).
func (w *work) wayMarks() {
	run := func(kind geo.MarkKind, is func(way int32) (string, bool), middle bool) {
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
			at := i
			if middle {
				at = (i + j) / 2
			}
			way := &w.region.Ways[w.found[at].Way]
			s := w.s.Samples[at]
			w.s.Marks = append(w.s.Marks, geo.Mark{Kind: kind, DistanceM: s.DistanceM, At: orb.Point{s.Lon, s.Lat},
				Name: way.Tags.Get("name"), Detail: detail, OSM: way.ID})
			i = j + 1
		}
	}
	tagged := func(key string) func(int32) (string, bool) {
		return func(way int32) (string, bool) {
			t := w.region.Ways[way].Tags
			return key + "=" + t.Get(key), t.Yes(key)
		}
	}
	run(geo.MarkFord, tagged("ford"), true)
	run(geo.MarkBridge, tagged("bridge"), true)
	run(geo.MarkTunnel, tagged("tunnel"), true)
	run(geo.MarkPrivate, func(way int32) (string, bool) {
		v := w.region.Ways[way].Tags.MotorAccess()
		switch osm.ParseAccess(v) {
		case osm.Private, osm.Forbidden, osm.Trades:
			return "access=" + v, true
		}
		return "", false
	}, false)
}
