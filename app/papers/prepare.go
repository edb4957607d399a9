package papers

import (
	"context"
	"fmt"
	"sort"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo/osm"
	"lastroad/risk"
	"lastroad/risk/recovery"
)

// Prepare works out what the papers need beside the document: the map, the judgement with and without
// the second vehicle, the load list, the recovery cards. made is the date that stands on the papers.
func Prepare(ctx context.Context, d *trip.Document, made time.Time, size string) (*Set, error) {
	t, err := trip.Builtin()
	if err != nil {
		return nil, err
	}
	if size == "" {
		size = d.Plan.Papers.Size
	}
	if size == "" {
		size = "A4"
	}
	s := &Set{Doc: d, Made: made, Size: size, DPI: 144, Load: loadRowsOf(d.Plan.Trip.Party, t.Catalogue), Calls: callsOf(d.Plan.Trip.Party, t.Catalogue)}
	s.Scene = Scene(d, func(w *osm.Way) bool { return t.Survey.Ways.Kept(w.Tags) })
	if d.Plan.Trip.Partner != nil {
		other := d.Plan.Trip
		other.Together = !other.Together
		if s.Other, err = risk.Judge(ctx, d.Survey, other, t.Catalogue, risk.Options{Quick: true}); err != nil {
			return nil, err
		}
		if d.Plan.Trip.Together {
			s.Calls = append(s.Calls, callsOf(*d.Plan.Trip.Partner, t.Catalogue)...)
		}
	}
	s.Cards = cardsOf(d.Judgement)
	for _, f := range t.Figures() {
		s.Numbers = append(s.Numbers, Assumption{f.Path, f.Unit, string(f.From), f.Source, f.Low, f.Central, f.High})
	}
	return s, nil
}

// Scene is the map of a document: its ground with shading and contours, and its route.
func Scene(d *trip.Document, kept func(*osm.Way) bool) *plot.Scene {
	g := plot.FromRegion(d.Region, kept)
	if d.Region == nil && d.Survey != nil {
		g.Help = d.Survey.Help
	}
	// Contours that cannot be drawn leave a map without them; nothing else depends on them.
	_ = plot.AddHeights(g, d.Heights, shadeBox(d))
	return plot.NewScene(d.Survey, g)
}

// shadeBox is the box to shade: the route's with room to look around, within the heights that are known.
func shadeBox(d *trip.Document) orb.Bound {
	empty := orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	if d.Heights == nil || len(d.Route.Line) == 0 {
		return empty
	}
	b := d.Route.Line.Bound()
	if d.Region != nil && !d.Region.Box.IsEmpty() {
		b = b.Union(d.Region.Box)
	}
	const room = 0.1 // degrees, about 10 km
	b = b.Pad(room)
	tiles := empty
	for _, t := range d.Heights.Tiles() {
		if tiles.IsEmpty() {
			tiles = t.Bound()
		} else {
			tiles = tiles.Union(t.Bound())
		}
	}
	if tiles.IsEmpty() {
		return empty
	}
	return orb.Bound{Min: orb.Point{max(b.Min[0], tiles.Min[0]), max(b.Min[1], tiles.Min[1])},
		Max: orb.Point{min(b.Max[0], tiles.Max[0]), min(b.Max[1], tiles.Max[1])}}
}

// cardsOf makes one card for each different rig and state that the legs call for.
func cardsOf(j *risk.Judgement) []Card {
	type kind struct{ rig, state string }
	legs := map[kind][]int{}
	first := map[kind]*risk.PullNeed{}
	for i, l := range j.Legs {
		p := l.Needs.Pull
		if p == nil || p.Rig == "" {
			continue
		}
		k := kind{p.Rig, p.State}
		legs[k] = append(legs[k], i+1)
		if q := first[k]; q == nil || p.RequiredKN.Central > q.RequiredKN.Central {
			first[k] = p
		}
	}
	var keys []kind
	for k := range first {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool { return legs[keys[i]][0] < legs[keys[j]][0] })
	var out []Card
	for _, k := range keys {
		p := first[k]
		c := Card{Title: p.RigTitle, State: fmt.Sprintf("%s: %s kN. %s", k.state, dec(p.RequiredKN.Central, 1), legList(legs[k])), Steps: p.Steps, Cautions: p.Cautions}
		if p.Working != nil {
			if d := p.Working.Diagram(); len(d.Nodes) > 0 {
				c.Draw = drawRig(d)
			}
		}
		out = append(out, c)
	}
	return out
}

func drawRig(d recovery.Diagram) func(plot.Canvas) {
	return func(c plot.Canvas) { plot.DrawRig(c, d, plot.Light(), 1) }
}

func legList(n []int) string {
	if len(n) == 1 {
		return fmt.Sprintf("Leg %d.", n[0])
	}
	var t []string
	for _, v := range n {
		t = append(t, fmt.Sprint(v))
	}
	return "Legs " + strings.Join(t, ", ") + "."
}
