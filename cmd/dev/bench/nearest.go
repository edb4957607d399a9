package bench

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/index"
	"lastroad/geo/index/indextest"
	"lastroad/geo/osm"
)

// segments are Delaware's road segments in metres on a plane at its middle.
func segments() ([]index.Seg, error) {
	file, err := delaware()
	if err != nil {
		return nil, err
	}
	r, err := readRegion(file, osm.Roads)
	if err != nil {
		return nil, err
	}
	plane := geo.NewPlane(orb.Point{-75.4, 39.1})
	var segs []index.Seg
	for i := range r.Ways {
		line := r.Ways[i].Line
		ax, ay := plane.ToXY(line[0])
		for _, p := range line[1:] {
			bx, by := plane.ToXY(p)
			segs = append(segs, index.Seg{AX: ax, AY: ay, BX: bx, BY: by})
			ax, ay = bx, by
		}
	}
	return segs, nil
}

func flat(segs []index.Seg) []float64 {
	v := make([]float64, 0, 4*len(segs))
	for _, s := range segs {
		v = append(v, s.AX, s.AY, s.BX, s.BY)
	}
	return v
}

// nearest asks both for the distance to the nearest road.
func (l *lab) nearest() error {
	who := "GEOS " + version("libgeos-dev") + ", STRtree of the C API"
	program, missing := l.compile("nearest.c", "gcc", "-lgeos_c", "-lm")
	if missing != "" {
		return l.skip("nearest road", who, missing)
	}
	segs, err := segments()
	if err != nil {
		return err
	}
	tree := index.Build(segs)
	near, far := indextest.Places(func(i int) [4]float64 { return [4]float64{segs[i].AX, segs[i].AY, segs[i].BX, segs[i].BY} },
		func(x, y float64) float64 { _, d, _, _ := tree.Nearest(x, y, -1); return d })
	mixed := slices.Clone(far)
	r := rand.New(rand.NewPCG(1, 1))
	r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	if err := writeFloats(l.file("segs"), flat(segs)); err != nil {
		return err
	}
	var build, theirBuild []float64
	for _, c := range []struct {
		name string
		q    [][2]float64
		goal float64
	}{{"nearest road, 3 m beside roads", near, 0.5}, {"nearest road, 2 to 30 km from roads, every 25 m of a drive", far, 0.15},
		{"the same places in no order", mixed, 0}} {
		v := make([]float64, 0, 2*len(c.q))
		for _, q := range c.q {
			v = append(v, q[0], q[1])
		}
		if err := writeFloats(l.file("queries"), v); err != nil {
			return err
		}
		got := make([]float64, len(c.q))
		var ours, theirs []float64
		for range l.rounds {
			build = append(build, 1e9*oneCore(func() { tree = index.Build(segs) })/float64(len(segs)))
			ours = append(ours, 1e9*oneCore(func() {
				along := tree.Follow()
				for i, q := range c.q {
					_, got[i], _, _ = along.Nearest(q[0], q[1])
				}
			})/float64(len(c.q)))
			p, err := numbers(2, program, l.file("segs"), l.file("queries"), l.file("distances"))
			if err != nil {
				return err
			}
			theirBuild, theirs = append(theirBuild, 1e9*p[0]/float64(len(segs))), append(theirs, 1e9*p[1]/float64(len(c.q)))
		}
		want, err := readFloats[float64](l.file("distances"), len(got))
		if err != nil {
			return err
		}
		for i := range got {
			if !(math.Abs(got[i]-want[i]) <= 1e-9*(1+want[i])) {
				return fmt.Errorf("%s: at place %d ours finds %.9f m, GEOS %.9f m", c.name, i, got[i], want[i])
			}
		}
		l.add(row{work: c.name, how: "in process, one core", unit: "ns", ours: median(ours), peer: median(theirs), who: who, goal: c.goal,
			check: fmt.Sprintf("%d distances to 1e-9", len(got))})
	}
	l.add(row{work: fmt.Sprintf("index of %d road segments, built", len(segs)), how: "a segment, in process, one core", unit: "ns", ours: median(build), peer: median(theirBuild), who: who,
		check: "the same tree"})
	return nil
}

// flatbush builds the same index with a package from npm, which is fetched by npm itself.
func (l *lab) flatbush() error {
	const work, who = "the same index, built", "flatbush 4.7.0 on Node.js"
	for _, p := range []string{"node", "npm"} {
		if _, err := exec.LookPath(p); err != nil {
			return l.skip(work, who, p+" is not installed")
		}
	}
	cmd := exec.Command("npm", "install", "--no-audit", "--no-fund", "--silent", "flatbush@4.7.0")
	cmd.Dir = l.dir
	if out, err := cmd.CombinedOutput(); err != nil {
		return l.skip(work, who, "npm cannot fetch it: "+firstLine(out, err))
	}
	script, err := l.peer("build.js")
	if err != nil {
		return err
	}
	segs, err := segments()
	if err != nil {
		return err
	}
	if err := writeFloats(l.file("segs"), flat(segs)); err != nil {
		return err
	}
	box := [4]float64{-5000, -5000, 5000, 5000}
	var tree *index.Tree
	var ours, theirs []float64
	found := 0.0
	for range l.rounds {
		ours = append(ours, 1e9*oneCore(func() { tree = index.Build(segs) })/float64(len(segs)))
		args := []string{script, filepath.Join(l.dir, "node_modules", "flatbush", "index.js"), l.file("segs")}
		for _, b := range box {
			args = append(args, strconv.FormatFloat(b, 'g', -1, 64))
		}
		v, err := numbers(2, "node", args...)
		if err != nil {
			return l.skip(work, who, err.Error())
		}
		theirs, found = append(theirs, 1e9*v[0]/float64(len(segs))), v[1]
	}
	n := 0
	tree.Search(box[0], box[1], box[2], box[3], func(int) bool { n++; return true })
	if n != int(found) {
		return fmt.Errorf("ours finds %d segments in a box, flatbush %.0f", n, found)
	}
	l.add(row{work: work, how: "a segment, in process, one core", unit: "ns", ours: median(ours), peer: median(theirs), who: who, goal: 0.9, check: fmt.Sprintf("%d segments in a box", n)})
	return nil
}
