package risk

import (
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// WorkingKN is what a piece of a catalogue item's kind may bear, in kilonewtons, from what is stamped on it: a
// working load limit as it stands, a breaking strength divided by the design factor of its kind; with both,
// the smaller result. how says which. A strap that stretches is known by its breaking strength, which is given
// back undivided. 0 means that nothing readable was given, or that the item bears no force.
func WorkingKN(cat *catalogue.Catalogue, item string, wll, mbs float64) (kN float64, how string) {
	it, ok := cat.Item(item)
	if !ok || !it.Force {
		return 0, ""
	}
	kind, ok := gearKinds[item]
	switch {
	case !ok: // winches and the like: only what the maker rates them for
		return wll, "stamped working load limit"
	case kind == recovery.KineticStrap:
		return mbs, "stamped breaking strength"
	}
	b := cat.Recovery.Bears(recovery.Gear{Key: item, Kind: kind, Count: 1, WLLKN: wll, MBSKN: mbs})
	return b.KN, b.How
}
