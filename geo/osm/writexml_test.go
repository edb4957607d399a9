package osm

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"fmt"
	"math"
	"slices"
	"strconv"

	posm "github.com/paulmach/osm"

	"lastroad/geo/osm/osmtest"
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

// oracleOf turns test blocks into what the oracle would have read.
func oracleOf(nodes, ways, rels osmtest.Block) oracle {
	o := oracle{nodes: map[posm.NodeID]*posm.Node{}}
	tags := func(in []osmtest.Tag) (out posm.Tags) {
		for _, t := range in {
			out = append(out, posm.Tag{Key: t.Key, Value: t.Value})
		}
		return out
	}
	for _, n := range nodes.Nodes {
		o.nodes[posm.NodeID(n.ID)] = &posm.Node{ID: posm.NodeID(n.ID), Lon: float64(n.Lon) / 1e7, Lat: float64(n.Lat) / 1e7, Tags: tags(n.Tags)}
	}
	for _, w := range ways.Ways {
		x := &posm.Way{ID: posm.WayID(w.ID), Tags: tags(w.Tags)}
		for _, r := range w.Refs {
			x.Nodes = append(x.Nodes, posm.WayNode{ID: posm.NodeID(r)})
		}
		o.ways = append(o.ways, x)
	}
	for _, r := range rels.Relations {
		x := &posm.Relation{ID: posm.RelationID(r.ID), Tags: tags(r.Tags)}
		for _, m := range r.Members {
			x.Members = append(x.Members, posm.Member{Type: []posm.Type{posm.TypeNode, posm.TypeWay, posm.TypeRelation}[m.Type], Ref: m.Ref, Role: m.Role})
		}
		o.rels = append(o.rels, x)
	}
	return o
}

// blocksOf turns what the oracle read into the elements of test files, each sorted by id.
func blocksOf(o oracle) (nodes []osmtest.Node, ways []osmtest.Way, rels []osmtest.Relation) {
	tags := func(in posm.Tags) (out []osmtest.Tag) {
		for _, t := range in {
			out = append(out, osmtest.Tag{Key: t.Key, Value: t.Value})
		}
		return out
	}
	for id, n := range o.nodes {
		nodes = append(nodes, osmtest.Node{ID: int64(id), Lon: int64(math.Round(n.Lon * 1e7)), Lat: int64(math.Round(n.Lat * 1e7)), Tags: tags(n.Tags)})
	}
	slices.SortFunc(nodes, func(a, b osmtest.Node) int { return cmp.Compare(a.ID, b.ID) })
	for _, w := range o.ways {
		x := osmtest.Way{ID: int64(w.ID), Tags: tags(w.Tags)}
		for _, n := range w.Nodes {
			x.Refs = append(x.Refs, int64(n.ID))
		}
		ways = append(ways, x)
	}
	kinds := map[posm.Type]int{posm.TypeNode: 0, posm.TypeWay: 1, posm.TypeRelation: 2}
	for _, r := range o.rels {
		x := osmtest.Relation{ID: int64(r.ID), Tags: tags(r.Tags)}
		for _, m := range r.Members {
			x.Members = append(x.Members, osmtest.Member{Ref: m.Ref, Type: kinds[m.Type], Role: m.Role})
		}
		rels = append(rels, x)
	}
	return nodes, ways, rels
}
