package mutate

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"lastroad/app/trip"
	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/garble"
)

// kind is one way of damaging one good file.
type kind struct {
	name  string
	file  string // the copy's name
	make  func(rng *rand.Rand) ([]byte, error)
	args  func(copy string) []string // of the judge verb
	whole []byte                     // the good file
	// Of the good file, measured once: processor seconds and peak of the heap in bytes.
	cpu  float64
	heap uint64
}

// Good are the good files that copies are made of.
type Good struct {
	// Watch makes a case that takes too much time or memory a finding.
	Watch bool
	dir   string
	kinds []*kind
}

// NewGood prepares the good files in dir: those of the folder shared where it holds them (an extract and a tile of
// Andorra), else those of the built-in demo. The route is a piece of a few kilometres, so that a case takes a
// fraction of a second.
func NewGood(ctx context.Context, dir, shared string) (*Good, error) {
	g := &Good{dir: dir}
	route, tile, tileName := assets.Demo("route.gpx"), assets.Demo("S32W109.hgt.zip"), "S32W109.hgt"
	var pbf []byte
	if data, err := os.ReadFile(filepath.Join(shared, "data", "andorra-2025-01-19.osm.pbf")); err == nil {
		pbf = data
		if route, err = os.ReadFile(filepath.Join(shared, "data", "andorra-ne-tracks.gpx")); err != nil {
			return nil, err
		}
		tileName = "N42E001.hgt"
		if tile, err = os.ReadFile(filepath.Join(shared, "data", tileName+".zip")); err != nil {
			return nil, err
		}
	}
	route, err := piece(route, 130)
	if err != nil {
		return nil, err
	}
	z, err := zip.NewReader(bytes.NewReader(tile), int64(len(tile)))
	if err != nil {
		return nil, err
	}
	f, err := z.Open(tileName)
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(f)
	if err != nil {
		return nil, err
	}
	routeFile := filepath.Join(dir, "good.gpx")
	if err := os.WriteFile(routeFile, route, 0o644); err != nil {
		return nil, err
	}

	// The saved trip holds route, plan and measurements, and names no other file.
	tileFile := filepath.Join(dir, tileName+".zip")
	if err := os.WriteFile(tileFile, tile, 0o644); err != nil {
		return nil, err
	}
	d, err := trip.Open(ctx, trip.Request{Files: []string{routeFile}, Heights: []string{tileFile}, Quick: true}, nil)
	if err != nil {
		return nil, err
	}
	saved, err := d.Saved()
	if err != nil {
		return nil, err
	}
	saved.Plan.Heights = nil
	saved.Plan.Stops = []trip.Stop{{Name: "night", AtM: 1000, Night: true}}
	saved.Plan.Grounds = []trip.GroundChoice{{FromM: 200, ToM: 700, Ground: geo.Gravel}}
	var trips bytes.Buffer
	if err := saved.Encode(&trips); err != nil {
		return nil, err
	}

	region := func(copy string) []string { return []string{routeFile, "--region", copy, "--corridor", "3"} }
	heights := func(copy string) []string { return []string{routeFile, "--heights", copy} }
	alone := func(copy string) []string { return []string{copy} }
	raws := func(data []byte, text bool) func(*rand.Rand) ([]byte, error) {
		return func(rng *rand.Rand) ([]byte, error) { return garble.Copy(rng, data, text), nil }
	}
	inZip := func(data []byte) func(*rand.Rand) ([]byte, error) {
		return func(rng *rand.Rand) ([]byte, error) { return insideZip(rng, data) }
	}
	g.kinds = []*kind{
		{name: "route", file: "route.gpx", make: raws(route, true), args: alone, whole: route},
		{name: "trip", file: "a.trip", make: raws(trips.Bytes(), false), args: alone, whole: trips.Bytes()},
		{name: "inside the trip", file: "a.trip", make: inZip(trips.Bytes()), args: alone, whole: trips.Bytes()},
		{name: "tile", file: tileName, make: raws(raw, false), args: heights, whole: raw},
		{name: "zipped tile", file: tileName + ".zip", make: raws(tile, false), args: heights, whole: tile},
		{name: "inside the zipped tile", file: tileName + ".zip", make: inZip(tile), args: heights, whole: tile},
	}
	if pbf == nil {
		demo := assets.Demo("region.osm.gz")
		g.kinds = append(g.kinds, &kind{name: "region", file: "region.osm.gz", make: raws(demo, false), args: region, whole: demo})
		return g, g.measure(ctx)
	}
	blobs, err := unpackPBF(pbf)
	if err != nil {
		return nil, fmt.Errorf("the good region: %w", err)
	}
	packed := make([][]byte, len(blobs))
	for i := range blobs {
		packed[i] = packBlob(blobs[i])
	}
	g.kinds = append(g.kinds,
		&kind{name: "region", file: "region.osm.pbf", make: raws(pbf, false), args: region, whole: pbf},
		&kind{name: "inside the region", file: "region.osm.pbf", make: func(rng *rand.Rand) ([]byte, error) { return insidePBF(rng, blobs, packed), nil }, args: region, whole: pbf})
	return g, g.measure(ctx)
}

// piece is the GPX file with its first n track points.
func piece(gpx []byte, n int) ([]byte, error) {
	s := string(gpx)
	at := 0
	for range n {
		i := strings.Index(s[at:], "</trkpt>")
		if i < 0 {
			return nil, fmt.Errorf("the good route has fewer than %d points", n)
		}
		at += i + len("</trkpt>")
	}
	out := s[:at] + "\n</trkseg></trk></gpx>\n"
	return []byte(out), xml.Unmarshal([]byte(out), new(struct{}))
}
