package height

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Made ground on which tracks of known grade are laid, then looked at as a height grid sees them.

// ground is a smooth surface over a plane in metres: a slope to the north and hills of all sizes.
type ground struct {
	north float64 // rise over run
	waves []wave
}

type wave struct{ kx, ky, amp, phase float64 }

// newGround makes hills from 150 m to 4 km across whose slopes are alike at every size, as real
// ground's nearly are: rough is the root-mean-square slope of each octave.
func newGround(rng *rand.Rand, north, rough float64) *ground {
	g := &ground{north: north}
	for size := 150.0; size < 4000; size *= 1.2 {
		th := rng.Float64() * 2 * math.Pi
		k := 2 * math.Pi / size
		// Four waves an octave, each sharing its mean square slope.
		g.waves = append(g.waves, wave{k * math.Cos(th), k * math.Sin(th), rough / math.Sqrt(4) * math.Sqrt2 / k, rng.Float64() * 2 * math.Pi})
	}
	return g
}

func (g *ground) at(x, y float64) (h, east, north float64) {
	h, north = 1500+g.north*y, g.north
	for _, w := range g.waves {
		s, c := math.Sincos(w.kx*x + w.ky*y + w.phase)
		h += w.amp * s
		east += w.amp * c * w.kx
		north += w.amp * c * w.ky
	}
	return h, east, north
}

// lay builds a track on the ground: at every 5 m it heads so that the wanted grade results, as a road
// builder does round spurs and into gullies, turning no tighter than a radius of 15 m. What
// the grade is in truth follows from the ground under the line.
func (g *ground) lay(lengthM float64, want func(s float64) float64) (line []orb.Point) {
	const step = 5.0
	x, y, heading := 0.0, 0.0, math.Pi/2 // east, as compass radians
	for s := 0.0; s <= lengthM; s += step {
		line = append(line, orb.Point{x, y})
		_, e, n := g.at(x, y)
		steep := math.Hypot(e, n)
		up := math.Atan2(e, n)
		// Heading whose component uphill gives the grade, on the side nearer to the present one.
		off := math.Acos(math.Max(-1, math.Min(1, want(s)/math.Max(steep, 1e-9))))
		a, b := turn(up+off-heading), turn(up-off-heading)
		if math.Abs(b) < math.Abs(a) {
			a = b
		}
		heading += math.Max(-step/15, math.Min(step/15, a))
		x += step * math.Sin(heading)
		y += step * math.Cos(heading)
	}
	return line
}

func turn(a float64) float64 { return math.Remainder(a, 2*math.Pi) }

// look gives what a grid of the given step in arc-seconds holds of the ground: means over its cells,
// as a radar sees them, with noise correlated over one cell.
func (g *ground) look(t testing.TB, rng *rand.Rand, p geo.Plane, box orb.Bound, arcSec, noiseM float64) *Tile {
	step := arcSec / 3600
	o := p.Origin()
	// Posts on the lattice of the grid, some cells beyond the line.
	lo, hi := p.FromXY(box.Min[0]-400, box.Min[1]-400), p.FromXY(box.Max[0]+400, box.Max[1]+400)
	west, north := math.Floor((lo[0]-o[0])/step)*step+o[0], math.Ceil((hi[1]-o[1])/step)*step+o[1]
	cols, rows := int((hi[0]-west)/step)+2, int((north-lo[1])/step)+2
	white := make([]float64, (cols+1)*(rows+1))
	for i := range white {
		white[i] = rng.NormFloat64()
	}
	z := make([]float32, cols*rows)
	for r := range rows {
		for c := range cols {
			sum := 0.0
			for j := range 3 {
				for i := range 3 {
					x, y := p.ToXY(orb.Point{west + (float64(c)+float64(i-1)/3)*step, north - (float64(r)+float64(j-1)/3)*step})
					h, _, _ := g.at(x, y)
					sum += h / 9
				}
			}
			k := r*(cols+1) + c
			n := (white[k] + white[k+1] + white[k+cols+1] + white[k+cols+2]) / 2 // variance 1, correlated with the neighbours
			z[r*cols+c] = float32(math.Round(sum + noiseM*n))
		}
	}
	tile, err := NewTile("made", west, north, step, step, cols, rows, z)
	if err != nil {
		t.Fatal(err)
	}
	return tile
}

