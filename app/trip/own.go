package trip

import (
	"fmt"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"lastroad/geo"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// OwnItem is a thing of the user's own that the built-in catalogue does not list. It travels with the trip.
type OwnItem struct {
	Key   string `toml:"key"` // stands in the load; begins with [OwnPrefix]
	Title string `toml:"title"`
	// StandsFor is the catalogue item in whose place it serves, so that remedies may use it; "" counts for mass
	// alone.
	StandsFor string  `toml:"stands_for,omitempty"`
	MassKg    float64 `toml:"mass_kg"` // each
	VolumeL   float64 `toml:"volume_l,omitempty"`
	Place     string  `toml:"place,omitempty"` // where it usually rides; "" = rear
	// WLLKN is the working load limit stamped on it and MBSKN its breaking strength, kilonewtons; 0 = not
	// readable. Without either, a piece that stands for one that bears force is not used.
	WLLKN   float64 `toml:"wll_kn,omitempty"`
	MBSKN   float64 `toml:"mbs_kn,omitempty"`
	LengthM float64 `toml:"length_m,omitempty"` // ropes and straps; 0 = that of the item it stands for
}

// OwnPrefix begins the keys of own items, so that they never meet a built-in one.
const OwnPrefix = "own_"

// OwnFigure is a figure of the user's own in the place of a table's (see [catalogue.Override]).
type OwnFigure struct {
	Key     string  `toml:"key"`
	Low     float64 `toml:"low"`
	Central float64 `toml:"central"`
	High    float64 `toml:"high"`
}

// LogLine is what the user met on so much of a ground (see [catalogue.LogEntry]).
type LogLine struct {
	Hazard string     `toml:"hazard"`
	Ground geo.Ground `toml:"ground"`
	Amount float64    `toml:"amount"`
	Events float64    `toml:"events"`
}

// OwnKey makes a key for a new own item from its name, one that none of have bears.
func OwnKey(title string, have []OwnItem) string {
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "_"):
			b.WriteByte('_')
		}
	}
	key := OwnPrefix + strings.Trim(b.String(), "_")
	for n, k := 2, key; ; n++ {
		taken := k == OwnPrefix
		for _, o := range have {
			taken = taken || o.Key == k
		}
		if !taken {
			return k
		}
		k = fmt.Sprintf("%s_%d", strings.TrimSuffix(key, "_"), n)
	}
}

// Own finds an own item of the plan by its key.
func (p *Plan) OwnItem(key string) (*OwnItem, bool) {
	for i := range p.Own {
		if p.Own[i].Key == key {
			return &p.Own[i], true
		}
	}
	return nil, false
}

// item is the own item as one of the catalogue. What it stands for lends its group and kind.
func (o OwnItem) item(cat *catalogue.Catalogue) (catalogue.Item, error) {
	it := catalogue.Item{Key: o.Key, Title: strings.TrimSpace(o.Title), Group: "own", MassKg: o.MassKg, VolumeL: o.VolumeL, Place: o.Place,
		LengthM: o.LengthM, From: geo.FromUser, Source: "your own item"}
	if it.Place == "" {
		it.Place = "rear"
	}
	if !strings.HasPrefix(o.Key, OwnPrefix) {
		return it, &geo.InputError{Where: o.Title, Reason: fmt.Sprintf("the key %q of an own item does not begin with %s", o.Key, OwnPrefix)}
	}
	for _, r := range []struct {
		what string
		v    float64
	}{{"working load limit", o.WLLKN}, {"breaking strength", o.MBSKN}} {
		if !(r.v >= 0 && r.v <= 1000) {
			return it, &geo.InputError{Where: o.Title, Reason: fmt.Sprintf("%s %g kN is outside 0 to 1000", r.what, r.v)}
		}
	}
	if o.WLLKN > 0 && o.MBSKN > 0 && o.WLLKN > o.MBSKN {
		return it, &geo.InputError{Where: o.Title, Reason: fmt.Sprintf("its working load limit %g kN is above its breaking strength %g kN", o.WLLKN, o.MBSKN), Remedy: "have they been typed the wrong way round?"}
	}
	if o.StandsFor == "" {
		return it, nil
	}
	like, ok := cat.Item(o.StandsFor)
	if !ok {
		return it, &geo.InputError{Where: o.Title, Reason: fmt.Sprintf("it stands for %q, which is not in the catalogue", o.StandsFor), Remedy: "choose what it stands for again"}
	}
	it.Unit, it.UsedUp, it.Force, it.Fits, it.Layers = like.Unit, like.UsedUp, like.Force, like.Fits, like.Layers
	if it.LengthM == 0 {
		it.LengthM = like.LengthM
	}
	it.RatingKN, _ = risk.WorkingKN(cat, o.StandsFor, o.WLLKN, o.MBSKN)
	return it, nil
}

