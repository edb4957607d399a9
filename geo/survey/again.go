package survey

import (
	"context"
	"slices"
	"strings"

	"lastroad/geo"
	"lastroad/geo/ground"
	"lastroad/geo/height"
	"lastroad/geo/network"
	"lastroad/geo/osm"
)

// Base is a survey that can be measured again with other numbers in its tables, to find out what they do. It does not
// change and may be used by several goroutines.
type Base struct {
	w       *work
	samples []geo.Sample // before rounding
}

// NewBase measures a route as [Survey] does.
func NewBase(ctx context.Context, route geo.Route, region *osm.Region, heights *height.Model, tables Tables, opts Options, progress func(stage string, done float64)) (*Base, error) {
	w, err := begin(route, region, heights, tables, opts)
	if err != nil {
		return nil, err
	}
	last := len(Stages) - 1
	if err := w.run(ctx, 0, last, progress); err != nil {
		return nil, err
	}
	b := &Base{w, slices.Clone(w.s.Samples)}
	if region != nil {
		lengths := make(map[*osm.Way]float64, len(region.Ways))
		for i := range region.Ways {
			lengths[&region.Ways[i]] = geo.Length(region.Ways[i].Line)
		}
		w.lengthOf = func(r *osm.Way) float64 { return lengths[r] }
	}
	return b, w.run(ctx, last, len(Stages), progress)
}

// Survey is what was measured with the tables as they are.
func (b *Base) Survey() *geo.Survey { return b.w.s }

// Trial is a number of the tables to be tried at another value.
type Trial struct {
	Table string // "ground.toml", "ways.toml", "pace.toml"
	ground.Number
	// Again is the survey with the number at a value: other grounds, driving times, ways out and walks; ways, heights,
	// roads, marks, places and legs stay. It is nil when the route does not ask for the number.
	Again func(ctx context.Context, v float64) (*geo.Survey, error)
}

// Trials lists the numbers that have a band, in a fixed order, but for the chances of fords, which a judgement doubts by
// itself (see [geo.Premise]). A weight of ground.toml counts as asked for where the ground of the route changes with it; ways
// that only lead out are not looked at for that.
func (b *Base) Trials() []Trial {
	var out []Trial
	t := b.w.tables
	add := func(table string, numbers []ground.Number, again func(ctx context.Context, path string, v float64) (*geo.Survey, error)) {
		for _, n := range numbers {
			if n.Low < n.High {
				out = append(out, Trial{table, n, func(ctx context.Context, v float64) (*geo.Survey, error) { return again(ctx, n.Path, v) }})
			}
		}
	}
	region := slices.DeleteFunc(t.Ground.Numbers(), func(n ground.Number) bool { return !strings.HasPrefix(n.Path, "region.") })
	add("ground.toml", append(region, t.Ground.Weights()...), func(ctx context.Context, path string, v float64) (*geo.Survey, error) {
		rules, err := t.Ground.With(path, v)
		if err != nil {
			return nil, err
		}
		w := b.copy(Tables{rules, t.Ways, t.Pace})
		w.s.Grounds = nil
		if w.dry(); w.sameGrounds(b.w) {
			return nil, nil
		}
		w.crossed()
		return w.driven(true), ctx.Err()
	})
	add("ways.toml", t.Ways.Numbers(), func(ctx context.Context, path string, v float64) (*geo.Survey, error) {
		ways, err := t.Ways.With(path, v)
		if err != nil {
			return nil, err
		}
		w := b.copy(Tables{t.Ground, ways, t.Pace})
		if strings.HasPrefix(path, "foot.") || strings.HasPrefix(path, "path.") {
			if b.w.walksAlike(ways) {
				return nil, nil
			}
			err := w.walk(ctx)
			round(w.s.Samples)
			return w.s, err
		}
		return w.driven(true), ctx.Err()
	})
	add("pace.toml", t.Pace.Numbers(), func(ctx context.Context, path string, v float64) (*geo.Survey, error) {
		pace, _ := t.Pace.With(path, v)
		return b.copy(Tables{t.Ground, t.Ways, pace}).driven(false), ctx.Err()
	})
	return out
}

// copy is the work with samples of its own and other tables.
func (b *Base) copy(t Tables) *work {
	w, s := *b.w, *b.w.s
	s.Samples, s.Grounds, s.Notes = slices.Clone(b.samples), slices.Clip(s.Grounds), nil
	w.s, w.tables, w.step = &s, t, func(float64) {}
	return &w
}

// sameGrounds reports whether what lies under the samples is as in another survey; what crossings add is left out.
func (w *work) sameGrounds(o *work) bool {
	return slices.Equal(w.s.Grounds, o.s.Grounds[:min(len(o.s.Grounds), len(w.s.Grounds))])
}

// walksAlike reports whether all that the region holds is walked as fast by other tables.
func (w *work) walksAlike(o *ground.Ways) bool {
	if w.region == nil {
		return true
	}
	t := w.tables.Ways
	off := func(k osm.AreaKind) bool { return t.FootOffWay(k).Central == o.FootOffWay(k).Central }
	return off(osm.AreaNone) &&
		!slices.ContainsFunc(w.region.Areas, func(a osm.Area) bool { return !off(a.Kind) }) &&
		!slices.ContainsFunc(w.region.Ways, func(r osm.Way) bool {
			a, _ := t.FootOnWay(r.Tags)
			b, _ := o.FootOnWay(r.Tags)
			return a.Central != b.Central
		})
}

// driven measures driving again, with the network where the paces on its ways may be others.
func (w *work) driven(anew bool) *geo.Survey {
	sec := w.times()
	if w.region != nil {
		if anew {
			w.off = w.waysOff(network.Build(w.region.Ways, w.use()))
		}
		w.leave(sec)
	}
	round(w.s.Samples)
	return w.s
}
