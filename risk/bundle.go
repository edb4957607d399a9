package risk

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"lastroad/risk/catalogue"
)

// bundle is a set of things that could be added together.
type bundle struct {
	key   string
	items []catalogue.Portion
	kg    float64
	litre float64
}

func newBundle(cat *catalogue.Catalogue, items []catalogue.Portion) bundle {
	sum := map[int]float64{}
	for _, p := range items {
		if p.Count > sum[p.Item] {
			sum[p.Item] = p.Count
		}
	}
	var b bundle
	for i := range cat.Items {
		if q := sum[i]; q > 0 {
			b.items = append(b.items, catalogue.Portion{Item: i, Count: q})
			b.kg += q * cat.Items[i].MassKg
			b.litre += q * cat.Items[i].VolumeL
			b.key += fmt.Sprintf("%s*%g ", cat.Items[i].Key, q)
		}
	}
	return b
}

// loadItems are the bundle as lines of a load.
func (b *bundle) loadItems(cat *catalogue.Catalogue) []LoadItem {
	out := make([]LoadItem, len(b.items))
	for i, p := range b.items {
		out[i] = LoadItem{Item: cat.Items[p.Item].Key, Count: p.Count}
	}
	return out
}

// title is the bundle in words: "2 recovery boards and a long-handled shovel".
func (b *bundle) title(cat *catalogue.Catalogue) string {
	var names []string
	for _, p := range b.items {
		names = append(names, portionWords(cat, p))
	}
	return list(names)
}

func portionWords(cat *catalogue.Catalogue, p catalogue.Portion) string {
	it := &cat.Items[p.Item]
	switch {
	case it.Unit == "L":
		return fmt.Sprintf("%g L of %s", p.Count, it.Title)
	case it.Unit != "piece":
		return fmt.Sprintf("%g %ss of %s", p.Count, it.Unit, it.Title)
	case p.Count == 1:
		return it.Title
	}
	return fmt.Sprintf("%g x %s", p.Count, it.Title)
}

// list joins names as a sentence does.
func list(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// rigging are the additions that can turn a failing winch chain into a holding one, light first.
var rigging = [][]struct {
	item  string
	count float64
}{
	{{"soft_shackle", 2}}, {{"tree_strap", 1}}, {{"hitch_point", 1}}, {{"winch_rope_ext", 1}, {"soft_shackle", 2}}, {{"block", 1}, {"soft_shackle", 2}},
	{{"block", 1}, {"soft_shackle", 3}, {"tree_strap", 1}}, {{"block", 2}, {"soft_shackle", 4}}, {{"block", 2}, {"soft_shackle", 5}, {"tree_strap", 1}, {"hitch_point", 1}},
}

func riggingOf(cat *catalogue.Catalogue, i int) []catalogue.Portion {
	var out []catalogue.Portion
	for _, r := range rigging[i] {
		if k, ok := cat.ItemIndex(r.item); ok {
			out = append(out, catalogue.Portion{Item: k, Count: r.count})
		}
	}
	return out
}

// fourBoards are the boards that are short of two pairs, which soft ground and climbs ask for under all wheels.
func fourBoards(cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe) []catalogue.Portion {
	i, ok := cat.ItemIndex("boards")
	if !ok || r.Method != "boards" || !asksFor(cat, r, "boards") || o.count[i] >= 4 {
		return nil
	}
	return []catalogue.Portion{{Item: i, Count: 4 - o.count[i]}}
}

// bundles lists the sets of things that could make an unusable recipe against event e usable, lightest
// first. For winch chains the rigging that could make them hold is added.
func (st *study) bundles(e int) []bundle {
	seen := map[string]bool{}
	var out []bundle
	add := func(items []catalogue.Portion) {
		if len(items) == 0 {
			return
		}
		b := newBundle(st.cat, items)
		if !seen[b.key] {
			seen[b.key] = true
			out = append(out, b)
		}
	}
	for c, s := range st.b.sit {
		if s.event != e {
			continue
		}
		for _, ts := range st.b.trials[c] {
			for k := range ts {
				t := ts[k]
				if t.usable && !(t.str.Margin < 2) {
					continue
				}
				r := &st.cat.Recipes[t.recipe]
				add(t.missing)
				if more := fourBoards(st.cat, st.solo, r); len(more) > 0 {
					add(append(slices.Clone(t.missing), more...))
				}
				winch := (r.Method == "winch" || r.Method == "right") && st.cat.Events[e].Stage != ""
				if winch && (len(t.missing) > 0 || !t.str.OK || t.str.Margin < 2) {
					for i := range rigging {
						add(append(append([]catalogue.Portion(nil), t.missing...), riggingOf(st.cat, i)...))
					}
				}
			}
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].kg < out[b].kg })
	return out
}
