package risk

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync"
	"sync/atomic"

	"lastroad/geo"
	"lastroad/geo/table"
	"lastroad/risk/catalogue"
	"lastroad/risk/supply"
)

// Effect is what one number of the tables does to readiness when it goes from its low to its high value
// while all others stay.
type Effect struct {
	// Table and Path name the number as the list of assumptions does ("hazards.toml", "rate/tyre/sand").
	Table, Path string
	Title       string // in words; the path where the table has none
	geo.Figure
	// Trip and Legs are the readiness at the high value less that at the low one, in points. A leg that the
	// number does not touch has 0.
	Trip float64
	Legs []float64
}

// Most is the leg that the number moves most and by how many points, -1 and 0 when it moves none.
func (e *Effect) Most() (leg int, points float64) {
	leg = -1
	for i, v := range e.Legs {
		if math.Abs(v) > math.Abs(points) {
			leg, points = i, v
		}
	}
	return leg, points
}

// leastEffect is the change in points below which a number counts as not used: rounding.
const leastEffect = 1e-6

// A Measuring is a number of the tables by which the route was measured.
type Measuring struct {
	Table, Path, Title string // as in [Effect]
	geo.Figure
	// Again measures the route with the number at a value, into the same legs; nil when that changes nothing.
	Again func(ctx context.Context, v float64) (*geo.Survey, error)
}

