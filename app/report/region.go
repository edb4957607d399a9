package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"lastroad/geo/osm"
)

// Region writes what a region file holds: extent, counts, ways with their ground tags, ground cover, water,
// barriers, places of help, and what was wrong with it.
func Region(w io.Writer, r *osm.Region) error {
	s := r.Stats()
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s\n", strings.Join(r.Sources, ", "))
	if !r.Box.IsEmpty() {
		fmt.Fprintf(b, "extent: %.4f to %.4f degrees north, %.4f to %.4f degrees east\n", r.Box.Min[1], r.Box.Max[1], r.Box.Min[0], r.Box.Max[0])
	}
	if t := s.File.Timestamp; t != "" {
		fmt.Fprintf(b, "state of the data: %s\n", t)
	}
	fmt.Fprintf(b, "elements in the file: %d nodes, %d ways, %d relations\n", s.File.Nodes, s.File.Ways, s.File.Relations)
	fmt.Fprintf(b, "\n%-16s %8s %10s  %s\n", "ways", "count", "km", "without surface, tracktype or smoothness")
	for _, h := range s.Highways {
		bare := 0.0
		if h.Metres > 0 {
			bare = 100 * h.BareM / h.Metres
		}
		fmt.Fprintf(b, "%-16s %8d %10.1f  %.0f %% of the length\n", clip(h.Highway, 16), h.Ways, h.Metres/1000, bare)
	}
	for _, h := range s.Highways {
		if h.Highway != "track" && h.Highway != "path" && h.Highway != "unclassified" {
			continue
		}
		fmt.Fprintf(b, "\ntags of highway=%s\n", h.Highway)
		for _, t := range h.Tagged {
			var vals []string
			for i, v := range t.Values {
				if i == 8 {
					vals = append(vals, fmt.Sprintf("%d more", len(t.Values)-i))
					break
				}
				vals = append(vals, fmt.Sprintf("%s %d", v.Key, v.N))
			}
			wrap(b, fmt.Sprintf("  %-14s %5d ways %8.1f km  ", t.Key, t.Ways, t.Metres/1000), "      ", strings.Join(vals, ", "))
		}
	}
	for _, c := range []struct {
		title string
		list  []osm.Count
	}{{"areas", s.Areas}, {"lines", s.Lines}, {"points on and beside ways", s.Nodes}, {"places of help", s.Help}} {
		var t []string
		for _, v := range c.list {
			t = append(t, fmt.Sprintf("%s %d", v.Key, v.N))
		}
		if len(t) > 0 {
			b.WriteString("\n")
			wrap(b, c.title+": ", "  ", strings.Join(t, ", "))
		}
	}
	if len(r.Notes) > 0 {
		b.WriteString("\n")
		for _, n := range r.Notes {
			wrap(b, "note: ", "  ", n)
		}
	}
	fmt.Fprintf(b, "\n%s\n", strings.Join(r.Credit, "; "))
	return b.Flush()
}
