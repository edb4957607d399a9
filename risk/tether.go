package risk

import (
	"slices"

	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// tether is what can stand between two vehicles when one pulls or tows the other: all that such a pull reads of the
// gear of both. Gear that changes none of it (blocks, tree straps, a second strap of the same kind) leaves every
// pull as it was, so the pulls are kept by the tether and not by the whole kit.
type tether struct {
	straps             []recovery.Gear // that bear something and may serve, in the order of the kit, no two alike
	own, theirs        recovery.Gear   // the strongest recovery point of each vehicle
	ownKN, theirsKN    float64
	links              [2]recovery.Gear // the strongest pair of soft shackles, and of shackles
	linkKN             [2]float64
	connectorsKN       float64 // the strongest pair of any kind
	massKg, theirKg    float64 // laden
	gvmKg, theirGVMKg  float64
	driven, theirShare float64 // of the weight on driven wheels
	automatic          bool
}

// linkKinds are the kinds of connectors in the order in which they are tried.
var linkKinds = [2]recovery.Kind{recovery.SoftShackle, recovery.Shackle}

// tetherOf reads the tether of an outfit with a second vehicle.
func tetherOf(cat *catalogue.Catalogue, o *outfit) *tether {
	p := &o.partner.Vehicle
	t := &tether{massKg: o.massKg, theirKg: ladenKg(p), gvmKg: o.vehicle.GVMKg, theirGVMKg: p.GVMKg,
		driven: drivenShare(o.vehicle), theirShare: drivenShare(p), automatic: o.vehicle.Automatic}
	for _, g := range o.kit.Gear {
		if g.Kind != recovery.KineticStrap && g.Kind != recovery.Strap && g.Kind != recovery.ExtRope || cat.Recovery.Bears(g).Refused != "" {
			continue
		}
		g.Count = 0 // one is used
		if !slices.Contains(t.straps, g) {
			t.straps = append(t.straps, g)
		}
	}
	t.own, t.ownKN = strongest(cat, o.kit.Gear, 1, false, recovery.FramePoint, recovery.BoltedPoint, recovery.Receiver)
	t.theirs, t.theirsKN = strongest(cat, o.kit.Gear, 1, true, recovery.FramePoint, recovery.BoltedPoint, recovery.Receiver)
	for i, kind := range linkKinds {
		t.links[i], t.linkKN[i] = strongest(cat, o.kit.Gear, 2, false, kind)
		t.connectorsKN = max(t.connectorsKN, t.linkKN[i])
	}
	return t
}

// strongest returns the strongest piece of the given kinds at a place of which there are at least n.
func strongest(cat *catalogue.Catalogue, gear []recovery.Gear, n int, partner bool, kinds ...recovery.Kind) (g recovery.Gear, kn float64) {
	for _, x := range gear {
		if max(1, x.Count) >= n && (x.Place == "partner") == partner && slices.Contains(kinds, x.Kind) {
			if b := cat.Recovery.Bears(x); b.Refused == "" && b.KN > kn {
				g, kn = x, b.KN
			}
		}
	}
	return g, kn
}

// key spells the tether out.
func (t *tether) key() []byte {
	b := make([]byte, 0, 256)
	for _, v := range []float64{t.massKg, t.theirKg, t.gvmKg, t.theirGVMKg, t.driven, t.theirShare} {
		b = appendFloat(b, v)
	}
	if t.automatic {
		b = append(b, 'a')
	}
	b = append(b, byte(len(t.straps)))
	for _, g := range t.straps {
		b = appendGear(b, &g)
	}
	for _, g := range []*recovery.Gear{&t.own, &t.theirs, &t.links[0], &t.links[1]} {
		b = appendGear(b, g)
	}
	return b
}

// appendGear spells out what a pull reads of a piece.
func appendGear(b []byte, g *recovery.Gear) []byte {
	b = append(append(append(append(append(append(b, g.Key...), 0), g.Name...), 0), g.Place...), 0)
	for _, v := range []float64{g.WLLKN, g.MBSKN, g.LengthM} {
		b = appendFloat(b, v)
	}
	return b
}
