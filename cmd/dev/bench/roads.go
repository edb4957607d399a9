package bench

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"lastroad/geo/osm"
)

// delaware is the extract of Delaware (OpenStreetMap, August 2016, ODbL) that the paulmach/osm module carries.
func delaware() (string, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/paulmach/osm").Output()
	if err != nil {
		return "", fmt.Errorf("the paulmach/osm module is not here: %w", err)
	}
	return filepath.Join(strings.TrimSpace(string(out)), "testdata", "delaware-latest.osm.pbf"), nil
}

func readRegion(file string, parts osm.Parts) (*osm.Region, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return nil, err
	}
	return osm.Read(context.Background(), osm.Source{Name: filepath.Base(file), R: f, Size: st.Size()}, osm.Corridor{}, osm.Options{Parts: parts}, nil)
}

// roads reads the road network of a PBF file with both.
func (l *lab) roads() error {
	const work = "road network of Delaware from PBF, 7.8 MB"
	who := "libosmium " + version("libosmium2-dev")
	file, err := delaware()
	if err != nil {
		return err
	}
	program, missing := l.compile("roads.cpp", "g++", "-std=c++17", "-lz", "-lpthread")
	if missing != "" {
		return l.skip(work, who, missing)
	}
	var ours, theirs []float64
	var r *osm.Region
	var v []float64
	for range l.rounds {
		ours = append(ours, 1e3*seconds(func() { r, err = readRegion(file, osm.Roads) }))
		if err != nil {
			return err
		}
		if v, err = numbers(5, program, file); err != nil {
			return err
		}
		theirs = append(theirs, 1e3*v[0])
	}
	points := 0
	var x, y int64
	for i := range r.Ways {
		points += len(r.Ways[i].Line)
		for _, p := range r.Ways[i].Line {
			x += int64(math.Round(p[0] * 1e7))
			y += int64(math.Round(p[1] * 1e7))
		}
	}
	if len(r.Ways) != int(v[1]) || points != int(v[2]) || float64(x) != v[3] || float64(y) != v[4] {
		return fmt.Errorf("ours holds %d ways of %d points with sums %d and %d, libosmium %.0f of %.0f with %.0f and %.0f", len(r.Ways), points, x, y, v[1], v[2], v[3], v[4])
	}
	l.add(row{work: work, how: "in process, two threads", unit: "ms", ours: median(ours), peer: median(theirs), who: who, goal: 0.6,
		check: fmt.Sprintf("%d ways, %d points, sums of coordinates", len(r.Ways), points)})
	return nil
}

// region reads everything that a region needs, whole programs from start to end.
func (l *lab) region() error {
	const work, memory = "all that a region needs of the same file", "the same, memory at the peak"
	who := "osmium-tool " + version("osmium-tool") + ", tags-filter and export"
	if _, err := exec.LookPath("osmium"); err != nil {
		return l.skip(work, who, "osmium is not installed")
	}
	file, err := delaware()
	if err != nil {
		return err
	}
	program := l.file("lastroad")
	build := exec.Command("go", "build", "-trimpath", "-o", program, "./cmd/lastroad")
	build.Dir, build.Env = l.top, append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("build: %s", firstLine(out, err))
	}
	part, lines := l.file("part.osm.pbf"), l.file("part.geojsonseq")
	filter := []string{"tags-filter", "--overwrite", "-o", part, file, "w/highway", "w/waterway", "nwr/natural", "nwr/landuse", "nwr/amenity", "nwr/shop", "n/barrier", "n/ford", "n/mountain_pass", "nwr/place", "nwr/tourism"}
	var ours, theirs, oursMB, theirsMB []float64
	for range l.rounds {
		s, mb, _, err := whole(program, "region", file)
		if err != nil {
			return err
		}
		ours, oursMB = append(ours, 1e3*s), append(oursMB, mb)
		s1, mb1, _, err := whole("osmium", filter...)
		if err != nil {
			return err
		}
		s2, mb2, _, err := whole("osmium", "export", "--overwrite", "-f", "geojsonseq", "-o", lines, part)
		if err != nil {
			return err
		}
		theirs, theirsMB = append(theirs, 1e3*(s1+s2)), append(theirsMB, max(mb1, mb2))
	}
	data, err := os.ReadFile(lines)
	if err != nil {
		return err
	}
	roads := 0
	for line := range bytes.Lines(data) {
		if bytes.Contains(line, []byte(`"highway":`)) && bytes.Contains(line, []byte(`"LineString"`)) {
			roads++
		}
	}
	r, err := readRegion(file, osm.All)
	if err != nil {
		return err
	}
	// Ours leaves out what nobody drives or walks on (platforms, ways being planned), some in a hundred.
	if n := len(r.Ways); math.Abs(float64(n)/float64(roads)-1) > 0.02 {
		return fmt.Errorf("ours holds %d ways, osmium exports %d", n, roads)
	}
	check := fmt.Sprintf("%d ways beside %d lines", len(r.Ways), roads)
	l.add(row{work: work, how: "whole programs", unit: "ms", ours: median(ours), peer: median(theirs), who: who, goal: 0.5, check: check})
	l.add(row{work: memory, unit: "MB", ours: median(oursMB), peer: median(theirsMB), who: "osmium-tool", check: "at most 150 MB was asked for"})
	return nil
}
