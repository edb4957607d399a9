package height

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	dense "gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"lastroad/geo"
)

// eastward lays samples 25 m apart to the east from 20.02 E, 40.95 N.
func eastward(n int) []geo.Sample {
	p := geo.NewPlane(orb.Point{20.02, 40.95})
	s := make([]geo.Sample, n)
	for i := range s {
		q := p.FromXY(25*float64(i), 0)
		s[i] = geo.Sample{DistanceM: 25 * float64(i), Lon: q[0], Lat: q[1], Way: 0, HeightM: nan, Grade: nan}
	}
	return s
}

// tilted is a plane that rises by east and north, rise over run, in a grid of 3 arc-seconds.
func tilted(t testing.TB, east, north float64, hole func(lon, lat float64) bool) *Model {
	p := geo.NewPlane(orb.Point{20.02, 40.95})
	return NewModel(grid(t, 20, 41, 1.0/1200, 121, 121, func(lon, lat float64) float64 {
		if hole != nil && hole(lon, lat) {
			return nan
		}
		x, y := p.ToXY(orb.Point{lon, lat})
		return 800 + east*x + north*y
	}))
}

func TestProfileOnAPlane(t *testing.T) {
	for _, c := range []struct {
		name        string
		east, north float64
	}{{"climbing", 0.08, 0}, {"descending", -0.06, 0}, {"traversing", 0, 0.3}, {"both", 0.05, -0.2}, {"level", 0, 0}} {
		s := eastward(200)
		got := Profile(s, tilted(t, c.east, c.north, nil), Options{})
		for i := 20; i < 180; i++ {
			// The plane is exact but for the rounding of tiles to float32; the prior draws grades towards
			// level by up to a few per cent of them.
			if math.Abs(s[i].Grade-c.east) > 0.1*math.Abs(c.east)+1e-4 || !(s[i].GradeBand > 0.005 && s[i].GradeBand < 0.12) {
				t.Fatalf("%s: grade %.4f with band %.4f at sample %d, want %.3f", c.name, s[i].Grade, s[i].GradeBand, i, c.east)
			}
			if math.Abs(s[i].Side-math.Abs(c.north)) > 1e-3 || !(s[i].SideBand > 0.01 && s[i].SideBand < 0.06) {
				t.Fatalf("%s: side slope %.4f with band %.4f at sample %d, want %.3f", c.name, s[i].Side, s[i].SideBand, i, c.north)
			}
			if want := 800 + c.east*25*float64(i); math.Abs(s[i].HeightM-want) > 0.01 || math.Abs(got.SmoothM[i]-want) > 1 {
				t.Fatalf("%s: height %.3f, smoothed %.3f at sample %d, want %.3f", c.name, s[i].HeightM, got.SmoothM[i], i, want)
			}
		}
	}
}

// The steeper the hillside the less a grade is worth.
func TestBandGrowsWithTheSideSlope(t *testing.T) {
	last := 0.0
	for _, side := range []float64{0.2, 0.3, 0.5, 0.8} {
		s := eastward(200)
		Profile(s, tilted(t, 0, side, nil), Options{})
		if b := s[100].GradeBand; b <= last {
			t.Errorf("side slope %.1f: band %.4f, not above %.4f", side, b, last)
		} else {
			last = b
		}
	}
}

func TestHolesAreBridgedOnlyWhenShort(t *testing.T) {
	p := geo.NewPlane(orb.Point{20.02, 40.95})
	holeTo := func(m float64) func(lon, lat float64) bool {
		return func(lon, lat float64) bool {
			x, _ := p.ToXY(orb.Point{lon, lat})
			return x > 2000 && x < m
		}
	}
	for _, c := range []struct {
		name   string
		to     float64
		bridge bool
	}{{"150 m", 2150, true}, {"900 m", 2900, false}} {
		s := eastward(200)
		got := Profile(s, tilted(t, 0.05, 0, holeTo(c.to)), Options{})
		unknown := 0
		for i := range s {
			if s[i].HeightM != s[i].HeightM {
				unknown++
				if known := s[i].Grade == s[i].Grade; known != c.bridge {
					t.Errorf("%s: sample %d in the hole has grade %g", c.name, i, s[i].Grade)
				}
				if s[i].Side == s[i].Side {
					t.Errorf("%s: sample %d in the hole has a side slope", c.name, i)
				}
			}
			if s[i].HeightM == 0 || s[i].Grade == 0 && s[i].GradeBand == 0 {
				t.Errorf("%s: sample %d has height %g and grade %g", c.name, i, s[i].HeightM, s[i].Grade)
			}
		}
		if unknown < 4 || got.UnknownM < 100 || len(got.Notes) != 1 || !strings.Contains(got.Notes[0], "unknown") {
			t.Errorf("%s: %d samples and %.0f m unknown, notes %q", c.name, unknown, got.UnknownM, got.Notes)
		}
	}
}