// Catalogue is base with the plan's own figures, what the plan takes from the user's log, and the plan's own
// items. It is base itself when the plan has none of these.
func (p *Plan) Catalogue(base *catalogue.Catalogue) (*catalogue.Catalogue, error) {
	if len(p.Own)+len(p.Figures)+len(p.Log) == 0 {
		return base, nil
	}
	key, err := toml.Marshal(struct {
		O []OwnItem
		F []OwnFigure
		L []LogLine
	}{p.Own, p.Figures, p.Log})
	if err != nil {
		return nil, err
	}
	ownCatalogues.Lock()
	defer ownCatalogues.Unlock()
	for _, c := range ownCatalogues.last {
		if c.base == base && c.key == string(key) {
			return c.made, nil
		}
	}
	made, err := p.makeCatalogue(base)
	if err != nil {
		return nil, err
	}
	ownCatalogues.last[ownCatalogues.next] = ownCatalogue{base, string(key), made}
	ownCatalogues.next = (ownCatalogues.next + 1) % len(ownCatalogues.last)
	return made, nil
}

type ownCatalogue struct {
	base *catalogue.Catalogue
	key  string
	made *catalogue.Catalogue
}

// ownCatalogues keeps the last few, since every edit asks for one.
var ownCatalogues struct {
	sync.Mutex
	last [8]ownCatalogue
	next int
}

func (p *Plan) makeCatalogue(base *catalogue.Catalogue) (*catalogue.Catalogue, error) {
	var figures []catalogue.Override
	for _, f := range p.Figures {
		figures = append(figures, catalogue.Override(f))
	}
	c, err := base.With(figures)
	if err != nil {
		return nil, err
	}
	if len(p.Log) > 0 {
		var log []catalogue.LogEntry
		for _, l := range p.Log {
			log = append(log, catalogue.LogEntry(l))
		}
		if c, _, err = c.Learn(log); err != nil {
			return nil, err
		}
	}
	var items []catalogue.Item
	for _, o := range p.Own {
		it, err := o.item(c)
		if err != nil {
			return nil, err
		}
		items = append(items, it)
	}
	return c.Extend(items)
}

// Judged is a trip as it is judged: own items that stand for one of the catalogue stand in its place, with
// their own mass, rating and length. t is not changed.
func (p *Plan) Judged(t risk.Trip) risk.Trip {
	if len(p.Own) == 0 {
		return t
	}
	t.Party.Load = p.judgedLoad(t.Party.Load)
	if t.Partner != nil {
		q := *t.Partner
		q.Load = p.judgedLoad(q.Load)
		t.Partner = &q
	}
	return t
}

func (p *Plan) judgedLoad(load []risk.LoadItem) []risk.LoadItem {
	out := make([]risk.LoadItem, len(load))
	for i, l := range load {
		out[i] = l
		o, ok := p.OwnItem(l.Item)
		if !ok {
			continue
		}
		n := &out[i]
		if n.MassKg == 0 {
			n.MassKg = o.MassKg
		}
		n.Place = firstText(n.Place, o.Place, "rear")
		if n.LengthM == 0 {
			n.LengthM = o.LengthM
		}
		if o.StandsFor == "" {
			continue
		}
		n.Item = o.StandsFor
		if n.RatingKN == 0 {
			t, err := Builtin()
			if err != nil {
				continue
			}
			if it, known := t.Catalogue.Item(o.StandsFor); known && it.Force {
				// A piece of one's own is never lent the rating of its kind.
				if n.RatingKN, _ = risk.WorkingKN(t.Catalogue, o.StandsFor, o.WLLKN, o.MBSKN); n.RatingKN == 0 {
					n.RatingKN = -1
				}
			}
		}
	}
	return out
}

func firstText(s ...string) string {
	for _, v := range s {
		if v != "" {
			return v
		}
	}
	return ""
}

// Catalogue is the one that the document is judged with.
func (d *Document) Catalogue() (*catalogue.Catalogue, error) {
	t, err := Builtin()
	if err != nil {
		return nil, err
	}
	return d.Plan.Catalogue(t.Catalogue)
}

// checkOwn refuses own items, figures, log lines and variants that could not be judged, so that a file that
// holds them is refused when it is opened and not later.
func (p Plan) checkOwn() error {
	t, err := Builtin()
	if err != nil {
		return err
	}
	if _, err := p.Catalogue(t.Catalogue); err != nil {
		return err
	}
	return p.Compare.check()
}