// figures are the errors of one way of telling the grade, in hundredths of rise over run.
type figures struct{ rms, p95, worst float64 }

func errorsOf(got, want []float64) figures {
	var d []float64
	sum := 0.0
	for i := range got {
		e := 100 * math.Abs(got[i]-want[i])
		d = append(d, e)
		sum += e * e
	}
	slices.Sort(d)
	return figures{math.Sqrt(sum / float64(len(d))), d[len(d)*95/100], d[len(d)-1]}
}

// slopeOver is the grade from heights 25 m apart over the samples k before and k after.
func slopeOver(h []float64, k int) []float64 {
	out := make([]float64, len(h))
	for i := range h {
		a, b := max(i-k, 0), min(i+k, len(h)-1)
		out[i] = (h[b] - h[a]) / (25 * float64(b-a))
	}
	return out
}

func movingMean(h []float64, k int) []float64 {
	out := make([]float64, len(h))
	for i := range h {
		a, b := max(i-k, 0), min(i+k, len(h)-1)
		for _, v := range h[a : b+1] {
			out[i] += v / float64(b-a+1)
		}
	}
	return out
}

// trial lays one track, looks at it through a grid and measures the ways of telling its grade.
type trial struct {
	want, raw, mean, ours, band []float64
	side                        []float64
}

func runTrial(t testing.TB, seed uint64, north, rough, arcSec, maxGrade float64) (tr trial) {
	rng := rand.New(rand.NewPCG(seed, 77))
	g := newGround(rng, north, rough)
	var ws []wave
	for _, l := range []float64{300, 700, 1500} {
		ws = append(ws, wave{kx: 2 * math.Pi / l, amp: maxGrade / 2, phase: rng.Float64() * 7})
	}
	line := g.lay(12000, func(s float64) float64 {
		v := 0.0
		for _, w := range ws {
			v += w.amp * math.Sin(w.kx*s+w.phase)
		}
		return math.Max(-maxGrade, math.Min(maxGrade, v))
	})
	p := geo.NewPlane(orb.Point{1.6, 42.5})
	box := orb.MultiPoint(line).Bound()
	m := NewModel(g.look(t, rng, p, box, arcSec, 3.7))
	// The mapped line lies beside the road by 5 m (correlated over 60 m), the grid by 4.1 m as a whole.
	gx, gy := 4.1*rng.NormFloat64(), 4.1*rng.NormFloat64()
	off, keep := 5*rng.NormFloat64(), math.Exp(-25.0/60)
	var samples []geo.Sample
	var heights []float64
	for i := 0; i+5 < len(line); i += 5 {
		a, b := line[max(i-2, 0)], line[i+2]
		h := math.Hypot(b[0]-a[0], b[1]-a[1])
		ha, _, _ := g.at(a[0], a[1])
		hb, _, _ := g.at(b[0], b[1])
		run := 5 * float64(i+2-max(i-2, 0))
		tr.want = append(tr.want, (hb-ha)/run)
		q := p.FromXY(line[i][0]+gx+off*(b[1]-a[1])/h, line[i][1]+gy-off*(b[0]-a[0])/h)
		off = keep*off + 5*math.Sqrt(1-keep*keep)*rng.NormFloat64()
		samples = append(samples, geo.Sample{DistanceM: 5 * float64(i), Lon: q[0], Lat: q[1], Way: 0})
		heights = append(heights, m.Height(q[0], q[1]))
	}
	Profile(samples, m, Options{})
	for _, s := range samples {
		tr.ours, tr.band, tr.side = append(tr.ours, s.Grade), append(tr.band, s.GradeBand), append(tr.side, s.Side)
	}
	tr.raw = slopeOver(heights, 2)
	tr.mean = slopeOver(movingMean(heights, 6), 2)
	return tr
}