func TestOwnHeightsFillIn(t *testing.T) {
	own := make([]float64, 200)
	for i := range own {
		own[i] = 750 + 0.05*25*float64(i) // fifty metres below the level of the grid
	}
	p := geo.NewPlane(orb.Point{20.02, 40.95})
	half := func(lon, lat float64) bool {
		x, _ := p.ToXY(orb.Point{lon, lat})
		return x > 2500
	}
	s := eastward(200)
	got := Profile(s, tilted(t, 0.05, 0, half), Options{Own: own})
	for i := range s {
		if want := 800 + 0.05*25*float64(i); math.Abs(s[i].HeightM-want) > 0.01 {
			t.Fatalf("sample %d has height %.2f, want %.2f on one level", i, s[i].HeightM, want)
		}
		// At the two ends of a route half of the readings are missing and the prior draws towards level.
		if i >= 20 && i < 180 && math.Abs(s[i].Grade-0.05) > 0.015 {
			t.Fatalf("sample %d has grade %.3f, want 0.05 across the end of the grid", i, s[i].Grade)
		}
	}
	if s[190].Side == s[190].Side || got.OwnM < 2000 || got.UnknownM != 0 || len(got.Notes) != 1 || !strings.Contains(got.Notes[0], "+50 m") {
		t.Errorf("side slope %g outside the grid, %.0f m from the file, notes %q", s[190].Side, got.OwnM, got.Notes)
	}

	s = eastward(200)
	got = Profile(s, nil, Options{Own: own})
	if s[100].HeightM != own[100] || math.Abs(s[100].Grade-0.05) > 0.01 || !strings.Contains(got.Notes[0], "route file") {
		t.Errorf("without a grid: height %g, grade %g, notes %q", s[100].HeightM, s[100].Grade, got.Notes)
	}

	s = eastward(5)
	got = Profile(s, nil, Options{})
	for _, x := range s {
		if x.HeightM == x.HeightM || x.Grade == x.Grade || x.GradeBand == x.GradeBand || x.Side == x.Side {
			t.Errorf("without heights: %+v", x)
		}
	}
	if len(got.Notes) != 1 || !strings.Contains(got.Notes[0], "No heights") {
		t.Errorf("without heights: notes %q", got.Notes)
	}
	if got := Profile(nil, nil, Options{}); len(got.Notes) != 0 {
		t.Errorf("no samples: notes %q", got.Notes)
	}
	one := eastward(1)
	Profile(one, tilted(t, 0.05, 0, nil), Options{})
	if math.Abs(one[0].HeightM-800) > 0.01 || one[0].Grade == one[0].Grade {
		t.Errorf("one sample: height %g, grade %g", one[0].HeightM, one[0].Grade)
	}
}

// Driven the other way every grade changes its sign and keeps its band.
func TestProfileReversed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		rng := rand.New(rand.NewPCG(seed, 1))
		n := rapid.IntRange(2, 60).Draw(t, "n")
		there, back := make([]reading, n), make([]reading, n)
		for i := range there {
			there[i] = reading{z: 500 + 20*rng.NormFloat64(), sd: 2 + 6*rng.Float64(), length: 50, prior: PriorTrack, white: 0.1, stepM: 25}
			if rng.IntN(6) == 0 {
				there[i].z = nan
			}
		}
		there[0].z, there[n-1].z = 500, 510
		for i := range back {
			back[i] = there[n-1-i]
		}
		a, _ := smooth(nil, nil, there)
		b, _ := smooth(nil, nil, back)
		for i := range a {
			// The vague beginning of 300 m lies at the other end; its weight is some (5/300)^2.
			if d := math.Abs(a[i].g + b[n-1-i].g); d > 0.01*a[i].gSD+1e-6 {
				t.Fatalf("grade %g there and %g back at sample %d of %d", a[i].g, b[n-1-i].g, i, n)
			}
			if d := math.Abs(a[i].gSD/b[n-1-i].gSD - 1); d > 1e-3 {
				t.Fatalf("deviation %g there and %g back at sample %d of %d", a[i].gSD, b[n-1-i].gSD, i, n)
			}
		}
	})
}

