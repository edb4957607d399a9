package gpx

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// line is one line of a file, its segments one after another.
type line struct {
	kind, name string
	pts        []vertex
	starts     []int // where each segment begins in pts
}

// vertex is a point of a line.
type vertex struct {
	at orb.Point
	h  float64 // NaN unknown
	t  time.Time
}

func (l *line) summary() Line {
	s := Line{Kind: l.kind, Name: l.name, Points: len(l.pts), Segments: len(l.starts)}
	for i := 1; i < len(l.pts); i++ {
		s.LengthM += geo.Distance(l.pts[i-1].at, l.pts[i].at)
	}
	return s
}

// label names a line in a note: `track 2 "Day two"`.
func (f *file) label(i int) string {
	l := &f.lines[i]
	n := 1
	for k := range i {
		if f.lines[k].kind == l.kind {
			n++
		}
	}
	s := fmt.Sprintf("%s %d", l.kind, n)
	if l.name != "" {
		s += fmt.Sprintf(" %q", l.name)
	}
	return s
}

// route makes the route of the chosen lines.
func (f *file) route(choose int) (geo.Route, error) {
	bad := func(reason, remedy string) (geo.Route, error) {
		return geo.Route{}, &geo.InputError{File: f.name, Reason: reason, Remedy: remedy}
	}
	chosen := f.choose(choose)
	if chosen == nil && choose != 0 && choose != All {
		return bad(fmt.Sprintf("there is no line %d, the file holds %d", choose, len(f.lines)), "choose one of them")
	}
	total := 0
	for _, i := range chosen {
		total += len(f.lines[i].pts)
	}
	if total < 2 {
		if n := len(f.waypoints); n > 0 && total == 0 {
			return bad(fmt.Sprintf("no line in the file, only %d single points", n), "export the route as a track")
		}
		return bad("no line with two points in the file", "export the route as a track")
	}

	r := geo.Route{Name: f.title, Waypoints: f.waypoints, Notes: f.notes}
	if name := f.lines[chosen[0]].name; len(chosen) == 1 && name != "" && (r.Name == "" || len(f.lines) > 1) {
		r.Name = name
	}
	if len(f.lines) > 1 {
		r.Notes = append(r.Notes, f.choiceNote(chosen))
	}
	var pts []vertex
	var starts []int
	for _, i := range chosen {
		for _, s := range f.lines[i].starts {
			starts = append(starts, len(pts)+s)
		}
		pts = append(pts, f.lines[i].pts...)
	}
	r.Notes = append(r.Notes, gaps(pts, starts)...)
	pts, notes := clean(pts, f.waypoints)
	r.Notes = append(r.Notes, notes...)
	if len(pts) < 2 {
		return bad("all points of the line lie at one place", "export the route again")
	}
	fill(&r, pts)
	return r, nil
}

// chainGap is the largest distance in metres from the end of one line to the start of the next at which
// lines are taken for one drive cut in pieces (days, or a receiver that was switched off): judgement.
const chainGap = 1000

// choose gives the lines that make the route; nil when the choice names none.
func (f *file) choose(choice int) []int {
	if choice > 0 {
		if choice > len(f.lines) {
			return nil
		}
		return []int{choice - 1}
	}
	if choice < All {
		return nil
	}
	var all []int
	chain := true
	for i := range f.lines {
		l := &f.lines[i]
		if len(l.pts) == 0 || choice == 0 && len(l.pts) < 2 {
			continue
		}
		if len(all) > 0 {
			last := &f.lines[all[len(all)-1]]
			if l.kind != last.kind {
				break // routes are often the plan of which the tracks are the record: never both
			}
			chain = chain && geo.Distance(last.pts[len(last.pts)-1].at, l.pts[0].at) <= chainGap
		}
		all = append(all, i)
	}
	if choice == 0 && !chain {
		return all[:1]
	}
	return all
}

// choiceNote says which of several lines were taken.
func (f *file) choiceNote(chosen []int) string {
	label := func(which []int) string {
		var s []string
		for _, i := range which {
			s = append(s, f.label(i))
		}
		return short(s)
	}
	every := make([]int, len(f.lines))
	for i := range every {
		every[i] = i
	}
	switch {
	case len(chosen) == len(f.lines):
		return fmt.Sprintf("The file holds %d lines (%s), joined in this order.", len(f.lines), label(every))
	case len(chosen) == 1:
		return fmt.Sprintf("The file holds %d lines (%s); only %s was taken.", len(f.lines), label(every), f.label(chosen[0]))
	}
	return fmt.Sprintf("The file holds %d lines (%s); joined were %s.", len(f.lines), label(every), label(chosen))
}

// short joins names, at most six of them.
func short(s []string) string {
	if len(s) > 6 {
		s = append(slices.Clone(s[:5]), fmt.Sprintf("and %d more", len(s)-5))
	}
	return strings.Join(s, ", ")
}

// smallGap is the largest distance in metres between two segments that needs no mention: judgement, about
// what a vehicle covers between two recorded points.
const smallGap = 100

// gaps says where segments were joined.
func gaps(pts []vertex, starts []int) []string {
	if len(starts) < 2 {
		return nil
	}
	n, longest := 0, 0.0
	for _, s := range starts[1:] {
		if d := geo.Distance(pts[s-1].at, pts[s].at); d > smallGap {
			n++
			longest = max(longest, d)
		}
	}
	if n == 0 {
		return []string{fmt.Sprintf("%d segments were joined without gaps.", len(starts))}
	}
	return []string{fmt.Sprintf("%d segments were joined; %d gaps between them, the longest of %.1f km, were bridged by straight lines.", len(starts), n, longest/1000)}
}

// fill writes the points into the route; heights and times stay empty when no point has any.
func fill(r *geo.Route, pts []vertex) {
	r.Line = make(orb.LineString, len(pts))
	hasH, hasT, early := false, false, 0
	for i, p := range pts {
		r.Line[i] = p.at
		hasH = hasH || !math.IsNaN(p.h)
		if !p.t.IsZero() && p.t.Before(epoch) {
			pts[i].t = time.Time{}
			early++
		}
		hasT = hasT || !pts[i].t.IsZero()
	}
	if early > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d time stamps before 1980 were left out; the receiver did not know the time.", early))
	}
	if hasH {
		r.HeightM = make([]float64, len(pts))
		for i, p := range pts {
			r.HeightM[i] = p.h
		}
	}
	if hasT {
		r.Time = make([]time.Time, len(pts))
		for i, p := range pts {
			r.Time[i] = p.t
		}
	}
}