// The figures of the estimator: root-mean-square errors of the grade in per cent of twelve tracks of 12 km
// each, beside those of the raw grade over 100 m and of the grade after a moving mean of 300 m. The
// tracks, the ground and the noise come from fixed seeds, so the figures are exact up to rounding.
func TestGradeOfKnownTracks(t *testing.T) {
	for _, c := range []struct {
		name                           string
		north, rough, arcSec, maxGrade float64
		raw, mean, ours                float64 // measured; ours is what must not grow
	}{
		{"steep hillside, 3 arc-seconds", 0.40, 0.10, 3, 0.12, 5.6, 4.9, 4.0},
		{"steep hillside, 1 arc-second", 0.40, 0.10, 1, 0.12, 5.6, 4.7, 3.5},
		{"rolling ground, 3 arc-seconds", 0.05, 0.05, 3, 0.08, 3.7, 3.2, 2.9},
		{"plain, 3 arc-seconds", 0.005, 0.005, 3, 0.02, 3.0, 1.4, 1.0},
		{"mountain, 3 arc-seconds", 0.55, 0.15, 3, 0.15, 7.1, 6.1, 5.2},
	} {
		var all trial
		for seed := range uint64(12) {
			tr := runTrial(t, seed, c.north, c.rough, c.arcSec, c.maxGrade)
			all.want, all.raw, all.mean = append(all.want, tr.want...), append(all.raw, tr.raw...), append(all.mean, tr.mean...)
			all.ours, all.band, all.side = append(all.ours, tr.ours...), append(all.band, tr.band...), append(all.side, tr.side...)
		}
		raw, mean, ours := errorsOf(all.raw, all.want), errorsOf(all.mean, all.want), errorsOf(all.ours, all.want)
		inside, wide := 0.0, 0.0
		for i := range all.ours {
			if math.Abs(all.ours[i]-all.want[i]) <= all.band[i] {
				inside += 1 / float64(len(all.band))
			}
			wide += 100 * all.band[i] / float64(len(all.band))
		}
		truth := errorsOf(make([]float64, len(all.want)), all.want)
		slices.Sort(all.side)
		t.Logf("%-30s true grade rms %.1f, side slope median %2.0f %%; error rms raw %.1f, mean of 300 m %.1f, ours %.1f; 95 %% %.1f %.1f %.1f; worst %.1f %.1f %.1f; %.1f %% inside a band of %.1f",
			c.name, truth.rms, 100*all.side[len(all.side)/2], raw.rms, mean.rms, ours.rms, raw.p95, mean.p95, ours.p95, raw.worst, mean.worst, ours.worst, 100*inside, wide)
		for _, f := range []struct {
			what      string
			got, want float64
		}{{"the raw grade", raw.rms, c.raw}, {"the moving mean", mean.rms, c.mean}, {"the estimator", ours.rms, c.ours}} {
			// Rounded to a tenth; another machine may round sums otherwise.
			if math.Abs(f.got-f.want) > 0.06 {
				t.Errorf("%s: the error of %s is %.2f, measured %.1f", c.name, f.what, f.got, f.want)
			}
		}
		if ours.rms >= mean.rms || ours.p95 >= mean.p95 || ours.p95 >= raw.p95 {
			t.Errorf("%s: the estimator is no better than a moving mean: rms %.2f against %.2f, 95 %% %.2f against %.2f", c.name, ours.rms, mean.rms, ours.p95, mean.p95)
		}
		if inside < 0.95 {
			t.Errorf("%s: %.1f %% of the true grades lie inside the 95 %% band", c.name, 100*inside)
		}
		// A band that holds everything tells nothing: two and a half times what is needed is too wide.
		if wide > 2.5*1.96*ours.rms {
			t.Errorf("%s: the band is %.1f wide for an error of %.1f", c.name, wide, ours.rms)
		}
	}
}
