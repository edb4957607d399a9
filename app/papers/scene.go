package papers

import (
	"math"
	"sort"

	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// loadRowsOf lists what a party carries, by place and then by title.
func loadRowsOf(p risk.Party, cat *catalogue.Catalogue) []LoadRow {
	var out []LoadRow
	for _, l := range p.Load {
		r := LoadRow{Place: l.Place, Title: l.Item, Count: l.Count, EachKg: l.MassKg}
		if it, ok := cat.Item(l.Item); ok {
			r.Title = it.Title
			if r.Place == "" {
				r.Place = it.Place
			}
			if r.EachKg == 0 {
				r.EachKg = it.MassKg
			}
			switch {
			case !it.Force:
			case l.RatingKN < 0 || l.RatingKN == 0 && it.RatingKN == 0:
				r.RatingKN = math.NaN()
			case l.RatingKN > 0:
				r.RatingKN = l.RatingKN
			default:
				r.RatingKN = it.RatingKN
			}
		}
		out = append(out, r)
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Place != out[j].Place {
			return out[i].Place < out[j].Place
		}
		return out[i].Title < out[j].Title
	})
	return out
}

// callsOf are the titles of what is carried to call with.
func callsOf(p risk.Party, cat *catalogue.Catalogue, w Words) []string {
	var out []string
	for _, l := range p.Load {
		if it, ok := cat.Item(l.Item); ok && it.Comms != "" && l.Count > 0 {
			out = append(out, w.say(it.Title))
		}
	}
	sort.Strings(out)
	return out
}

// careOf are the titles of what keeps people alive while they wait, with their numbers.
func careOf(p risk.Party, cat *catalogue.Catalogue, w Words) []string {
	var out []string
	for _, l := range p.Load {
		it, ok := cat.Item(l.Item)
		if !ok || !(l.Count > 0) {
			continue
		}
		switch it.Group {
		case "people", "supplies", "safety":
			t := w.say(it.Title)
			if l.Count != 1 {
				t = w.mark(trimNumber(l.Count)) + " × " + t
			}
			if it.Unit != "" && it.Unit != "piece" {
				t = w.mark(trimNumber(l.Count)) + nbsp + w.say(it.Unit) + " " + w.say(it.Title)
				if it.Unit == "L" {
					t = w.litres(l.Count) + " " + w.say(it.Title)
				}
			}
			out = append(out, t)
		}
	}
	sort.Strings(out)
	return out
}
