package height

import "math"

// This file is the estimator: a Kalman filter forward and a modified Bryson-Frazier smoother back
// (G.J. Bierman, "Fixed interval smoothing with discrete measurements", International Journal of
// Control 18, 1973), which gives what Rauch-Tung-Striebel gives without inverting matrices.
//
// State: h height of the road (m), g its grade, u the error of the reading in units of its standard
// deviation. Along the line g and u are Ornstein-Uhlenbeck processes and h the integral of g:
//
//	g' = -g/L + noise, stationary standard deviation sd (the prior)
//	u' = -u/l + noise, stationary standard deviation 1
//	z  = h + s u + white noise
//
// with s the standard deviation of the reading at that place (Noise.SD).

// reading is one sample as the estimator sees it.
type reading struct {
	stepM  float64 // from the sample before; 0 for the first
	z      float64 // height read, NaN where there is none
	sd     float64 // of the correlated error of z, metres
	length float64 // of its correlation, metres
	prior  GradePrior
	white  float64 // variance of the white error, metres squared
}

// estimate is the answer for one sample: height and grade with their standard deviations.
type estimate struct{ h, g, hSD, gSD float64 }

// kept is what the forward pass leaves for the backward one.
type kept struct {
	x    [3]float64 // predicted state
	p    sym3       // its covariance
	y, s float64    // innovation and its variance; s 0 where nothing was read
}

// sym3 is a symmetric matrix, hh hg hu gg gu uu.
type sym3 [6]float64

func (p *sym3) times(v [3]float64) [3]float64 {
	return [3]float64{p[0]*v[0] + p[1]*v[1] + p[2]*v[2], p[1]*v[0] + p[3]*v[1] + p[4]*v[2], p[2]*v[0] + p[4]*v[1] + p[5]*v[2]}
}

// move is the transition over one step: h += b g, g *= f, u *= e.
type move struct{ b, f, e float64 }

// stepper remembers the last transition, since most steps of a route are alike.
type stepper struct {
	stepM, length float64
	prior         GradePrior
	move          move
	noise         sym3
}

// over gives the transition over the step that leads to r and the noise it adds.
func (t *stepper) over(r *reading) (move, sym3) {
	if r.stepM != t.stepM || r.prior != t.prior || r.length != t.length {
		l, v := r.prior.LengthM, r.prior.SD*r.prior.SD
		f, e := math.Exp(-r.stepM/l), math.Exp(-r.stepM/r.length)
		hh := v * l * l * (2*r.stepM/l - 3 + 4*f - f*f)
		*t = stepper{r.stepM, r.length, r.prior, move{l * (1 - f), f, e},
			sym3{max(hh, 0), v * l * (1 - f) * (1 - f), 0, v * (1 - f*f), 0, 1 - e*e}}
	}
	return t.move, t.noise
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
	x := [3]float64{start, 0, 0}
	p := sym3{300 * 300, 0, 0, in[0].prior.SD * in[0].prior.SD, 0, 1}
	var step stepper
	for k := range in {
		r := &in[k]
		if k > 0 {
			m, q := step.over(r)
			x = [3]float64{x[0] + m.b*x[1], m.f * x[1], m.e * x[2]}
			p = sym3{
				p[0] + m.b*(2*p[1]+m.b*p[3]) + q[0],
				m.f*(p[1]+m.b*p[3]) + q[1],
				m.e * (p[2] + m.b*p[4]),
				m.f*m.f*p[3] + q[3],
				m.f * m.e * p[4],
				m.e*m.e*p[5] + q[5]}
		}
		w := &work[k]
		w.x, w.p, w.s = x, p, 0
		if r.z != r.z {
			continue
		}
		// d = P H', H = (1, 0, sd).
		d := p.times([3]float64{1, 0, r.sd})
		w.s = d[0] + r.sd*d[2] + r.white
		w.y = r.z - x[0] - r.sd*x[2]
		g := w.y / w.s
		for i := range x {
			x[i] += d[i] * g
		}
		i := 1 / w.s
		p[0] -= d[0] * d[0] * i
		p[1] -= d[0] * d[1] * i
		p[2] -= d[0] * d[2] * i
		p[3] -= d[1] * d[1] * i
		p[4] -= d[1] * d[2] * i
		p[5] -= d[2] * d[2] * i
	}
	// Backward: v and l are the adjoint vector and matrix behind the sample.
	var v [3]float64
	var l sym3
	for k := len(in) - 1; k >= 0; k-- {
		w, r := &work[k], &in[k]
		if w.s > 0 {
			v, l = observeBack(v, l, w, r.sd)
		}
		a := w.p.times(v)
		// Rows 0 and 1 of P times l, for the two variances wanted.
		hl, gl := l.times([3]float64{w.p[0], w.p[1], w.p[2]}), l.times([3]float64{w.p[1], w.p[3], w.p[4]})
		hv := w.p[0] - hl[0]*w.p[0] - hl[1]*w.p[1] - hl[2]*w.p[2]
		gv := w.p[3] - gl[0]*w.p[1] - gl[1]*w.p[3] - gl[2]*w.p[4]
		dst[k] = estimate{w.x[0] - a[0], w.x[1] - a[1], math.Sqrt(max(hv, 0)), math.Sqrt(max(gv, 0))}
		if k > 0 {
			m, _ := step.over(r)
			v, l = moveBack(v, l, m)
		}
	}
	return dst, work
}

// observeBack takes the adjoint from behind a reading to before it: with C = I - K H,
// v <- C' v - H' y/s and l <- C' l C + H' H / s.
func observeBack(v [3]float64, l sym3, w *kept, sd float64) ([3]float64, sym3) {
	h := [3]float64{1, 0, sd}
	d := w.p.times(h)
	i := 1 / w.s
	// C' a = a - H' (K . a), K = d / s.
	kv := (d[0]*v[0] + d[1]*v[1] + d[2]*v[2]) * i
	c := kv + w.y*i
	v[0] -= c
	v[2] -= sd * c
	lk := l.times(d)
	for n := range lk {
		lk[n] *= i
	}
	klk := (d[0]*lk[0] + d[1]*lk[1] + d[2]*lk[2]) * i
	t := klk + i
	// C' l C = l - lk h' - h lk' + h h' klk.
	l[0] += -2*lk[0] + t
	l[1] -= lk[1]
	l[2] += -lk[0]*sd - lk[2] + sd*t
	l[4] -= sd * lk[1]
	l[5] += -2*sd*lk[2] + sd*sd*t
	return v, l
}

// moveBack takes the adjoint over a step: v <- F' v, l <- F' l F.
func moveBack(v [3]float64, l sym3, m move) ([3]float64, sym3) {
	v = [3]float64{v[0], m.b*v[0] + m.f*v[1], m.e * v[2]}
	return v, sym3{
		l[0],
		m.b*l[0] + m.f*l[1],
		m.e * l[2],
		m.b*m.b*l[0] + 2*m.b*m.f*l[1] + m.f*m.f*l[3],
		m.e * (m.b*l[2] + m.f*l[4]),
		m.e * m.e * l[5]}
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
