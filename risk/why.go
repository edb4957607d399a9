package risk

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// stopWords are the stops in a few words, for the sentence that says why a trip or leg is not ready. A stop
// without an entry is quoted whole.
var stopWords = map[string]string{
	"nobody_notices":       "nobody would notice and nothing calls for help",
	"no_spare":             "no spare wheel that fits is carried",
	"seats_own":            "there are more people than seats",
	"over_gvm":             "the vehicle is over its permitted mass",
	"fuel_short":           "the fuel does not reach the next place with its reserve",
	"water_short":          "there is too little drinking water",
	"pull_short":           "deep bogging is likely and nothing carried can make the pull it asks for",
	"ford_deep":            "a crossing may be deeper than the vehicle wades",
	"grade_limit":          "it is steeper than wheels are taken to climb",
	"needs_second_vehicle": "the only remedy to a likely trouble needs a second vehicle",
}

// word gives a score its short verdict and says why it is not "ready". stops are those of the stretch, of
// the whole trip with those of its legs; condition is what a word better than "thin" would leave unsaid.
func (st *study) word(s *Score, stops []Finding, condition string, whole bool) {
	cat := st.cat
	odds, late := cat.Figure("thin_odds").Central, cat.Figure("late_odds").Central
	if !whole {
		odds, late = odds/legShareOfOdds, late/legShareOfOdds
	}
	ready, thin := cat.Figure("ready_from").Central, cat.Figure("thin_from").Central
	s.Ready = len(stops) == 0
	s.Condition = condition
	var no, but []string
	if len(stops) > 0 {
		no = append(no, stopsInWords(stops, whole))
	}
	if s.Readiness < thin {
		no = append(no, fmt.Sprintf("less than %.0f of 100 parts of the worst-case trouble are covered", thin))
	}
	if s.NoHelp.P > late {
		no = append(no, "the chance that no help comes in time is "+OneIn(s.NoHelp.P)+", more than the "+OneIn(late)+" that is let pass")
	}
	if s.Readiness < ready && s.Readiness >= thin {
		but = append(but, fmt.Sprintf("less than %.0f of 100 parts of the worst-case trouble are covered", ready))
	}
	if s.NotUnaided.P > odds {
		but = append(but, "the chance of not getting out by own means is "+OneIn(s.NotUnaided.P)+", more than the "+OneIn(odds)+" that is let pass")
	}
	if condition != "" {
		but = append(but, condition)
	}
	switch {
	case len(no) > 0:
		s.Word = "not ready"
	case len(but) > 0:
		s.Word = "thin"
	default:
		s.Word = "ready"
		s.Why = ""
		return
	}
	reasons := append(no, but...)
	s.Why = strings.ToUpper(s.Word[:1]) + s.Word[1:] + ": " + strings.Join(reasons, "; ") + "."
	if s.Readiness >= ready {
		s.Why += fmt.Sprintf(" The %.0f of 100 say how much of the worst-case trouble is covered; they do not say that the way is safe, and the shortest supply or the weakest link is not in them.", s.Readiness)
	}
}

// legShareOfOdds is how many legs of a usual trip carry most of its chances: a leg may have so much less
// of them than the trip (judgement).
const legShareOfOdds = 2.5

// stopsInWords names the stops, those of legs gathered by kind: "on legs 5, 8 and 9 deep bogging is likely".
func stopsInWords(stops []Finding, whole bool) string {
	type kind struct {
		key, text string
		legs      []int
	}
	var kinds []kind
	for _, f := range stops {
		i := slices.IndexFunc(kinds, func(k kind) bool { return k.key == f.Key })
		if i < 0 {
			w, known := stopWords[f.Key]
			if !known {
				w = strings.TrimSuffix(f.Text, ".")
			}
			i, kinds = len(kinds), append(kinds, kind{key: f.Key, text: w})
		}
		if whole && f.Leg >= 0 {
			kinds[i].legs = append(kinds[i].legs, f.Leg)
		}
	}
	out := make([]string, len(kinds))
	for i, k := range kinds {
		out[i] = k.text
		if len(k.legs) > 0 {
			sort.Ints(k.legs)
			out[i] = legWords(k.legs) + ": " + k.text
		}
	}
	return strings.Join(out, "; ")
}

// legWords names legs as people count them: "leg 5", "legs 5, 8 and 11–14".
func legWords(legs []int) string {
	n := make([]int, len(legs))
	for i, l := range legs {
		n[i] = l + 1
	}
	if len(n) == 1 {
		return fmt.Sprint("leg ", n[0])
	}
	return "legs " + list(Runs(n))
}

// Runs writes rising numbers one by one, runs of three and more from first to last: "2", "5–9", "11", "12".
func Runs(n []int) []string {
	var t []string
	for a := 0; a < len(n); {
		b := a
		for b+1 < len(n) && n[b+1] == n[b]+1 {
			b++
		}
		if b-a >= 2 {
			t = append(t, fmt.Sprintf("%d–%d", n[a], n[b]))
		} else {
			for _, x := range n[a : b+1] {
				t = append(t, fmt.Sprint(x))
			}
		}
		a = b + 1
	}
	return t
}

// stopsOf are the stops among findings.
func stopsOf(f []Finding) []Finding {
	var out []Finding
	for _, x := range f {
		if x.Severity == Stop {
			out = append(out, x)
		}
	}
	return out
}
