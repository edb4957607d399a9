package height

import "math"

// This file is the estimator: a Kalman filter forward and a modified Bryson-Frazier smoother back
// (G.J. Bierman, "Fixed interval smoothing with discrete measurements", International Journal of
// Control 18, 1973), which gives what Rauch-Tung-Striebel gives without inverting matrices.
//
// State: h height of the road (m), g its grade, u the error of the reading in units of its standard
// deviation, w the change of u a metre. Along the line, with noise n,
//
//	h' = g
//	g' = -g/L + n              grade keeps over L, stationary standard deviation sd (the prior)
//	u' = w,  w' = -u/l^2 - 2w/l + n    a smooth error, correlation (1 + d/l) exp(-d/l) over d metres
//	z  = h + s u + white noise
//
// with s the standard deviation of the reading at that place (Noise.SD). The smooth error process
// (Matern with parameter 3/2) is what bilinear readings of a grid show: between posts they hardly change.

// reading is one sample as the estimator sees it.
type reading struct {
	stepM  float64 // from the sample before; 0 for the first
	z      float64 // height read, NaN where there is none
	sd     float64 // of the correlated error of z, metres
	length float64 // l of its correlation, metres
	prior  GradePrior
	white  float64 // variance of the white error, metres squared
}

// estimate is the answer for one sample: height and grade with their standard deviations.
type estimate struct{ h, g, hSD, gSD float64 }

type (
	vec [4]float64    // h g u w
	mat [4][4]float64 // symmetric throughout
)

// kept is what the forward pass leaves for the backward one.
type kept struct {
	x    vec     // predicted state
	p    mat     // its covariance
	y, s float64 // innovation and its variance; s 0 where nothing was read
}

func (m *mat) times(v *vec) (out vec) {
	for i := range out {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2] + m[i][3]*v[3]
	}
	return out
}

// move is the transition over one step: h += b g, g *= f, and u and w by the matrix a.
type move struct {
	b, f float64
	a    [2][2]float64
}

// forward takes a state and its covariance over the step: x <- F x, p <- F p F'.
func (m *move) forward(x *vec, p *mat) {
	*x = vec{x[0] + m.b*x[1], m.f * x[1], m.a[0][0]*x[2] + m.a[0][1]*x[3], m.a[1][0]*x[2] + m.a[1][1]*x[3]}
	var t mat // F p, row by row
	for j := range t {
		t[0][j] = p[0][j] + m.b*p[1][j]
		t[1][j] = m.f * p[1][j]
		t[2][j] = m.a[0][0]*p[2][j] + m.a[0][1]*p[3][j]
		t[3][j] = m.a[1][0]*p[2][j] + m.a[1][1]*p[3][j]
	}
	for i := range t {
		r := &t[i]
		p[i] = [4]float64{r[0] + m.b*r[1], m.f * r[1], m.a[0][0]*r[2] + m.a[0][1]*r[3], m.a[1][0]*r[2] + m.a[1][1]*r[3]}
	}
}

// back takes the adjoint of a state over the step: v <- F' v, l <- F' l F.
func (m *move) back(v *vec, l *mat) {
	*v = vec{v[0], m.b*v[0] + m.f*v[1], m.a[0][0]*v[2] + m.a[1][0]*v[3], m.a[0][1]*v[2] + m.a[1][1]*v[3]}
	var t mat // F' l
	for j := range t {
		t[0][j] = l[0][j]
		t[1][j] = m.b*l[0][j] + m.f*l[1][j]
		t[2][j] = m.a[0][0]*l[2][j] + m.a[1][0]*l[3][j]
		t[3][j] = m.a[0][1]*l[2][j] + m.a[1][1]*l[3][j]
	}
	for i := range t {
		r := &t[i]
		l[i] = [4]float64{r[0], m.b*r[0] + m.f*r[1], m.a[0][0]*r[2] + m.a[1][0]*r[3], m.a[0][1]*r[2] + m.a[1][1]*r[3]}
	}
}

// stepper remembers the last transition, since most steps of a route are alike.
type stepper struct {
	stepM, length, priorL float64
	move                  move
	// Noise added over the step: of h and g for a grade of unit standard deviation, and of u and w.
	hh, hg, gg, uu, uw, ww float64
}

// over gives the transition over the step that leads to r.
func (t *stepper) over(r *reading) *stepper {
	if r.stepM != t.stepM || r.prior.LengthM != t.priorL || r.length != t.length {
		d, l := r.stepM, r.prior.LengthM
		f := math.Exp(-d / l)
		k := 1 / r.length
		e := math.Exp(-d * k)
		a := [2][2]float64{{e * (1 + k*d), e * d}, {-e * k * k * d, e * (1 - k*d)}}
		*t = stepper{stepM: d, length: r.length, priorL: l, move: move{l * (1 - f), f, a},
			hh: max(l*l*(2*d/l-3+4*f-f*f), 0), hg: l * (1 - f) * (1 - f), gg: 1 - f*f,
			uu: 1 - a[0][0]*a[0][0] - k*k*a[0][1]*a[0][1],
			uw: -a[0][0]*a[1][0] - k*k*a[0][1]*a[1][1],
			ww: k*k - a[1][0]*a[1][0] - k*k*a[1][1]*a[1][1]}
	}
	return t
}

