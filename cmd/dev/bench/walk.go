package bench

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"

	"lastroad/geo/walk"
)

// hills are made ground of 30 m cells: forty waves of growing length and height.
func hills(cols, rows int, cellM float64) []float32 {
	rng := rand.New(rand.NewPCG(1, 2))
	type wave struct{ kx, ky, a, p float64 }
	var waves []wave
	for i := range 40 {
		l := 200 * math.Pow(1.15, float64(i))
		th := rng.Float64() * 2 * math.Pi
		waves = append(waves, wave{2 * math.Pi / l * math.Cos(th), 2 * math.Pi / l * math.Sin(th), 0.009 * l, rng.Float64() * 7})
	}
	z := make([]float32, cols*rows)
	for r := range rows {
		for c := range cols {
			h, x, y := 0.0, float64(c)*cellM, float64(r)*cellM
			for _, w := range waves {
				h += w.a * math.Sin(w.kx*x+w.ky*y+w.p)
			}
			z[r*cols+c] = float32(h)
		}
	}
	return z
}

// walk spreads the time to walk out over three million cells of 30 m with both.
func (l *lab) walk() error {
	who := "GRASS " + version("grass-core") + ", r.walk"
	const side, cell = 1732, 30.0
	if _, err := exec.LookPath("grass"); err != nil {
		return l.skip("walk-out surface of 3 million cells", who, "grass is not installed")
	}
	script, err := l.peer("walk.sh")
	if err != nil {
		return err
	}
	high := hills(side, side, cell)
	level := make([]float32, side*side)
	start := make([]float32, side*side)
	for i := range start {
		start[i] = float32(math.NaN())
	}
	const sc, sr = 700, 900
	start[sr*side+sc] = 1
	for name, v := range map[string][]float32{"hills.bin": high, "flat.bin": level, "start.bin": start} {
		if err := writeFloats(l.file(name), v); err != nil {
			return err
		}
	}
	for _, c := range []struct {
		name, knight string
		eight        bool
		goal         float64
	}{{"walk-out surface of 3 million cells, eight directions", "-", true, 0.33}, {"the same, sixteen directions", "-k", false, 0.33}} {
		land := func(z []float32) *walk.Land {
			g := walk.PlaneGrid(side, side, cell, z)
			l := walk.NewLand(g)
			l.RoadPoint(g.Middle(sc, sr))
			return l
		}
		on := land(high)
		var ours, theirs []float64
		var r *walk.Result
		for range l.rounds {
			ours = append(ours, oneCore(func() { r, err = walk.Surface(context.Background(), on, walk.Options{EightOnly: c.eight}) }))
			if err != nil {
				return err
			}
		}
		out, err := exec.Command("grass", "--tmp-location", "XY", "--exec", "sh", script, l.dir, strconv.Itoa(side), strconv.Itoa(side), "30", strconv.Itoa(l.rounds), c.knight).Output()
		if err != nil {
			return l.skip(c.name, who, "it fails here: "+firstLine(stderr(err), err))
		}
		for _, f := range strings.Fields(string(out)) {
			if ns, err := strconv.ParseFloat(f, 64); err == nil {
				theirs = append(theirs, ns/1e9)
			}
		}
		if len(theirs) != l.rounds {
			return fmt.Errorf("r.walk ran %d times, want %d: %s", len(theirs), l.rounds, out)
		}
		// The laws of pace differ; on the level both are the distance by the same steps, so there the answers must be
		// proportional in every cell.
		if r, err = walk.Surface(context.Background(), land(level), walk.Options{EightOnly: c.eight}); err != nil {
			return err
		}
		cost, err := readFloats[float32](l.file("flat.out"), side*side)
		if err != nil {
			return err
		}
		want := math.NaN()
		for i, v := range cost {
			got := r.CellMinutes(i%side, i/side)
			if i == sr*side+sc {
				continue
			}
			q := got / float64(v)
			if want != want {
				want = q
			}
			if !(math.Abs(q/want-1) < 1e-3) {
				return fmt.Errorf("%s: at cell %d, %d of level ground ours needs %g minutes, r.walk %g s; elsewhere the ratio is %g", c.name, i%side, i/side, got, v, want)
			}
		}
		l.add(row{work: c.name, how: "ours in process, peer a whole program", unit: "s", ours: median(ours), peer: median(theirs), who: who, goal: c.goal,
			check: "every cell of level ground to 0.1 %"})
	}
	return nil
}

func stderr(err error) []byte {
	if e, ok := err.(*exec.ExitError); ok {
		return e.Stderr
	}
	return nil
}