// Effects puts every number that the judgement of this trip uses and that has a band to its low and to its
// high value, the others central, and says what that does to the readiness of the trip and of each leg,
// the numbers that move some leg most first. It works through the tables of hazards, factors, recipes,
// policy, recovery, supplies and the vehicle classes in use, the chances of fords that the survey kept, and the numbers of
// the measuring, each of which must be safe to measure with from several goroutines. Numbers whose effect is nothing are left out.
//
// It works readiness out more than a thousand times, on all processors: some seconds, for the background. Progress is
// told through Options.Progress, from several goroutines but one at a time; it ends early with ctx's error.
// [Options.Samples] and Quick are not used.
func Effects(ctx context.Context, s *geo.Survey, t Trip, cat *catalogue.Catalogue, measuring []Measuring, opts Options) ([]Effect, error) {
	base, err := begin(ctx, s, t, cat, Options{Quick: true, central: true, Daylight: opts.Daylight, Memo: opts.Memo})
	if err != nil {
		return nil, err
	}
	total := 0
	all := func(yield func(trialNumber) bool) {
		going := true
		trials(base, func(q trialNumber) bool { going = yield(q); return going })
		for i := range measuring {
			if m := &measuring[i]; going && m.Low < m.High {
				going = yield(trialNumber{table: m.Table, path: m.Path, title: m.Title, f: m.Figure, again: m.Again})
			}
		}
	}
	all(func(trialNumber) bool { total++; return true })
	workers := runtime.GOMAXPROCS(0)
	results := make([][]Effect, workers)
	var wg sync.WaitGroup
	var done atomic.Int64
	var told sync.Mutex
	for k := range workers {
		wg.Go(func() {
			memo := &Memo{} // of its own: recovery tables change under it
			n := 0
			all(func(q trialNumber) bool {
				n++
				if n%workers != k {
					return ctx.Err() == nil
				}
				if e, ok := base.effect(ctx, q, memo); ok {
					results[k] = append(results[k], e)
				}
				if d := done.Add(1); opts.Progress != nil && d%16 == 0 {
					told.Lock()
					opts.Progress("assumptions", math.Min(1, float64(d)/float64(total)))
					told.Unlock()
				}
				return ctx.Err() == nil
			})
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := slices.Concat(results...)
	sort.Slice(out, func(a, b int) bool {
		_, x := out[a].Most()
		_, y := out[b].Most()
		if x, y = math.Abs(x), math.Abs(y); x != y {
			return x > y
		}
		if out[a].Table != out[b].Table {
			return out[a].Table < out[b].Table
		}
		return out[a].Path < out[b].Path
	})
	opts.report("done", 1)
	return out, nil
}

// effect judges with a number at its low and at its high value; ok is false when nothing changes, or when the judging
// refuses a value.
func (st *study) effect(ctx context.Context, q trialNumber, memo *Memo) (e Effect, ok bool) {
	e = Effect{Table: q.table, Path: q.path, Title: q.title, Figure: q.f, Legs: make([]float64, len(st.survey.Legs))}
	for _, side := range []struct{ sign, v float64 }{{-1, q.f.Low}, {1, q.f.High}} {
		like, c, survey := *st, st.cat, st.survey
		o := Options{Quick: true, central: true, Daylight: st.opts.Daylight, Memo: memo, like: &like, pooled: true}
		switch {
		case q.again != nil:
			var err error
			if survey, err = q.again(ctx, side.v); err != nil || survey == nil {
				return e, false
			}
			o.Memo, o.like = nil, nil // of another survey
		case q.premise > 0:
			like.bare = st.bare.supposing(q.premise, side.v)
		default:
			if c, ok = q.try(side.v); !ok {
				return e, false
			}
		}
		v, err := begin(ctx, survey, st.given, c, o)
		if err != nil {
			v.release()
			return e, false
		}
		e.Trip += side.sign * v.res.Readiness()
		for i := range e.Legs {
			e.Legs[i] += side.sign * resultOf(v.w, v.legShares(i)).Readiness()
		}
		v.release()
	}
	_, most := e.Most()
	return e, math.Abs(most) >= leastEffect || math.Abs(e.Trip) >= leastEffect
}

// trialNumber is a number to be tried: one of the tables, which try gives with it at another value, a premise of the
// survey, counted from 1, or one by which again measures.
type trialNumber struct {
	table, path, title string
	f                  geo.Figure
	try                func(v float64) (*catalogue.Catalogue, bool)
	premise            int
	again              func(ctx context.Context, v float64) (*geo.Survey, error)
}

// trials lists the numbers with a band that can matter on the study's route, in a fixed order, until yield
// says stop.
func trials(st *study, yield func(trialNumber) bool) {
	here := st.groundsHere()
	going := true
	st.cat.Trials(func(e catalogue.Entry, try func(float64) *catalogue.Catalogue) bool {
		if g, ok := groundOf(e.Key); ok && !here[g] || st.idle(e.Key) {
			return going
		}
		going = yield(trialNumber{table: e.File, path: e.Key, title: e.Title, f: e.Figure, try: func(v float64) (*catalogue.Catalogue, bool) { return try(v), true }})
		return going
	})
	for k, used := range st.premisesHere() {
		if p := &st.survey.Premises[k]; going && used && p.Low < p.High {
			going = yield(trialNumber{table: "ground.toml", path: p.Key, title: p.Title, f: p.Figure, premise: k + 1})
		}
	}
	with := func(change func(c *catalogue.Catalogue) bool) (*catalogue.Catalogue, bool) {
		c := *st.cat
		return &c, change(&c)
	}
	point := func(f geo.Figure, v float64) geo.Figure {
		f.Low, f.Central, f.High = v, v, v
		return f
	}
	st.cat.Recovery.Figures(func(path string, f geo.Figure) {
		if going && f.Low < f.High {
			going = yield(trialNumber{table: "recovery.toml", path: path, title: path, f: f, try: func(v float64) (*catalogue.Catalogue, bool) {
				return with(func(c *catalogue.Catalogue) bool {
					t, err := st.cat.Recovery.Override(path, point(f, v))
					c.Recovery = t
					return err == nil
				})
			}})
		}
	})
	st.cat.Supply.Figures(func(path string, f geo.Figure) {
		if going && f.Low < f.High {
			going = yield(trialNumber{table: "supply.toml", path: path, title: path, f: f, try: func(v float64) (*catalogue.Catalogue, bool) {
				return with(func(c *catalogue.Catalogue) bool {
					t, err := st.cat.Supply.Override(path, point(f, v))
					c.Supply = t
					return err == nil
				})
			}})
		}
	})
	used := map[string]bool{st.trip.Party.Vehicle.Class: true}
	if st.trip.Partner != nil && st.trip.Together {
		used[st.trip.Partner.Vehicle.Class] = true
	}
	st.cat.Vehicles.Figures(func(path string, f geo.Figure) {
		if !going || f.Low >= f.High {
			return
		}
		for i := range st.cat.Vehicles.Classes {
			key := st.cat.Vehicles.Classes[i].Key
			if used[key] && hasPrefix(path, "vehicles", i+1) {
				going = yield(trialNumber{table: "vehicles.toml", path: path, title: path, f: f, try: func(v float64) (*catalogue.Catalogue, bool) {
					return with(func(c *catalogue.Catalogue) bool {
						vs := &supply.Vehicles{Classes: slices.Clone(st.cat.Vehicles.Classes)}
						table.Figures(vs, func(p string, old *geo.Figure) {
							if p == path {
								*old = point(f, v)
							}
						})
						c.Vehicles = vs
						return true
					})
				}})
			}
		}
	})
}