// The filter and smoother against the same model solved in one piece: all states of all samples as
// unknowns of one least-squares problem, with gonum's dense solver.
func TestSmoothAgainstOneSystem(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	const n = 14
	in := make([]reading, n)
	for i := range in {
		in[i] = reading{z: 900 + 2*float64(i) + 4*rng.NormFloat64(), sd: 2 + 5*rng.Float64(), length: 30 + 5*float64(i%3), prior: GradePrior{0.05 + 0.01*float64(i%4), 150}, white: 0.2, stepM: 25}
	}
	in[5].z, in[6].z = nan, nan
	in[9].stepM = 60
	got, _ := smooth(nil, nil, in)

	info := dense.NewSymDense(4*n, nil) // information matrix
	rhs := dense.NewVecDense(4*n, nil)
	// add puts a constraint: row . state = value with covariance c.
	add := func(rows [][]float64, at []int, value []float64, cov *dense.SymDense) {
		var chol dense.Cholesky
		if !chol.Factorize(cov) {
			t.Fatal("a covariance is not positive")
		}
		var inv dense.SymDense
		if err := chol.InverseTo(&inv); err != nil {
			t.Fatal(err)
		}
		for i := range rows {
			for j := range rows {
				w := inv.At(i, j)
				for a, ra := range rows[i] {
					for b, rb := range rows[j] {
						if at[a] <= at[b] {
							info.SetSym(at[a], at[b], info.At(at[a], at[b])+w*ra*rb)
						}
					}
					rhs.SetVec(at[a], rhs.AtVec(at[a])+w*ra*value[j])
				}
			}
		}
	}
	k := 1 / in[0].length
	v := in[0].prior.SD * in[0].prior.SD
	add([][]float64{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}, []int{0, 1, 2, 3}, []float64{in[0].z, 0, 0, 0},
		dense.NewSymDense(4, []float64{90000, 0, 0, 0, 0, v, 0, 0, 0, 0, 1, 0, 0, 0, 0, k * k}))
	for i := range in {
		if z := in[i].z; z == z {
			add([][]float64{{1, in[i].sd}}, []int{4 * i, 4*i + 2}, []float64{z}, dense.NewSymDense(1, []float64{in[i].white}))
		}
		if i == 0 {
			continue
		}
		// Transition and noise by numbers: the differential equations in 4000 small steps.
		const m = 4000
		d, l, k, sd := in[i].stepM/m, in[i].prior.LengthM, 1/in[i].length, in[i].prior.SD
		f, q := dense.NewDense(4, 4, []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}), dense.NewDense(4, 4, nil)
		// Second-order step, so that 4000 of them are good to 1e-7.
		a := dense.NewDense(4, 4, []float64{0, 1, 0, 0, 0, -1 / l, 0, 0, 0, 0, 0, 1, 0, 0, -k * k, -2 * k})
		one, a2 := dense.NewDense(4, 4, nil), dense.NewDense(4, 4, nil)
		a2.Mul(a, a)
		for r := range 4 {
			for c := range 4 {
				one.Set(r, c, d*a.At(r, c)+d*d/2*a2.At(r, c))
			}
			one.Set(r, r, one.At(r, r)+1)
		}
		for range m {
			var t1, t2 dense.Dense
			// Half the noise before the step, half after it.
			half := func() {
				q.Set(1, 1, q.At(1, 1)+sd*sd*d/l)
				q.Set(3, 3, q.At(3, 3)+2*k*k*k*d)
			}
			half()
			t1.Mul(one, q)
			t2.Mul(&t1, one.T())
			q.Copy(&t2)
			half()
			t1.Reset()
			t1.Mul(one, f)
			f.Copy(&t1)
		}
		rows, at, cov := make([][]float64, 4), make([]int, 8), dense.NewSymDense(4, nil)
		for r := range 4 {
			rows[r] = make([]float64, 8)
			for c := range 4 {
				rows[r][c] = -f.At(r, c)
				cov.SetSym(r, c, (q.At(r, c)+q.At(c, r))/2)
			}
			rows[r][4+r] = 1
			at[r], at[4+r] = 4*(i-1)+r, 4*i+r
		}
		add(rows, at, make([]float64, 4), cov)
	}
	var chol dense.Cholesky
	if !chol.Factorize(info) {
		t.Fatal("the system cannot be solved")
	}
	var x dense.VecDense
	if err := chol.SolveVecTo(&x, rhs); err != nil {
		t.Fatal(err)
	}
	var inv dense.SymDense
	if err := chol.InverseTo(&inv); err != nil {
		t.Fatal(err)
	}
	for i, e := range got {
		h, g := x.AtVec(4*i), x.AtVec(4*i+1)
		hSD, gSD := math.Sqrt(inv.At(4*i, 4*i)), math.Sqrt(inv.At(4*i+1, 4*i+1))
		if math.Abs(e.h-h) > 1e-3 || math.Abs(e.g-g) > 1e-5 || math.Abs(e.hSD/hSD-1) > 1e-3 || math.Abs(e.gSD/gSD-1) > 1e-3 {
			t.Errorf("sample %d: height %.4f +- %.4f, grade %.6f +- %.6f; one system gives %.4f +- %.4f, %.6f +- %.6f",
				i, e.h, e.hSD, e.g, e.gSD, h, hSD, g, gSD)
		}
	}
}

