package walk

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var record = flag.Bool("record", false, "write what GRASS r.walk gives to testdata")

// rwalkRule is the rule r.walk uses by default, outward from the start and without friction.
func rwalkRule(eight bool) Options {
	return Options{Pace: Langmuir(0.72, 6, 1.9998, -1.9998, -0.2125), OffPath: 1, MaxSlope: 50, Outward: true, EightOnly: eight}
}

// hills is invented ground of hills from 400 m to 4 km across with slopes to some 60 %.
func hills(cols, rows int, cellM float64) *Grid {
	return plane(cols, rows, cellM, func(x, y float64) float64 {
		return 1200 + 160*math.Sin(x/700)*math.Cos(y/560+1) + 35*math.Sin(x/130+y/190) + 12*math.Cos(x/64-y/71)
	})
}

// runRWalk runs r.walk on a grid from some starting cells and gives seconds row by row.
func runRWalk(t testing.TB, g *Grid, starts [][2]int, flags ...string) (secs []float64, took time.Duration) {
	t.Helper()
	grass, err := exec.LookPath("grass")
	if err != nil {
		t.Skip("GRASS is not installed (Debian package grass-core); TestRecordedRWalk checks what it gave before")
	}
	dir := t.TempDir()
	raw := make([]byte, 4*len(g.HeightM))
	for i, h := range g.HeightM {
		binary.LittleEndian.PutUint32(raw[4*i:], math.Float32bits(h))
	}
	in, out := filepath.Join(dir, "in.bin"), filepath.Join(dir, "out.bin")
	if err := os.WriteFile(in, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	n, e := float64(g.Rows)*g.CellM, float64(g.Cols)*g.CellM
	var at []string
	for _, s := range starts {
		at = append(at, fmt.Sprintf("%g,%g", (float64(s[0])+0.5)*g.CellM, n-(float64(s[1])+0.5)*g.CellM))
	}
	script := fmt.Sprintf(`set -e
r.in.bin -f input=%s output=dem bytes=4 north=%g south=0 east=%g west=0 rows=%d cols=%d order=little --quiet
g.region raster=dem
r.mapcalc expression="zero=0.0" --quiet
date +%%s.%%N
r.walk elevation=dem friction=zero output=secs start_coordinates=%s memory=2000 --quiet %s
date +%%s.%%N
r.out.bin -f input=secs output=%s bytes=8 order=little --quiet
`, in, n, e, g.Rows, g.Cols, strings.Join(at, ","), strings.Join(flags, " "), out)
	file := filepath.Join(dir, "run.sh")
	if err := os.WriteFile(file, []byte(script), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(grass, "--tmp-location", "XY", "--exec", "sh", file)
	cmd.Env = append(os.Environ(), "HOME="+dir, "TMPDIR="+dir)
	log, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("grass: %v: %s", err, log)
	}
	var stamps []float64
	for _, line := range strings.Fields(string(log)) {
		var v float64
		if _, err := fmt.Sscanf(line, "%f", &v); err == nil && v > 1e9 {
			stamps = append(stamps, v)
		}
	}
	if len(stamps) == 2 {
		took = time.Duration((stamps[1] - stamps[0]) * 1e9)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	secs = make([]float64, len(b)/8)
	for i := range secs {
		secs[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	if len(secs) != g.Cols*g.Rows {
		t.Fatalf("r.walk gave %d cells, want %d", len(secs), g.Cols*g.Rows)
	}
	return secs, took
}

// compare gives the greatest and mean relative difference of a surface from seconds given.
func compare(g *Grid, r *Result, want []float64) (worst, mean float64) {
	n := 0
	for i, w := range want {
		if w < 60 {
			continue
		}
		d := math.Abs(r.CellMinutes(i%g.Cols, i/g.Cols)*60/w - 1)
		worst = max(worst, d)
		mean += d
		n++
	}
	return worst, mean / float64(n)
}

func startAt(g *Grid, starts [][2]int) *Land {
	l := NewLand(g)
	for _, s := range starts {
		l.RoadPoint(g.Middle(s[0], s[1]))
	}
	return l
}

// The same rule as r.walk over a surface of 90 000 cells. The two differ by the rounding of float32
// and by our table of paces where the rule jumps at its steep limit.
func TestAgreesWithRWalk(t *testing.T) {
	g := hills(300, 300, 30)
	starts := [][2]int{{40, 60}, {220, 250}}
	for _, c := range []struct {
		name  string
		eight bool
		flags []string
	}{{"eight neighbours", true, nil}, {"knight's moves", false, []string{"-k"}}} {
		want, _ := runRWalk(t, g, starts, c.flags...)
		worst, mean := compare(g, surface(t, startAt(g, starts), rwalkRule(c.eight)), want)
		t.Logf("%s: greatest difference %.4f %%, mean %.5f %%", c.name, 100*worst, 100*mean)
		if worst > 0.01 {
			t.Errorf("%s: the surfaces differ by up to %.3f %%, want at most 1", c.name, 100*worst)
		}
	}
}

// What r.walk of GRASS 8.2.1 gave for a small grid, in seconds to a tenth; written by -record.
func TestRecordedRWalk(t *testing.T) {
	g := hills(48, 36, 60)
	starts := [][2]int{{5, 30}, {40, 8}}
	for _, c := range []struct {
		name, file string
		eight      bool
		flags      []string
	}{{"eight neighbours", "rwalk_eight.txt", true, nil}, {"knight's moves", "rwalk_knight.txt", false, []string{"-k"}}} {
		file := filepath.Join("testdata", c.file)
		if *record {
			secs, _ := runRWalk(t, g, starts, c.flags...)
			var b bytes.Buffer
			for i, s := range secs {
				end := " "
				if (i+1)%g.Cols == 0 {
					end = "\n"
				}
				fmt.Fprintf(&b, "%.1f%s", s, end)
			}
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var want []float64
		for sc := bufio.NewScanner(bytes.NewReader(b)); sc.Scan(); {
			for _, f := range strings.Fields(sc.Text()) {
				var v float64
				if _, err := fmt.Sscanf(f, "%f", &v); err != nil {
					t.Fatal(err)
				}
				want = append(want, v)
			}
		}
		if len(want) != g.Cols*g.Rows {
			t.Fatalf("%s holds %d cells, want %d", file, len(want), g.Cols*g.Rows)
		}
		worst, mean := compare(g, surface(t, startAt(g, starts), rwalkRule(c.eight)), want)
		t.Logf("%s: greatest difference %.4f %%, mean %.5f %%", c.name, 100*worst, 100*mean)
		if worst > 0.01 {
			t.Errorf("%s: the surface differs from the recorded one by up to %.3f %%, want at most 1", c.name, 100*worst)
		}
	}
}

// TestSpeedBesideRWalk runs both on three million cells, one after the other.
func TestSpeedBesideRWalk(t *testing.T) {
	if os.Getenv("LASTROAD_PEERS") == "" {
		t.Skip("set LASTROAD_PEERS=1 to run GRASS r.walk on three million cells beside ours")
	}
	g := hills(1732, 1732, 30)
	starts := [][2]int{{200, 300}, {1500, 1400}, {900, 500}}
	want, took := runRWalk(t, g, starts)
	best := time.Hour
	var r *Result
	for range 3 {
		begin := time.Now()
		r = surface(t, startAt(g, starts), rwalkRule(true))
		best = min(best, time.Since(begin))
	}
	worst, _ := compare(g, r, want)
	t.Logf("r.walk %v, ours %v: %.2f of it; greatest difference %.4f %%", took, best, best.Seconds()/took.Seconds(), 100*worst)
	if ratio := best.Seconds() / took.Seconds(); ratio > 0.33 {
		t.Errorf("ours takes %.2f of the time of r.walk, want at most 0.33", ratio)
	}
}
