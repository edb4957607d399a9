package papers

import (
	"fmt"
	"strings"
	"time"

	"lastroad/app/plot"
	"lastroad/app/units"
	"lastroad/app/words"
	"lastroad/geo"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// Words are what the papers say in one language, and the units they say it in: the fixed sentences by key, and
// the book of what the tables and the judging say. A key that is missing stands in English, so a table need not
// be whole. The zero value is English and metric.
type Words struct {
	table map[string]string
	book  *words.Book
	units units.Formatter
}

// Languages are the languages of the built-in tables, English first.
var Languages = []string{"en", "de", "es", "fr"}

// Language gives the built-in table of a language; ok is false when there is none. Regions are passed over
// ("de-AT" is "de"), and "" is English.
func Language(code string) (w Words, ok bool) {
	code = strings.ToLower(code)
	if i := strings.IndexAny(code, "-_."); i >= 0 {
		code = code[:i]
	}
	if code == "" {
		code = "en"
	}
	for i, l := range Languages {
		if l == code {
			w = Words{table: map[string]string{}, book: words.In(l), units: units.Formatter{Comma: l != "en"}}
			for _, s := range sentences {
				w.table[s.key] = [...]string{s.en, s.de, s.es, s.fr}[i]
			}
			return w, true
		}
	}
	return Words{}, false
}

// sentence is one fixed sentence in all languages. Blanks in it are verbs of package fmt in the same order;
// a language that orders them otherwise numbers them.
type sentence struct{ key, en, de, es, fr string }

// In is w with its figures in a system of units: "metric", "us" or "imperial"; others are metric.
func (w Words) In(system string) Words {
	w.units.System, _ = units.ParseSystem(system)
	return w
}

// T is the sentence with the given key, its blanks filled. It panics for a key that no table has.
func (w Words) T(key string, args ...any) string {
	t, ok := w.table[key]
	if !ok {
		if t, ok = english.table[key]; !ok {
			panic("papers: no sentence " + key)
		}
	}
	if len(args) == 0 {
		return t
	}
	return fmt.Sprintf(t, args...)
}

var english = func() Words {
	w := Words{table: map[string]string{}}
	for _, s := range sentences {
		w.table[s.key] = s.en
	}
	return w
}()

// verdict is the short word of a score, with a capital.
func (w Words) verdict(word string) string {
	switch word {
	case "ready", "thin", "not ready":
		return w.T("word_" + strings.ReplaceAll(word, " ", "_"))
	}
	return word
}

// variant names solo and together.
func (w Words) variant(v string) string {
	switch v {
	case "solo":
		return w.T("one_vehicle")
	case "together":
		return w.T("two_vehicles")
	}
	return v
}

// capital begins a text with a capital letter.
var capital = words.Capital

// oneIn writes a chance.
func (w Words) oneIn(p float64) string {
	how, n := risk.ChanceOf(p)
	switch how {
	case risk.ChanceTiny:
		return w.T("under_million")
	case risk.ChanceOneIn:
		return w.T("one_in", w.mark(risk.FewFigures(n)))
	case risk.ChanceInTen:
		return w.T("in_ten", w.mark(risk.FewFigures(n)))
	case risk.ChanceSure:
		return w.T("nearly_sure")
	}
	return "?"
}

func (w Words) ground(g geo.Ground) string { return w.T("ground_" + g.Key()) }

// groundShares lists the classes of a leg with their shares.
func (w Words) groundShares(f facts.Facts) string {
	var t []string
	for _, g := range f.Ground {
		if g.Share >= 0.005 {
			t = append(t, fmt.Sprintf("%s %.0f %%", w.ground(g.Ground), 100*g.Share))
		}
	}
	if len(t) == 0 {
		return "?"
	}
	return strings.Join(t, ", ")
}

// legTitle is the number and, where it has one, the name of a leg.
func (w Words) legTitle(i int, f facts.Facts) string {
	n := w.T("leg_n", i+1)
	if name := w.legName(i, f); name != "" {
		return n + " · " + name
	}
	return n
}

// legName is the leg's name, "" when it has none but its number.
func (w Words) legName(i int, f facts.Facts) string {
	name := shorten(flat(f.Name), 90) // longer ones stand in full in the tables of numbers
	if name == w.T("leg_n", i+1) || name == fmt.Sprintf("Leg %d", i+1) {
		return ""
	}
	return name
}

// legs is "Legs 3, 5".
func (w Words) legs(n []int) string {
	if len(n) == 1 {
		return w.T("leg_n", n[0])
	}
	return w.T("legs_n", strings.Join(risk.Runs(n), ", "))
}

func (w Words) provenance(tag string) string {
	if t, ok := w.table["from_"+tag]; ok {
		return t
	}
	return tag
}

func (w Words) weekday(t time.Time) string { return strings.Fields(w.T("weekdays"))[t.Weekday()] }

// date is "Sat 20 Mar 2027".
func (w Words) date(t time.Time) string {
	return fmt.Sprintf("%s %d %s %d", w.weekday(t), t.Day(), strings.Fields(w.T("months"))[t.Month()-1], t.Year())
}

// moment is a time at the route and in UTC.
func (w Words) moment(unix int64, zone *time.Location) string {
	t := time.Unix(unix, 0)
	l := t.In(zone)
	s := w.date(l) + l.Format(" 15:04")
	if _, off := l.Zone(); off == 0 {
		return s + " UTC"
	}
	u := t.UTC()
	if u.Day() != l.Day() {
		return s + l.Format(" -07:00") + " (" + w.weekday(u) + u.Format(" 15:04 UTC)")
	}
	return s + l.Format(" -07:00") + u.Format(" (15:04 UTC)")
}

// strip are the words of the strip.
func (w Words) strip() plot.Words {
	p := plot.English
	p.Readiness, p.Height, p.Grade, p.Road, p.Walk = w.T("readiness"), w.T("strip_height"), w.T("strip_grade"), w.T("strip_road"), w.T("strip_walk")
	p.Ground, p.Light, p.Supplies, p.Fuel, p.Water = w.T("ground"), w.T("strip_light"), w.T("strip_supplies"), w.T("strip_fuel"), w.T("strip_water")
	p.Unknown, p.NoDate, p.NoHeights, p.NotJudged = w.T("ground_unknown"), w.T("strip_no_date"), w.T("strip_no_heights"), w.T("strip_not_judged")
	p.Up, p.Down = w.T("strip_up"), w.T("strip_down")
	p.NoReturn, p.NoFuel, p.NoWater = w.T("no_return_both"), w.T("no_return_fuel"), w.T("no_return_water")
	p.Letters, p.Comma = w.T("letters_lost"), w.units.Comma
	for g := range geo.NumGrounds {
		p.Grounds[g] = w.ground(g)
	}
	return p
}
