package papers

import (
	"fmt"
	"sort"
	"strings"
)

// basis lists what was assumed, what moves the answer most, and where the facts come from.
func (b Book) basis(s *sheet) {
	d, j, w := b.Doc, b.Doc.Judgement, b.Words
	s.part()
	s.title(0, w.T("basis"), 0)
	if len(j.Tornado) > 0 {
		s.head(w.T("swings"), 40)
		s.text(w.T("swings_note"), 8.5, false, soft, 0)
		s.y += 3
		var rows [][]cell
		for i, x := range j.Tornado {
			if i >= 8 {
				break
			}
			title := x.Title
			if title == "" {
				title = x.Key
			}
			rows = append(rows, cells(w.say(title), w.tried(x.Low, x.High), w.T("from_to", w.dec(min(x.ReadyLow, x.ReadyHigh), 1), w.dec(max(x.ReadyLow, x.ReadyHigh), 1)), w.provenance(x.From)))
		}
		s.table([]tableColumn{{w.T("number"), 3.2, false}, {w.T("tried"), 1.5, false}, {w.T("readiness"), 1.5, false}, {w.T("rests_on"), 1.2, false}}, rows, 8.5)
	}
	s.head(w.T("assumed"), 40)
	for _, n := range append(append(append([]string{}, d.Notes...), d.Survey.Notes...), j.Notes...) {
		s.item("•", w.say(n), 8.5, ink)
	}
	if len(j.Load.DefaultsUsed) > 0 {
		s.item("•", w.T("class_figures", strings.Join(fieldNames(j.Load.DefaultsUsed), ", ")), 8.5, ink)
	}
	s.head(w.T("sources"), 20)
	if len(d.Survey.Sources) > 0 {
		s.item("•", strings.Join(d.Survey.Sources, "; ")+".", 8.5, ink)
	}
	if d.Region != nil && len(d.Region.Credit) > 0 {
		s.item("•", strings.Join(d.Region.Credit, "; ")+".", 8.5, ink)
	}
	var tags []string
	for t := range j.Provenance {
		tags = append(tags, t)
	}
	sort.Strings(tags)
	for i, t := range tags {
		tags[i] = fmt.Sprintf("%s %d", w.provenance(t), j.Provenance[t])
	}
	if len(tags) > 0 {
		s.item("•", w.T("rests", strings.Join(tags, ", ")), 8.5, ink)
	}
	s.y += 4
	s.text(w.T("caution"), 8, false, warn, 0)
}

// short writes a number to three significant digits.
func short(v float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.3g", v), ".0")
}

// tried is the span of values that a number was put to; "–" where it is a choice and not a number.
func (w Words) tried(low, high float64) string {
	if low == high {
		return "–"
	}
	return w.mark(short(low)) + " – " + w.mark(short(high))
}

// fieldNames turns names of the vehicle's figures ("FrontAxleKg") into words ("front axle (kg)").
func fieldNames(fields []string) []string {
	units := map[string]string{"Kg": "kg", "KPa": "kPa", "Deg": "degrees", "L": "L", "M": "m", "Y": "years", "KN": "kN"}
	out := make([]string, len(fields))
	for i, f := range fields {
		unit := ""
		for _, u := range []string{"KPa", "Kg", "Deg", "KN", "L", "M", "Y"} {
			if t, ok := strings.CutSuffix(f, u); ok && t != "" {
				f, unit = t, " ("+units[u]+")"
				break
			}
		}
		var b strings.Builder
		r := []rune(f)
		for k, c := range r {
			upper := c >= 'A' && c <= 'Z'
			if upper && k > 0 && (r[k-1] < 'A' || r[k-1] > 'Z') {
				b.WriteByte(' ')
			}
			if upper && (k+1 >= len(r) || r[k+1] < 'A' || r[k+1] > 'Z') {
				c += 'a' - 'A'
			}
			b.WriteRune(c)
		}
		out[i] = b.String() + unit
	}
	return out
}