func TestOutliersAreWeighedDown(t *testing.T) {
	in := make([]reading, 80)
	for i := range in {
		in[i] = reading{z: 500 + 0.05*25*float64(i), sd: 4, length: 50, prior: PriorTrack, white: 0.1, stepM: 25}
	}
	in[40].z += 60 // a tower, a cliff, a filled hole
	got, _ := robust(nil, nil, in)
	for i, e := range got {
		if math.Abs(e.g-0.05) > 0.03 {
			t.Errorf("grade %.3f at sample %d beside a reading 60 m off, want 0.05 within 0.03", e.g, i)
		}
	}
}

func TestAscent(t *testing.T) {
	for _, c := range []struct {
		name      string
		h         []float64
		threshold float64
		up, down  float64
	}{
		{"none", nil, 5, 0, 0},
		{"one", []float64{7}, 5, 0, 0},
		{"all unknown", []float64{nan, nan}, 0, 0, 0},
		{"every change", []float64{0, 3, 1, 2}, 0, 4, 2},
		{"ripples below the threshold", []float64{0, 4, 0, 4, 0}, 5, 0, 0},
		{"exactly the threshold", []float64{0, 5, 0}, 5, 5, 5},
		{"creeping up", []float64{0, 2, 4, 6, 8, 10}, 5, 6, 0}, // 6 counts, then 4 more do not
		{"a hole", []float64{0, nan, 10, nan, 3}, 5, 10, 7},
		{"below the sea", []float64{-400, -410, -380}, 5, 30, 10},
	} {
		if up, down := Ascent(c.h, c.threshold); up != c.up || down != c.down {
			t.Errorf("%s: %g up and %g down, want %g and %g", c.name, up, down, c.up, c.down)
		}
	}
}

func TestAscentProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.SliceOfN(rapid.Float64Range(-400, 5000), 2, 60).Draw(t, "h")
		threshold := rapid.Float64Range(0, 50).Draw(t, "threshold")
		up, down := Ascent(h, threshold)
		if up < 0 || down < 0 || math.Abs(up-down-(h[len(h)-1]-h[0])) > max(threshold, 1e-6) {
			t.Fatalf("%g up less %g down is not the difference %g of the ends within the threshold %g", up, down, h[len(h)-1]-h[0], threshold)
		}
		allUp, allDown := Ascent(h, 0)
		if up > allUp+1e-6 || down > allDown+1e-6 {
			t.Fatalf("a threshold of %g raises the sums from %g, %g to %g, %g", threshold, allUp, allDown, up, down)
		}
	})
}

func BenchmarkProfile(b *testing.B) {
	p := geo.NewPlane(orb.Point{20.05, 40.95})
	m := NewModel(grid(b, 20, 41, 1.0/1200, 121, 121, func(lon, lat float64) float64 {
		x, y := p.ToXY(orb.Point{lon, lat})
		return 900 + 0.2*y + 60*math.Sin(x/400) + 20*math.Cos(y/170)
	}))
	s := make([]geo.Sample, 10000)
	for i := range s {
		q := p.FromXY(2500*math.Sin(float64(i)/90), 3000*math.Cos(float64(i)/111))
		s[i] = geo.Sample{DistanceM: 25 * float64(i), Lon: q[0], Lat: q[1]}
	}
	b.ReportAllocs()
	for b.Loop() {
		Profile(s, m, Options{})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(s)), "ns/sample")
}
