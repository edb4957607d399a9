package risk

import (
	"fmt"
	"math"
	"sync"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// place is where a trouble happens, as far as its forces depend on it.
type place struct {
	Ground geo.Ground
	Band   int // grade band
}

// strength is the answer of the forces: how far the weakest link is from its limit.
type strength struct {
	Margin float64 // limit over force; NaN when no force is involved
	OK     bool
	Fails  string
	rig    *rigged // of winch methods: what it was reckoned with
	// Minutes is the digging that comes to the handling of the recipe.
	Minutes float64
}

// rigged is a winch recovery that was reckoned without laying it out: few are ever looked at.
type rigged struct {
	rigger *recovery.Rigger
	stuck  recovery.Stuck

	planned sync.Once
	working *recovery.Working
	told    sync.Once
	least   float64
	fails   string
}

// plan is the recovery in full, nil when it cannot be planned.
func (r *rigged) plan() *recovery.Working {
	r.planned.Do(func() { r.working, _ = r.rigger.Plan(r.stuck) })
	return r.working
}

// short is what keeps it from holding, and its margin.
func (r *rigged) short() (margin float64, fails string) {
	r.told.Do(func() {
		var err error
		if r.least, r.fails, err = r.rigger.Short(r.stuck); err != nil {
			r.least, r.fails = math.NaN(), err.Error()
		}
	})
	return r.least, r.fails
}

// margin is limit over force of the weakest link, of what does not hold too.
func (s *strength) margin() float64 {
	if !s.OK && s.rig != nil {
		margin, _ := s.rig.short()
		return margin
	}
	return s.Margin
}

var noForce = strength{Margin: math.NaN(), OK: true}

var stageDepth = map[string]recovery.Depth{"tread": recovery.Tread, "hub": recovery.Hub, "axle": recovery.Axle, "body": recovery.Body, "slope": recovery.Tread, "rolled": recovery.Tread}

// dugOut is the depth whose pull is left after the wheels are dug free with a spade, which comes before
// every pull: one stage less. From the body down only the belly and wheels' fronts are freed, not the ruts.
var dugOut = map[recovery.Depth]recovery.Depth{recovery.Tread: recovery.Tread, recovery.Sidewall: recovery.Tread, recovery.Hub: recovery.Sidewall,
	recovery.Axle: recovery.Hub, recovery.Body: recovery.Hub}

// stuckAt is the state of the vehicle for a trouble of the given stage.
func stuckAt(o *outfit, stage string, at place) recovery.Stuck {
	return recovery.Stuck{MassKg: o.massKg, Ground: at.Ground, Depth: stageDepth[stage], Grade: gradeBands[at.Band].Pull,
		OnSide: stage == "rolled", InWater: at.Ground == geo.Ford}
}

// soilOf is the soil that anchors would be set in.
func soilOf(g geo.Ground) string {
	switch g {
	case geo.Sand, geo.Salt:
		return "sand"
	case geo.Mud, geo.Ford, geo.Snow:
		return "wet"
	case geo.Clay:
		return "clay"
	}
	return "loam"
}

// anchorsFor lists the anchors of a kind that the outfit can make.
func anchorsFor(cat *catalogue.Catalogue, o *outfit, kind string, at place) []recovery.Anchor {
	has := func(key string) (float64, *catalogue.Item) {
		i, ok := cat.ItemIndex(key)
		if !ok {
			return 0, nil
		}
		return o.count[i], &cat.Items[i]
	}
	switch kind {
	case "natural":
		return []recovery.Anchor{{Kind: recovery.Tree}}
	case "ground":
		var out []recovery.Anchor
		if n, it := has("ground_anchor"); n >= 1 {
			out = append(out, recovery.Anchor{Kind: recovery.EarthHook, WLLKN: it.RatingKN, Soil: soilOf(at.Ground)})
		}
		if n, _ := has("pickets"); n >= 1 {
			out = append(out, recovery.Anchor{Kind: recovery.Pickets, Picket: "steel", Count: int(3 * n), Soil: soilOf(at.Ground)})
		}
		return out
	case "buried":
		return []recovery.Anchor{{Kind: recovery.SpareWheel, DepthM: 0.9, FaceM: 0.75, Slope: 0.5, Soil: soilOf(at.Ground)}}
	case "partner":
		if o.partner != nil {
			return []recovery.Anchor{{Kind: recovery.Vehicle, MassKg: ladenKg(&o.partner.Vehicle), Ground: at.Ground, Chocked: true}}
		}
	}
	return nil
}

// kitKey spells out all of an outfit that a plan depends on beside the recovery tables.
func kitKey(o *outfit) string {
	b := make([]byte, 0, 256)
	add := func(v ...float64) {
		for _, x := range v {
			b = appendFloat(b, x)
		}
	}
	for _, w := range []*recovery.Winch{o.kit.Winch, o.kit.HandWinch, o.helper} {
		if w != nil {
			add(w.RatedKN, w.Rope.LengthM)
		} else {
			add(math.NaN(), math.NaN())
		}
	}
	for _, g := range o.kit.Gear {
		b = append(append(append(b, g.Key...), g.Place...), 0)
		add(float64(g.Count), g.WLLKN, g.MBSKN, g.LengthM)
	}
	for _, k := range anchorItems {
		if i, ok := o.index(k); ok {
			add(o.count[i], o.cat.Items[i].RatingKN)
		}
	}
	if o.partner != nil {
		p := &o.partner.Vehicle
		add(ladenKg(p), p.GVMKg, drivenShare(p), o.vehicle.GVMKg, drivenShare(o.vehicle))
	}
	return string(b)
}

// anchorItems are the things beside the kit that decide which anchors can be made.
var anchorItems = []string{"ground_anchor", "pickets"}

type planKey struct {
	method, anchor string
	stuck          recovery.Stuck
}

// winched plans a winch recovery with the own winch, and between the vehicles with the second one's too;
// the better of the two counts.
func winched(cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe, s recovery.Stuck, at place) strength {
	key := planKey{r.Method, r.Anchor, s}
	if st, ok := o.memo.plan(o.plans, key); ok {
		return st
	}
	best := strength{Margin: math.NaN()}
	pull, err := cat.Recovery.PullKN(s)
	if err != nil {
		best.Fails = err.Error()
		return best
	}
	load := winchLoad(pull)
	var rigs []riggedSite
	rigs, best.Fails = rigsAt(cat, o, r.Method == "hand_winch", r.Anchor, at)
	for _, g := range rigs {
		if g.err != nil {
			best = strength{Margin: math.NaN(), Fails: g.err.Error()}
			continue
		}
		st := strength{Margin: recovery.MostMargin, OK: g.kn > load, rig: &rigged{rigger: g.rigger, stuck: s}}
		if load > 0 {
			st.Margin = math.Min(g.kn/load, recovery.MostMargin)
		}
		if closeCall(g.kn, load) {
			if w := st.rig.plan(); w != nil {
				st.OK, st.Margin = w.Holds, w.BestMargin
			}
		}
		if best.rig == nil || st.OK && (!best.OK || st.Margin > best.Margin) {
			best = st
		}
	}
	o.memo.keep(o.plans, key, best)
	return best
}

// pulled is a straight or stretching pull by the second vehicle. It stands on the same ground: better
// ground under it is not counted. Every combination of straps, connectors and points is tried and the
// best margin counts, so that more gear never lowers it.
func pulled(cat *catalogue.Catalogue, o *outfit, method string, s recovery.Stuck) strength {
	if o.partner == nil {
		return strength{Margin: math.NaN(), Fails: "no second vehicle"}
	}
	key := planKey{method, "", s}
	if st, ok := o.memo.plan(o.pulls, key); ok {
		return st
	}
	best := strength{Margin: math.NaN(), Fails: "no strap with a known rating"}
	for _, strap := range o.tether.straps {
		if method == "kinetic" && strap.Kind != recovery.KineticStrap {
			continue
		}
		if method == "kinetic" {
			best = best.or(snatch(cat, o.tether, s, strap))
		} else {
			best = best.or(tug(cat, o.tether, s, strap))
		}
	}
	o.memo.keep(o.pulls, key, best)
	return best
}

// or is the better of two ways: one that holds, by its margin; while none does, the first that has a margin, whose
// words say best what is short.
func (s strength) or(other strength) strength {
	if other.OK && (!s.OK || other.Margin > s.Margin) || !s.OK && math.IsNaN(s.Margin) {
		return other
	}
	return s
}

// tug is a steady pull: the second vehicle's grip and the stuck one's own driven wheels against the pull
// asked for; strap, connectors and both points against the whole of it.
func tug(cat *catalogue.Catalogue, t *tether, s recovery.Stuck, strap recovery.Gear) strength {
	pull, err := cat.Recovery.PullKN(s)
	if err != nil {
		return strength{Margin: math.NaN(), Fails: err.Error()}
	}
	drawn, err := cat.Recovery.Tug(t.theirKg, s.Ground, s.Grade, t.theirShare)
	if err != nil {
		return strength{Margin: math.NaN(), Fails: err.Error()}
	}
	own := cat.Recovery.Traction.Of(s.Ground).Low * recovery.KN(t.massKg) * t.driven
	return t.chained(cat, strap, pull.CentralKN, "grip of the second vehicle", drawn.CentralKN+own)
}

// chained sets what the second vehicle's wheels give, and a strap with its connectors and both points, against
// the force asked for.
func (t *tether) chained(cat *catalogue.Catalogue, strap recovery.Gear, need float64, weak string, limit float64) strength {
	links := []struct {
		name string
		kn   float64
	}{{strap.Title(), cat.Recovery.Bears(strap).KN}, {"pair of connectors", t.connectorsKN}, {"own recovery point", t.ownKN}, {"second vehicle's recovery point", t.theirsKN}}
	for _, l := range links {
		if l.kn <= 0 {
			return strength{Margin: math.NaN(), Fails: "no " + l.name + " with a known rating"}
		}
		if l.kn < limit {
			weak, limit = l.name, l.kn
		}
	}
	if need <= 0 {
		return noForce
	}
	st := strength{Margin: limit / need, OK: limit >= need}
	if !st.OK {
		st.Fails = fmt.Sprintf("%s %.1f kN below %.1f kN", weak, limit, need)
	}
	return st
}

func drivenShare(v *Vehicle) float64 {
	if v.AllWheelDrive || v.LowRange {
		return 1
	}
	return 0.5
}

// snatchKmh are the speeds of the run-up that are tried, all within the teaching of a walking to
// trotting pace (1.6 to 8 km/h).
var snatchKmh = []float64{3, 5, 6.5, 8}

func snatch(cat *catalogue.Catalogue, t *tether, s recovery.Stuck, strap recovery.Gear) strength {
	best := strength{Margin: math.NaN(), Fails: "no rated recovery point on both vehicles"}
	if t.ownKN <= 0 || t.theirsKN <= 0 {
		return best
	}
	for i, link := range t.links {
		if t.linkKN[i] <= 0 {
			continue
		}
		for _, v := range snatchKmh {
			k, err := cat.Recovery.Kinetic(recovery.KineticAsk{Stuck: s, StuckGVMKg: t.gvmKg, TugKg: t.theirKg, TugGVMKg: t.theirGVMKg,
				Gear: strap, Points: []recovery.Gear{t.own, t.theirs, link}, SpeedKmh: v})
			if err != nil {
				return strength{Margin: math.NaN(), Fails: err.Error()}
			}
			st := strength{Margin: k.Margin, OK: k.Holds}
			for _, c := range k.Checks {
				if !c.OK && st.Fails == "" {
					st.Fails = c.Title + ": " + c.Text
				}
			}
			best = best.or(st)
		}
	}
	return best
}
