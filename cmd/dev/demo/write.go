package demo

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"
)

// Files makes the demo's files: the region as OpenStreetMap XML (gzip), the heights as a zipped
// 3 arc-second tile, and the route as GPX. Keys are file names.
func Files() map[string][]byte {
	net := build()
	return map[string][]byte{
		"region.osm.gz":   net.region(),
		"S32W109.hgt.zip": heights(),
		"route.gpx":       net.gpx(),
	}
}

type node struct {
	at   xy
	tags tags
}

type network struct {
	nodes []node // id = index + 1
	index map[xy]int
	ways  map[string][]int
}

func (n *network) add(p xy) int {
	if i, ok := n.index[p]; ok {
		return i
	}
	n.nodes = append(n.nodes, node{at: p})
	n.index[p] = len(n.nodes) - 1
	return len(n.nodes) - 1
}

func build() *network {
	n := &network{index: map[xy]int{}, ways: map[string][]int{}}
	for i, w := range wayTable {
		for _, p := range w.trace(int64(i)) {
			n.ways[w.key] = append(n.ways[w.key], n.add(p))
		}
	}
	for _, t := range onWay {
		best, far := -1, math.Inf(1)
		for _, i := range n.ways[t.way] {
			if d := math.Hypot(n.nodes[i].at.x-t.near.x, n.nodes[i].at.y-t.near.y); d < far {
				best, far = i, d
			}
		}
		n.nodes[best].tags = append(n.nodes[best].tags, t.tags...)
	}
	return n
}

func (n *network) region() []byte {
	var ways strings.Builder
	id := 0
	put := func(refs []int, t tags) {
		id++
		fmt.Fprintf(&ways, " <way id=\"%d\" version=\"1\">\n", id)
		for _, r := range refs {
			fmt.Fprintf(&ways, "  <nd ref=\"%d\"/>\n", r+1)
		}
		writeTags(&ways, t)
		ways.WriteString(" </way>\n")
	}
	for _, w := range wayTable {
		put(n.ways[w.key], w.tags)
	}
	for _, a := range areaTable() {
		var refs []int
		for _, p := range a.ring {
			refs = append(refs, n.add(p))
		}
		put(append(refs, refs[0]), a.tags)
	}
	river := way{points: veldaRiver, wiggle: 0.12}
	var refs []int
	for _, p := range river.trace(90) {
		refs = append(refs, n.add(p))
	}
	put(refs, tags{{"waterway", "river"}, {"name", "Velda River"}})
	for i, line := range [][]xy{
		{{66, 66}, {62.4, 63.6}, {60.5, 61.5}},
		{{36, 73}, {41.5, 66.4}, {46.5, 61.8}},
		{{28.6, 79}, {24.6, 74.8}, {18.4, 72}, {10, 71}},
		{{34.5, 84}, {38.6, 89}, {41.2, 93.4}},
	} {
		var refs []int
		for _, p := range (way{points: line, wiggle: 0.1}).trace(int64(91 + i)) {
			refs = append(refs, n.add(p))
		}
		put(refs, tags{{"waterway", "stream"}, {"intermittent", "yes"}})
	}
	for _, s := range spotTable() {
		n.nodes[n.add(s.at)].tags = s.tags
	}

	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<osm version=\"0.6\" generator=\"lastroad demo: an invented region\">\n")
	fmt.Fprintf(&b, " <bounds minlat=\"%.1f\" minlon=\"%.1f\" maxlat=\"%.1f\" maxlon=\"%.1f\"/>\n", south, west, south+1, west+1)
	for i, nd := range n.nodes {
		fmt.Fprintf(&b, " <node id=\"%d\" version=\"1\" lat=\"%.7f\" lon=\"%.7f\"", i+1, nd.at.lat(), nd.at.lon())
		if len(nd.tags) == 0 {
			b.WriteString("/>\n")
			continue
		}
		b.WriteString(">\n")
		writeTags(&b, nd.tags)
		b.WriteString(" </node>\n")
	}
	b.WriteString(ways.String())
	b.WriteString("</osm>\n")

	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		panic(err) // the level is a constant
	}
	z.Write([]byte(b.String()))
	z.Close()
	return out.Bytes()
}

func writeTags(b *strings.Builder, t tags) {
	for _, kv := range t {
		b.WriteString("  <tag k=\"")
		xml.EscapeText(b, []byte(kv[0]))
		b.WriteString("\" v=\"")
		xml.EscapeText(b, []byte(kv[1]))
		b.WriteString("\"/>\n")
	}
}

// heights is the tile: rows from the north, two-byte big-endian metres.
func heights() []byte {
	raw := make([]byte, 0, posts*posts*2)
	for row := range posts {
		for col := range posts {
			p := xy{float64(col) / (posts - 1) * kmPerLon, float64(posts-1-row) / (posts - 1) * kmPerLat}
			raw = binary.BigEndian.AppendUint16(raw, uint16(int16(math.Round(height(p)))))
		}
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	w, err := z.CreateHeader(&zip.FileHeader{Name: "S32W109.hgt", Method: zip.Deflate, Modified: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		panic(err) // a bytes.Buffer does not fail
	}
	w.Write(raw)
	z.Close()
	return out.Bytes()
}

// line is the driven line: the nodes of the ways in order, as a hand-held receiver would have
// recorded them (2.5 m of scatter on each axis).
func (n *network) line() []xy {
	var out []xy
	for _, key := range routeWays {
		key, home := strings.CutSuffix(key, "#home")
		refs := n.ways[key]
		for i, r := range refs {
			p := n.nodes[r].at
			if home && p.x < copperTrn.x {
				continue // the last way is joined half-way along
			}
			if i == 0 && len(out) > 0 || home && p == copperTrn && len(out) > 0 {
				continue
			}
			out = append(out, p)
		}
	}
	rng := rand.New(rand.NewPCG(seed, 7))
	for i := range out {
		out[i].x += rng.NormFloat64() * 0.0025
		out[i].y += rng.NormFloat64() * 0.0025
	}
	return out
}

func (n *network) gpx() []byte {
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"lastroad demo: an invented trip\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n")
	b.WriteString(" <metadata><name>Isker and Hollin Gap loop</name><desc>Invented for demonstration. No such place exists.</desc></metadata>\n")
	for _, w := range []struct {
		p    xy
		name string
	}{{ombrel, "Ombrel"}, {thistle, "Thistle Camp"}, {riverWest, "River Camp"}} {
		fmt.Fprintf(&b, " <wpt lat=\"%.6f\" lon=\"%.6f\"><name>%s</name></wpt>\n", w.p.lat(), w.p.lon(), w.name)
	}
	b.WriteString(" <trk><name>Isker and Hollin Gap loop</name><trkseg>\n")
	for _, p := range n.line() {
		fmt.Fprintf(&b, "  <trkpt lat=\"%.6f\" lon=\"%.6f\"><ele>%.0f</ele></trkpt>\n", p.lat(), p.lon(), height(p))
	}
	b.WriteString(" </trkseg></trk>\n</gpx>\n")
	return []byte(b.String())
}
