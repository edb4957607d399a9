package bench

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/assets"
	"lastroad/geo/height"
)

// demoTile is the height tile of the demo: 1201 posts a side, 32 S 109 W. Every tenth row gets a few voids, so that
// the reading has to mind them.
func demoTile() (name string, raw []byte, tile *height.Tile, err error) {
	name = "S32W109.hgt"
	packed := assets.Demo(name + ".zip")
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return "", nil, nil, err
	}
	f, err := z.Open(name)
	if err != nil {
		return "", nil, nil, err
	}
	defer f.Close()
	if raw, err = io.ReadAll(f); err != nil {
		return "", nil, nil, err
	}
	side := 1201
	for row := 5; row < side; row += 10 {
		for col := (row * 37) % 200; col < side; col += 200 {
			binary.BigEndian.PutUint16(raw[2*(row*side+col):], 0x8000)
		}
	}
	tile, err = height.ReadHGT(bytes.NewReader(raw), int64(len(raw)), name)
	return name, raw, tile, err
}

// places are a million points on a winding track of 5 m steps, or spread over the tile.
func places(west, south float64, track bool) []orb.Point {
	rng := rand.New(rand.NewPCG(5, 6))
	p := make([]orb.Point, 1<<20)
	at, dir := orb.Point{west + 0.5, south + 0.5}, 0.0
	for i := range p {
		if !track {
			p[i] = orb.Point{west + 0.001 + 0.998*rng.Float64(), south + 0.001 + 0.998*rng.Float64()}
			continue
		}
		dir += 0.1 * rng.NormFloat64()
		at[0] += 5e-5 * math.Cos(dir)
		at[1] += 5e-5 * math.Sin(dir)
		if at[0] < west+0.01 || at[0] > west+0.99 || at[1] < south+0.01 || at[1] > south+0.99 {
			dir = math.Atan2(south+0.5-at[1], west+0.5-at[0])
		}
		p[i] = at
	}
	return p
}

// heights reads a million heights between posts with both.
func (l *lab) heights() error {
	who := "scipy " + version("python3-scipy") + ", map_coordinates"
	if _, err := exec.Command(python(), "-c", "import scipy.ndimage").Output(); err != nil {
		return l.skip("a million heights between posts", who, "python3 with scipy is not installed")
	}
	script, err := l.peer("heights.py")
	if err != nil {
		return err
	}
	name, raw, tile, err := demoTile()
	if err != nil {
		return err
	}
	if err := os.WriteFile(l.file(name), raw, 0o644); err != nil {
		return err
	}
	m := height.NewModel(tile)
	for _, c := range []struct {
		name  string
		track bool
	}{{"a million heights along a track", true}, {"a million heights at scattered places", false}} {
		pts := places(tile.West, tile.South(), c.track)
		v := make([]float64, 0, 2*len(pts))
		for _, p := range pts {
			v = append(v, p[0], p[1])
		}
		if err := writeFloats(l.file("points"), v); err != nil {
			return err
		}
		got := make([]float64, len(pts))
		var ours, theirs []float64
		for range l.rounds {
			ours = append(ours, 1e9*oneCore(func() { got = m.Heights(got, pts) })/float64(len(pts)))
			s, err := numbers(1, python(), script, l.file(name), "1201", fmt.Sprint(tile.West), fmt.Sprint(tile.North), l.file("points"), l.file("out"))
			if err != nil {
				return err
			}
			theirs = append(theirs, 1e9*s[0]/float64(len(pts)))
		}
		want, err := readFloats[float64](l.file("out"), len(got))
		if err != nil {
			return err
		}
		known := 0
		for i, h := range got {
			switch {
			case h != h && want[i] > -20: // scipy mixes the -32768 of a void in, which drags the answer far down
				if tile.Voids == 0 || nearVoid(tile, pts[i]) {
					continue // only where the void's own share is next to nothing
				}
				return fmt.Errorf("%s: at %v ours knows no height, scipy reads %g", c.name, pts[i], want[i])
			case h == h && math.Abs(h-want[i]) > 0.01: // scipy works on 32-bit posts and weights
				return fmt.Errorf("%s: at %v ours reads %g, scipy %g", c.name, pts[i], h, want[i])
			case h == h:
				known++
			}
		}
		l.add(row{work: c.name, how: "a point, in process, one core; ours minds voids", unit: "ns", ours: median(ours), peer: median(theirs), who: who, goal: 0.3,
			check: fmt.Sprintf("%d heights to 1 cm", known)})
	}
	return nil
}

// nearVoid reports whether a post of the cell that holds p is void.
func nearVoid(t *height.Tile, p orb.Point) bool {
	c, r := int((p[0]-t.West)/t.DLon), int((t.North-p[1])/t.DLat)
	for i := range 4 {
		if h := t.At(c+i%2, r+i/2); h != h {
			return true
		}
	}
	return false
}

// posts reads heights at posts, with the reading of the file, beside a program for that.
func (l *lab) posts() error {
	const work = "a tile read and 100 000 posts looked up"
	who := "gdallocationinfo of GDAL " + version("gdal-bin")
	if _, err := exec.LookPath("gdallocationinfo"); err != nil {
		return l.skip(work, who, "it is not installed")
	}
	name, raw, tile, err := demoTile()
	if err != nil {
		return err
	}
	if err := os.WriteFile(l.file(name), raw, 0o644); err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(7, 8))
	pts := make([]orb.Point, 100_000)
	var in strings.Builder
	for i := range pts {
		// A thousandth of a step beside the post, so that both take the same one.
		pts[i] = orb.Point{tile.West + tile.DLon*float64(1+rng.IntN(tile.Cols-2)), tile.North - tile.DLat*float64(1+rng.IntN(tile.Rows-2))}
		fmt.Fprintf(&in, "%.12f %.12f\n", pts[i][0]+tile.DLon/1000, pts[i][1]-tile.DLat/1000)
	}
	got := make([]float64, len(pts))
	var ours, theirs []float64
	var out []byte
	for range l.rounds {
		ours = append(ours, 1e3*oneCore(func() {
			var t *height.Tile
			if t, err = height.ReadHGT(bytes.NewReader(raw), int64(len(raw)), name); err == nil {
				got = height.NewModel(t).Heights(got, pts)
			}
		}))
		if err != nil {
			return err
		}
		cmd := exec.Command("gdallocationinfo", "-valonly", "-wgs84", l.file(name))
		cmd.Stdin = strings.NewReader(in.String())
		theirs = append(theirs, 1e3*seconds(func() { out, err = cmd.Output() }))
		if err != nil {
			return err
		}
	}
	values := strings.Fields(string(out))
	if len(values) != len(pts) {
		return fmt.Errorf("gdallocationinfo gave %d values for %d points", len(values), len(pts))
	}
	for i, s := range values {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return err
		}
		h := got[i]
		if col, row := int(math.Round((pts[i][0]-tile.West)/tile.DLon)), int(math.Round((tile.North-pts[i][1])/tile.DLat)); h != h {
			h = tile.At(col, row) // a post beside a void
		}
		if v == -32768 && h != h || math.Abs(h-v) < 1e-6 {
			continue
		}
		return fmt.Errorf("at %v ours reads %g, gdallocationinfo %g", pts[i], h, v)
	}
	l.add(row{work: work, how: "ours in process, peer a whole program", unit: "ms", ours: median(ours), peer: median(theirs), who: who, check: fmt.Sprintf("%d heights", len(pts))})
	return nil
}
