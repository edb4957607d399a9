package risk

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"lastroad/risk/catalogue"
)

// trial is one recipe tried on paper with one outfit in one situation.
type trial struct {
	recipe int
	usable bool    // apart from what may be used up by then
	scale  float64 // of its chance: skill and margin
	str    strength
	minute float64 // from standing still to driving on: handling and digging
	// open are the needs that only things that get used up can meet: for each, the alternatives at hand.
	open [][]catalogue.Portion
	// anchor: needs a natural anchor, which may or may not be there.
	anchor bool
	// missing is the lightest set of things that would make it usable, empty when something else is in the way.
	missing []catalogue.Portion
	fails   refusal // the first thing in the way

	once sync.Once
	said string // fails in words
}

// words are what is in the way as people read it, "" when nothing is. They are made once: a trial stands in the lists of many
// situations.
func (t *trial) words(cat *catalogue.Catalogue) string {
	t.once.Do(func() { t.said = t.fails.words(cat) })
	return t.said
}

// refusal is what is in the way of a recipe. Thousands are tried and few are ever shown, so the words are made
// only when they are asked for.
type refusal struct {
	kind   refusalKind
	recipe int
	n      int // hours of light, or which need
	text   string
	rig    *rigged // whose shortfall says it, of forces
}

type refusalKind uint8

const (
	noRefusal refusalKind = iota
	noPartner
	tooFewPeople
	noSkill
	outOfReach
	tooDark
	lacksThing
	otherRefusal // forces, in words
)

// words are the refusal as people read it, "" when nothing is in the way.
func (f refusal) words(cat *catalogue.Catalogue) string {
	if f.kind == noRefusal {
		return ""
	}
	r := &cat.Recipes[f.recipe]
	switch f.kind {
	case noPartner:
		return "no second vehicle"
	case tooFewPeople:
		return fmt.Sprintf("needs %d people able to work", r.People)
	case noSkill:
		return "nobody has the skill: " + cat.Skills[r.Skill].Title
	case outOfReach:
		return "out of walking reach"
	case tooDark:
		return fmt.Sprintf("needs %s minutes of daylight, less than %d h are left by the plan", f.text, f.n)
	case lacksThing:
		var names []string
		for _, a := range r.Needs[f.n] {
			names = append(names, cat.Items[a.Item].Title)
		}
		return "no " + strings.Join(names, " or ")
	}
	if f.rig != nil {
		_, fails := f.rig.short()
		return fails
	}
	return f.text
}

// reach says how far the party could walk out: in sixteenths of the full chance, 0 not at all. Steps keep
// the number of situations small; they never rise with distance.
type reach uint8

// tryRecipe tries recipe ri in a situation.
func tryRecipe(cat *catalogue.Catalogue, o *outfit, ri int, s situation) *trial {
	r := &cat.Recipes[ri]
	t := &trial{recipe: ri, scale: 1, str: noForce, usable: true}
	fail := func(kind refusalKind, n int, text string) {
		t.usable = false
		if t.fails.kind == noRefusal {
			t.fails = refusal{kind: kind, recipe: ri, n: n, text: text}
		}
	}
	blocked := false
	if r.Partner && o.partner == nil {
		fail(noPartner, 0, "")
		blocked = true
	}
	if r.People > o.people {
		fail(tooFewPeople, 0, "")
		blocked = true
	}
	if r.Skill >= 0 && !o.skill[r.Skill] {
		t.scale *= r.Unskilled
		if r.Unskilled == 0 {
			fail(noSkill, 0, "")
			blocked = true
		}
	}
	if r.Method == "walk" {
		t.scale *= float64(s.walk) / 16
		if s.walk == 0 {
			fail(outOfReach, 0, "")
			blocked = true
		}
	}
	for k, need := range r.Needs {
		if !t.meet(cat, o, need) {
			fail(lacksThing, k, "")
		}
	}
	t.anchor = r.Anchor == "natural"
	t.minute = r.Minutes.Central
	if t.usable {
		t.force(cat, o, r, s, fail)
	}
	if t.usable && r.Daylight && s.light != lightUnknown && t.minute > 60*float64(s.light) {
		fail(tooDark, int(s.light)+1, strconv.Itoa(int(t.minute+0.5)))
		blocked = true
	}
	if blocked {
		t.missing = nil
	}
	return t
}

// force takes the best way of the recipe that holds and fits into the daylight, or says what fails.
func (t *trial) force(cat *catalogue.Catalogue, o *outfit, r *catalogue.Recipe, s situation, fail func(refusalKind, int, string)) {
	ways := waysOf(cat, o, r, &cat.Events[s.event], s.at)
	best, share := -1, -1.0
	for i := range ways {
		w := &ways[i]
		if !w.OK || r.Daylight && s.light != lightUnknown && r.Minutes.Central+w.Minutes > 60*float64(s.light) && !(best < 0 && i == len(ways)-1) {
			continue
		}
		k := 1.0
		if !math.IsNaN(w.Margin) {
			k = marginShare(cat, w.Margin)
		}
		if k > share {
			best, share = i, k
		}
	}
	if best < 0 {
		// The last way asks for the least force: it says best what is short.
		t.str = ways[len(ways)-1]
		fail(otherRefusal, 0, t.str.Fails)
		t.fails.rig = t.str.rig
		return
	}
	t.str = ways[best]
	t.scale *= share
	t.minute += t.str.Minutes
}

// meet strikes off a need, notes it as open, or notes the lightest thing that is missing and gives false.
func (t *trial) meet(cat *catalogue.Catalogue, o *outfit, need catalogue.Need) bool {
	var open []catalogue.Portion
	for _, a := range need {
		switch {
		case !o.has(a):
		case cat.Items[a.Item].UsedUp:
			open = append(open, a)
		default:
			return true
		}
	}
	if len(open) > 0 {
		t.open = append(t.open, open)
		return true
	}
	best, bestKg := need[0], math.Inf(1)
	for _, a := range need {
		if kg := (a.Count - o.count[a.Item]) * cat.Items[a.Item].MassKg; kg < bestKg {
			best, bestKg = a, kg
		}
	}
	best.Count -= o.count[best.Item]
	t.missing = append(t.missing, best)
	return false
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
