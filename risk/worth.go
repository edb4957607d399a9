package risk

import (
	"encoding/binary"
	"math"

	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// Two kits that winch equally hard everywhere on the route are worth the same, though what is short may be called by
// another name in each. Where only the weight of trouble is asked for and no words, as thousands of times in choosing
// what to carry, the classes are therefore kept by what the kits pull at most, not by what is in them.

// winchSite is a place where a winch could be rigged, for one kind of anchor, with the loads that could hang on it there
// and everywhere else where the same rig would be laid.
type winchSite struct {
	at    place
	loads []float64 // kN
}

// winchSites are the sites of a route for a vehicle of some mass, by kind of anchor.
type winchSites struct {
	number uint32 // names them in keys
	by     map[string][]winchSite
}

// stagedPlace is a place where a trouble of some stage may happen.
type stagedPlace struct {
	stage string
	at    place
}

// stagedPlaces lists where on the route a trouble may happen that asks for a pull, each place once.
func (b *bare) stagedPlaces() []stagedPlace {
	var out []stagedPlace
	seen := map[stagedPlace]bool{}
	for i := range b.pieces {
		for _, c := range b.cells[b.first[i]:b.first[i+1]] {
			stage := b.cat.Events[c.event].Stage
			if stage == "" {
				continue
			}
			p := stagedPlace{stage, place{c.ground, b.pieces[i].Band}}
			if !seen[p] {
				seen[p] = true
				out = append(out, p)
			}
		}
	}
	return out
}

// winchAnchors are the kinds of anchors that recipes name.
var winchAnchors = []string{"", "natural", "ground", "buried", "partner"}

// siteOf names what the rig of a kit hangs on at a place.
func siteOf(hand bool, anchor string, at place) siteKey {
	k := siteKey{hand: hand, anchor: anchor}
	switch anchor {
	case "ground", "buried":
		k.soil = soilOf(at.Ground)
	case "partner":
		k.ground = at.Ground
	}
	return k
}

// winchLoad is what a winch must pull or hold, in kN.
func winchLoad(p recovery.Pull) float64 {
	if p.CentralKN == 0 {
		return p.HoldBackKN
	}
	return p.CentralKN
}

// findSites gathers the sites of some places.
func findSites(t *recovery.Tables, places []stagedPlace, massKg float64, number uint32) *winchSites {
	s := &winchSites{number: number, by: map[string][]winchSite{}}
	for _, anchor := range winchAnchors {
		at := map[siteKey]int{}
		var list []winchSite
		for _, p := range places {
			k := siteOf(false, anchor, p.at)
			i, ok := at[k]
			if !ok {
				i = len(list)
				at[k] = i
				list = append(list, winchSite{at: p.at})
			}
			list[i].loads = append(list[i].loads, loadsAt(t, massKg, p)...)
		}
		s.by[anchor] = list
	}
	return s
}

// loadsAt are the loads on a winch at a place, with and without digging first.
func loadsAt(t *recovery.Tables, massKg float64, p stagedPlace) []float64 {
	var out []float64
	s := stuckAt(&outfit{massKg: massKg}, p.stage, p.at)
	for _, d := range []recovery.Depth{s.Depth, dugOut[s.Depth]} {
		s.Depth = d
		if pull, err := t.PullKN(s); err == nil {
			out = append(out, winchLoad(pull))
		}
	}
	return out
}

// closeCall reports whether a load at a greatest pull asks for the plan itself: on the edge (two equal vehicles, one as
// the anchor), and at pulls near that of the search for the greatest one, only it tells whether the rig holds.
func closeCall(most, load float64) bool {
	return load < 2 || math.Abs(math.Min(most/load, recovery.MostMargin)-1) < 1e-9
}

// sitesKey is what the sites of a route hang on.
type sitesKey struct {
	bare   *bare
	tables *recovery.Tables
	massKg float64
}

// keptSites is how many are kept: both vehicles, before and after an edit.
const keptSites = 4

func (m *Memo) winchSites(b *bare, t *recovery.Tables, massKg float64) *winchSites {
	return of(m, &m.sites, sitesKey{b, t, massKg}, keptSites, func() *winchSites {
		return findSites(t, b.stagedPlaces(), massKg, m.fresh())
	})
}

// fresh is a number that nothing else has.
func (m *Memo) fresh() uint32 {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.lastNumber++
	return m.lastNumber
}

// worthKey names a way of winching with a kit at some sites.
type worthKey struct {
	sites  *winchSites
	hand   bool
	anchor string
}

// winchKey adds how hard an outfit can winch at the sites by a recipe: equal keys, equal margins. Where the plan itself
// would be asked, it adds the whole kit.
func (s *winchSites) winchKey(b []byte, cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe) []byte {
	b = binary.LittleEndian.AppendUint32(b, o.hands)
	k := worthKey{s, r.Method == "hand_winch", r.Anchor}
	o.memo.mu.Lock()
	known, ok := o.plans.worth[k]
	o.memo.mu.Unlock()
	if !ok {
		known = s.reckon(cat, o, k)
		o.memo.mu.Lock()
		o.plans.worth[k] = known
		o.memo.mu.Unlock()
	}
	return append(b, known...)
}

func (s *winchSites) reckon(cat *catalogue.Catalogue, o *outfit, k worthKey) []byte {
	b := binary.LittleEndian.AppendUint32(nil, s.number)
	close := false
	for _, site := range s.by[k.anchor] {
		rigs, _ := rigsAt(cat, o, k.hand, k.anchor, site.at)
		b = append(b, byte(len(rigs)))
		for _, g := range rigs {
			if g.err != nil {
				b = appendFloat(b, math.NaN())
				continue
			}
			b = appendFloat(b, g.kn)
			for _, load := range site.loads {
				close = close || closeCall(g.kn, load)
			}
		}
	}
	b = append(b, bit(close))
	if close {
		b = binary.LittleEndian.AppendUint32(b, o.gear)
	}
	return b
}

// rigsAt are the winches that could be rigged at a place: the own one, and between the vehicles the second one's too.
// Without any, fails says why.
func rigsAt(cat *catalogue.Catalogue, o *outfit, hand bool, anchor string, at place) (rigs []riggedSite, fails string) {
	kit := o.kit
	if hand {
		kit.Winch = nil
	} else {
		kit.HandWinch = nil
	}
	k := siteOf(hand, anchor, at)
	fails = "no winch with a known rating"
	anchors := anchorsFor(cat, o, anchor, at)
	if kit.Winch != nil || kit.HandWinch != nil {
		if len(anchors) > 0 {
			rigs = append(rigs, o.memo.rigger(o.plans, k, func() (*recovery.Rigger, error) {
				return cat.Recovery.Rigger(kit, recovery.Site{Anchors: anchors})
			}))
		} else {
			fails = "no anchor"
		}
	}
	if anchor == "partner" && o.helper != nil && len(anchors) > 0 {
		k.helper = true
		rigs = append(rigs, o.memo.rigger(o.plans, k, func() (*recovery.Rigger, error) {
			return cat.Recovery.Rigger(recovery.Kit{Winch: o.helper, Gear: kit.Gear}, recovery.Site{Helper: &anchors[0]})
		}))
	}
	return rigs, fails
}
