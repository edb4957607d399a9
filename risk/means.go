package risk

import (
	"fmt"
	"math"
	"strings"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// A recipe that asks for forces, depth or ground works only where the recovery reckoning says that it can,
// and takes the minutes that it reckons: the minutes of the table are the handling, the digging comes to them by
// depth, ground, hands and spades. Several ways may be open (a pull with and without digging first); they are
// tried in turn and the best that fits into the daylight counts, so that a thing more never makes it worse.

// mildGrade is the grade of a band nearest to level. It stands where the band's steep end would refuse level
// ground: a jack's slope and the boards asked for; pulls are reckoned with the steep end.
func mildGrade(band int) float64 {
	switch {
	case band <= 1:
		return gradeBands[band+1].Above
	case band == 2:
		return 0
	}
	return gradeBands[band].Above
}

// waysOf reckons the ways of a recipe in a place; there is always at least one. A piece without a readable
// rating bears nothing.
func waysOf(cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe, e *catalogue.Event, at place) []strength {
	stage := e.Stage
	switch r.Method {
	case "tow":
		return []strength{towedOut(cat, o, e, at)}
	case "tug":
		if stage == "" {
			stage = "tread" // swept aside or drowned: it stands on its wheels
		}
	case "", "air_down", "walk":
		return []strength{noForce}
	}
	if stage == "" {
		return []strength{noForce}
	}
	s := stuckAt(o, stage, at)
	switch r.Method {
	case "dig":
		return []strength{dugFree(cat, o, r, s)}
	case "boards":
		return []strength{onBoards(cat, o, r, s, mildGrade(at.Band))}
	case "jack":
		return []strength{jackedUp(cat, o, s, mildGrade(at.Band))}
	}
	pull := func(s recovery.Stuck) strength {
		switch r.Method {
		case "winch", "hand_winch", "right":
			return winched(cat, o, r, s, at)
		}
		return pulled(cat, o, r.Method, s)
	}
	plain := pull(s)
	if r.Anchor == "buried" {
		_, dig, _ := cat.Recovery.DeadmanDigMin(1, soilOf(at.Ground), min(max(1, o.people), max(1, o.spades())))
		plain.Minutes += dig
	}
	ways := []strength{plain}
	if spades := o.spades(); spades > 0 && dugOut[s.Depth] != s.Depth && !s.OnSide {
		dug := s
		dug.Depth = dugOut[s.Depth]
		w := pull(dug)
		w.Minutes = plain.Minutes + digMinutes(cat, s, dug.Depth, o)
		ways = append(ways, w)
	}
	return ways
}

// spades are the shovels at hand.
func (o *outfit) spades() int {
	i, ok := o.index("shovel")
	if !ok {
		return 0
	}
	return int(o.count[i])
}

// digMinutes are the minutes to dig from one depth to another, 0 when there is nothing to dig.
func digMinutes(cat *catalogue.Catalogue, s recovery.Stuck, to recovery.Depth, o *outfit) float64 {
	if to >= s.Depth {
		return 0
	}
	return o.memo.dig(cat.Recovery, digKey{s, to, max(1, o.people), max(1, o.spades())})
}

// drivesOff reports whether the vehicle's own wheels, freed, overcome the ground that they stand on, in the
// easier direction. soft tells that the tyres are let down, which the low end of the rolling resistance stands for.
func drivesOff(cat *catalogue.Catalogue, o *outfit, g geo.Ground, soft bool) bool {
	roll := cat.Recovery.Rolling.Of(g)
	cr := roll.Central
	if soft {
		cr = roll.Low
	}
	return cat.Recovery.Traction.Of(g).Central*drivenShare(o.vehicle) > cr
}

// dugFree is digging the wheels free and driving off: from the tread or the side wall, not from the hubs.
func dugFree(cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe, s recovery.Stuck) strength {
	if s.Depth >= recovery.Hub {
		return strength{Margin: math.NaN(), Fails: "sunk too deep to dig out and drive off"}
	}
	if !drivesOff(cat, o, s.Ground, asksFor(cat, r, "pressure_gauge")) {
		return strength{Margin: math.NaN(), Fails: fmt.Sprintf("dug free, the driven wheels still do not overcome %s", s.Ground)}
	}
	s.Depth = recovery.Sidewall // sunk by the tread: ramps as for the side wall
	st := noForce
	st.Minutes = digMinutes(cat, s, recovery.Tread, o)
	return st
}

func asksFor(cat *catalogue.Catalogue, r *catalogue.Recipe, item string) bool {
	for _, n := range r.Needs {
		for _, a := range n {
			if cat.Items[a.Item].Key == item {
				return true
			}
		}
	}
	return false
}

// onBoards is driving out on boards: two, or four where the ground or a climb asks for them under all wheels.
// Makeshift ones (planks, matting) lie on the ground and bear by it.
func onBoards(cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe, s recovery.Stuck, grade float64) strength {
	own := s
	s.Grade = math.Abs(grade)
	pairs, rated := 1, math.Inf(1)
	if asksFor(cat, r, "boards") {
		i, _ := o.index("boards")
		pairs, rated = int(o.count[i]/2), o.boardKg
	} else if n := o.most("planks", "ground_mat"); n >= 4 {
		pairs = int(n / 2)
	}
	if math.IsInf(rated, 1) {
		rated = o.massKg // bears by the ground under it
	}
	use, err := cat.Recovery.Boards(s, pairs, rated)
	if err != nil {
		return strength{Margin: math.NaN(), Fails: err.Error()}
	}
	if !use.Works {
		return strength{Margin: math.NaN(), Fails: strings.ToLower(use.Text[:1]) + strings.TrimSuffix(use.Text[1:], ".")}
	}
	st := noForce
	from := own
	if from.Depth < recovery.Sidewall {
		from.Depth = recovery.Sidewall
	}
	to := recovery.Tread
	if use.DigFirst {
		to = recovery.Sidewall
	}
	st.Minutes = digMinutes(cat, from, to, o)
	return st
}

// most is the largest count of some items.
func (o *outfit) most(keys ...string) float64 {
	n := 0.0
	for _, k := range keys {
		if i, ok := o.index(k); ok {
			n = math.Max(n, o.count[i])
		}
	}
	return n
}

// jackedUp is lifting wheel by wheel with a farm-type jack and filling under them: the jack's mark, the
// ground under its base and the slope decide. The base stands on a board or planks, which spread the load.
func jackedUp(cat *catalogue.Catalogue, o *outfit, s recovery.Stuck, grade float64) strength {
	kg := o.jackKg
	use, err := cat.Recovery.Jack(recovery.JackAsk{MassKg: s.MassKg, RatedKg: kg, Farm: true, BaseM2: cat.Figure("jack_spread_m2").Central,
		BaseM: cat.Figure("jack_side_m").Central, HeightM: cat.Figure("jack_lift_m").Central, Ground: s.Ground, SlopeDeg: math.Atan(math.Abs(grade)) * 180 / math.Pi})
	if err != nil {
		return strength{Margin: math.NaN(), Fails: err.Error()}
	}
	for _, c := range use.Checks {
		if !c.OK {
			return strength{Margin: math.NaN(), Fails: strings.ToLower(c.Title[:1]) + c.Title[1:] + ": " + c.Text}
		}
	}
	st := noForce
	st.Minutes = digMinutes(cat, s, recovery.Sidewall, o)
	return st
}

// unbraked are the troubles after which the vehicle must not be towed on a strap.
var unbraked = map[string]bool{"brakes/leak": true}

// towedOut is towing the lamed vehicle out: the second vehicle's wheels against weight, rolling and grade of
// the place, the grades and brakes that towing asks for, and strap, connectors and points against the force to
// start it. It is checked where the trouble happens; the way out may be steeper.
func towedOut(cat *catalogue.Catalogue, o *outfit, e *catalogue.Event, at place) strength {
	if o.partner == nil {
		return strength{Margin: math.NaN(), Fails: "no second vehicle"}
	}
	grade := gradeBands[at.Band].Pull
	brakes := !unbraked[e.Key]
	if !brakes {
		grade = mildGrade(at.Band)
	}
	key := planKey{method: "tow", stuck: recovery.Stuck{Ground: at.Ground, Grade: grade}}
	if !brakes {
		key.method = "tow without brakes"
	}
	if st, ok := o.memo.plan(o.pulls, key); ok {
		return st
	}
	st := o.tether.tow(cat, at.Ground, grade, brakes)
	o.memo.keep(o.pulls, key, st)
	return st
}

// tow reckons towing on a ground and grade.
func (t *tether) tow(cat *catalogue.Catalogue, g geo.Ground, grade float64, brakes bool) strength {
	tow, err := cat.Recovery.Tow(recovery.TowAsk{MassKg: t.massKg, Ground: g, Grade: grade, TugKg: t.theirKg, Brakes: brakes,
		AllWheelDrive: t.driven == 1, Automatic: t.automatic, EngineOff: true})
	if err != nil {
		return strength{Margin: math.NaN(), Fails: err.Error()}
	}
	for _, c := range tow.Checks {
		if !c.OK {
			return strength{Margin: math.NaN(), Fails: strings.ToLower(c.Title[:1]) + c.Title[1:] + ": " + c.Text}
		}
	}
	if !brakes {
		return strength{Margin: math.NaN(), Fails: "no working brakes: rigid bar only, no strap"}
	}
	tug, err := cat.Recovery.Tug(t.theirKg, g, grade, t.theirShare)
	if err != nil {
		return strength{Margin: math.NaN(), Fails: err.Error()}
	}
	best := strength{Margin: math.NaN(), Fails: "no strap with a known rating"}
	for _, strap := range t.straps {
		if strap.Kind != recovery.ExtRope {
			best = best.or(t.chained(cat, strap, tow.StartKN, "grip of the second vehicle", tug.CentralKN))
		}
	}
	return best
}
