package risk

import (
	"fmt"
	"math"
	"strings"

	"lastroad/risk/catalogue"
)

// trial is one recipe tried on paper with one outfit in one situation.
type trial struct {
	recipe int
	usable bool    // apart from what may be used up by then
	scale  float64 // of its chance: skill and margin
	str    strength
	// open are the needs that only things that get used up can meet: for each, the alternatives at hand.
	open [][]catalogue.Portion
	// anchor: needs a natural anchor, which may or may not be there.
	anchor bool
	// missing is the lightest set of things that would make it usable, empty when something else is in the way.
	missing []catalogue.Portion
	fails   string
}

// reach says how far the party could walk out: in sixteenths of the full chance, 0 not at all. Steps keep
// the number of situations small; they never rise with distance.
type reach uint8

// tryRecipe tries recipe ri in a situation.
func tryRecipe(cat *catalogue.Catalogue, o *outfit, ri int, s situation) trial {
	r := &cat.Recipes[ri]
	t := trial{recipe: ri, scale: 1, str: noForce, usable: true}
	fail := func(format string, a ...any) {
		t.usable = false
		if t.fails == "" {
			t.fails = fmt.Sprintf(format, a...)
		}
	}
	blocked := false
	if r.Partner && o.partner == nil {
		fail("no second vehicle")
		blocked = true
	}
	if r.People > o.people {
		fail("needs %d people able to work", r.People)
		blocked = true
	}
	if r.Skill >= 0 && !o.skill[r.Skill] {
		t.scale *= r.Unskilled
		if r.Unskilled == 0 {
			fail("nobody has the skill: %s", cat.Skills[r.Skill].Title)
			blocked = true
		}
	}
	if r.Method == "walk" {
		t.scale *= float64(s.walk) / 16
		if s.walk == 0 {
			fail("out of walking reach")
			blocked = true
		}
	}
	if r.Daylight && s.light != lightUnknown && r.Minutes.Central > 60*float64(s.light) {
		fail("needs %.0f minutes of daylight, less than %d h are left by the plan", r.Minutes.Central, s.light+1)
		blocked = true
	}
	for _, need := range r.Needs {
		t.meet(cat, o, need, fail)
	}
	t.anchor = r.Anchor == "natural"
	if t.usable {
		t.str = forcesOf(cat, o, r, cat.Events[s.event].Stage, s.at)
		if !t.str.OK {
			fail("%s", t.str.Fails)
		} else if !math.IsNaN(t.str.Margin) {
			t.scale *= marginShare(cat, t.str.Margin)
		}
	}
	if blocked {
		t.missing = nil
	}
	return t
}

// meet strikes off a need, notes it as open, or notes the lightest thing that is missing.
func (t *trial) meet(cat *catalogue.Catalogue, o *outfit, need catalogue.Need, fail func(string, ...any)) {
	var open []catalogue.Portion
	for _, a := range need {
		if cat.Items[a.Item].UsedUp {
			if o.count[a.Item]+o.surplus[a.Item] >= a.Count {
				open = append(open, a)
			}
			continue
		}
		if o.count[a.Item] >= a.Count {
			return
		}
	}
	if len(open) > 0 {
		t.open = append(t.open, open)
		return
	}
	best, bestKg := need[0], math.Inf(1)
	var names []string
	for _, a := range need {
		it := &cat.Items[a.Item]
		names = append(names, it.Title)
		if kg := (a.Count - o.count[a.Item]) * it.MassKg; kg < bestKg {
			best, bestKg = a, kg
		}
	}
	best.Count -= o.count[best.Item]
	t.missing = append(t.missing, best)
	fail("no %s", strings.Join(names, " or "))
}

// marginShare is the share of its chance that a recipe keeps at a margin of its weakest link: none below
// 1, the least share at 1, all from the full margin on, straight between.
func marginShare(cat *catalogue.Catalogue, margin float64) float64 {
	if margin < 1 {
		return 0
	}
	least, full := cat.Figure("margin_least").Central, cat.Figure("margin_full").Central
	if full <= 1 {
		return 1
	}
	return math.Min(1, least+(1-least)*(margin-1)/(full-1))
}
