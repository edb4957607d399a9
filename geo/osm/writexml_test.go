package osm

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"slices"
	"strconv"

	posm "github.com/paulmach/osm"
)

// writeXML writes what the oracle read as OSM XML, sorted by id; with last, nodes come after ways.
func writeXML(o oracle, last bool) []byte {
	var b bytes.Buffer
	b.WriteString("<?xml version='1.0' encoding='UTF-8'?>\n<osm version=\"0.6\">\n<!-- a comment with <tags> -->\n")
	tags := func(t posm.Tags) {
		for _, x := range t {
			b.WriteString("<tag k=\"")
			xml.EscapeText(&b, []byte(x.Key))
			b.WriteString("\" v=\"")
			xml.EscapeText(&b, []byte(x.Value))
			b.WriteString("\"/>\n")
		}
	}
	nodes := func() {
		ids := make([]posm.NodeID, 0, len(o.nodes))
		for id := range o.nodes {
			ids = append(ids, id)
		}
		slices.Sort(ids)
		for _, id := range ids {
			n := o.nodes[id]
			fmt.Fprintf(&b, "<node id='%d' lat=\"%s\" lon=\"%s\"", id, strconv.FormatFloat(n.Lat, 'f', 7, 64), strconv.FormatFloat(n.Lon, 'f', 7, 64))
			if len(n.Tags) == 0 {
				b.WriteString("/>\n")
				continue
			}
			b.WriteString(">\n")
			tags(n.Tags)
			b.WriteString("</node>\n")
		}
	}
	if !last {
		nodes()
	}
	for _, w := range o.ways {
		fmt.Fprintf(&b, "<way id=\"%d\">\n", w.ID)
		for _, x := range w.Nodes {
			fmt.Fprintf(&b, "<nd ref=\"%d\"/>\n", x.ID)
		}
		tags(w.Tags)
		b.WriteString("</way>\n")
	}
	if last {
		nodes()
	}
	for _, r := range o.rels {
		fmt.Fprintf(&b, "<relation id=\"%d\">\n", r.ID)
		for _, m := range r.Members {
			fmt.Fprintf(&b, "<member type=\"%s\" ref=\"%d\" role=\"%s\"/>\n", m.Type, m.Ref, m.Role)
		}
		tags(r.Tags)
		b.WriteString("</relation>\n")
	}
	b.WriteString("</osm>\n")
	return b.Bytes()
}