// smooth estimates height and grade at each reading. dst and work are grown as needed and returned.
// Where nothing is read the prior carries on and the standard deviations grow.
func smooth(dst []estimate, work []kept, in []reading) ([]estimate, []kept) {
	dst, work = grow(dst, len(in)), grow(work, len(in))
	start := 0.0
	for _, r := range in {
		if r.z == r.z {
			start = r.z
			break
		}
	}
	// 300 m is a vague beginning for a height next to any reading's error.
	x := vec{start}
	k := 1 / in[0].length
	p := mat{{300 * 300}, {1: in[0].prior.SD * in[0].prior.SD}, {2: 1}, {3: k * k}}
	var step stepper
	for k := range in {
		r := &in[k]
		if k > 0 {
			t := step.over(r)
			t.move.forward(&x, &p)
			v := r.prior.SD * r.prior.SD
			p[0][0] += v * t.hh
			p[0][1] += v * t.hg
			p[1][0] += v * t.hg
			p[1][1] += v * t.gg
			p[2][2] += t.uu
			p[2][3] += t.uw
			p[3][2] += t.uw
			p[3][3] += t.ww
		}
		w := &work[k]
		w.x, w.p, w.s = x, p, 0
		if r.z != r.z {
			continue
		}
		d := p.times(&vec{1, 0, r.sd}) // P H', H = (1, 0, sd, 0)
		w.s = d[0] + r.sd*d[2] + r.white
		w.y = r.z - x[0] - r.sd*x[2]
		inv := 1 / w.s
		for i := range x {
			x[i] += d[i] * w.y * inv
			for j := range x {
				p[i][j] -= d[i] * d[j] * inv
			}
		}
	}
	// Backward: v and l are the adjoint vector and matrix behind the sample.
	var v vec
	var l mat
	for k := len(in) - 1; k >= 0; k-- {
		w, r := &work[k], &in[k]
		if w.s > 0 {
			observeBack(&v, &l, w, r.sd)
		}
		a := w.p.times(&v)
		// Rows h and g of P, and l times them, for the two variances wanted.
		ph, pg := vec(w.p[0]), vec(w.p[1])
		lh, lg := l.times(&ph), l.times(&pg)
		hv, gv := w.p[0][0], w.p[1][1]
		for i := range lh {
			hv -= ph[i] * lh[i]
			gv -= pg[i] * lg[i]
		}
		dst[k] = estimate{w.x[0] - a[0], w.x[1] - a[1], math.Sqrt(max(hv, 0)), math.Sqrt(max(gv, 0))}
		if k > 0 {
			step.over(r).move.back(&v, &l)
		}
	}
	return dst, work
}

// observeBack takes the adjoint from behind a reading to before it: with C = I - K H,
// v <- C' v - H' y/s and l <- C' l C + H' H / s.
func observeBack(v *vec, l *mat, w *kept, sd float64) {
	h := vec{1, 0, sd, 0}
	d := w.p.times(&h)
	inv := 1 / w.s
	kv := 0.0 // K . v
	for i := range d {
		d[i] *= inv // from here on d is K
		kv += d[i] * v[i]
	}
	lk := l.times(&d)
	klk := 0.0
	for i := range d {
		klk += d[i] * lk[i]
	}
	for i := range d {
		v[i] -= h[i] * (kv + w.y*inv)
		for j := range d {
			l[i][j] += -lk[i]*h[j] - h[i]*lk[j] + h[i]*h[j]*(klk+inv)
		}
	}
}

func grow[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// robust runs smooth, gives readings that stand off by more than two of their standard deviations
// the variance that would put them at two, and runs it again, twice at most. Errors of a height grid
// have long tails: forest edges, cliffs, filled voids.
func robust(dst []estimate, work []kept, in []reading) ([]estimate, []kept) {
	const tail = 2.0
	dst, work = smooth(dst, work, in)
	for range 2 {
		changed := false
		for k := range in {
			r := &in[k]
			if r.z != r.z {
				continue
			}
			t := (r.z - dst[k].h) * (r.z - dst[k].h) / (tail * tail)
			if extra := t - r.sd*r.sd; extra > 1.05*r.white {
				r.white = extra
				changed = true
			}
		}
		if !changed {
			break
		}
		dst, work = smooth(dst, work, in)
	}
	return dst, work
}
