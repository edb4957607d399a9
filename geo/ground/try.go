package ground

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"lastroad/geo"
	"lastroad/geo/table"
)

// A Number is one number of a table, under the path by which With finds it.
type Number struct {
	Path  string // "surface.6.mix.loose_rock", "foot.sand"
	Title string // in words: the tags of its row, the class of ground
	geo.Figure
}

// mostLikelihood is the most that checkLean lets pass.
const mostLikelihood = 1000

// figureTitles are the figures of the rules in words, by path.
var figureTitles = map[string]string{
	"region.prior_km":           "tagged ways of the region that outweigh the table",
	"region.known_share":        "share of the tagged ways that settles the untagged",
	"region.known_km":           "tagged ways that settle the untagged",
	"crossing.river":            "chance of a ford: river",
	"crossing.stream":           "chance of a ford: stream",
	"crossing.canal":            "chance of a ford: canal",
	"crossing.ditch":            "chance of a ford: ditch",
	"crossing.wadi":             "chance of a ford: wadi",
	"crossing.kept":             "chance of a ford: maintained road",
	"crossing.off_way":          "chance of a ford: off any way",
	"crossing.wadi_wet":         "share of time with water: wadi",
	"crossing.intermittent_wet": "share of time with water: bed that dries up",
	"doubt.odds":                "how far the weights of the ground may be off",
}

// Numbers lists every figure of the rules.
func (r *Rules) Numbers() []Number {
	var out []Number
	r.Figures(func(path string, f *geo.Figure) { out = append(out, Number{path, figureTitles[path], *f}) })
	return out
}

// premise is a figure of the rules that a survey rests on.
func premise(path string, f geo.Figure) geo.Premise {
	return geo.Premise{Key: path, Title: figureTitles[path], Figure: f}
}

// Weights lists every weight of the rows with a band: a share p may be as much as its odds p/(1-p) times doubt.odds, and as
// little as those divided by it, a likelihood as much or little as itself times or divided by it. What stands at 0 or 1
// as a share says that it is so by the meaning of the tag, and has no band.
func (r *Rules) Weights() []Number {
	var out []Number
	odds := r.file.Doubt.Odds.Central
	r.file.weights(func(w *weightRow) {
		for _, c := range w.cells {
			v := *c.v
			low, high := v/odds, min(mostLikelihood, v*odds)
			if w.shares {
				low, high = v/(v+odds*(1-v)), odds*v/(odds*v+1-v)
			}
			f := geo.Figure{Low: plain(low), Central: v, High: plain(high), Unit: "1", From: w.from, Source: w.source}
			out = append(out, Number{w.path + "." + c.key, w.title + ": " + c.title, f})
		}
	})
	return out
}

// plain is a value in three figures, as many as a judgement is good for.
func plain(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return v
}

// With gives rules in which the number at a path, a figure or a weight, has another value; the other shares of its
// mixture keep their proportions. The rules of a region are lost: see [Rules.WithRegion]. It is an error when there is no such number
// or the rules refuse the value.
func (r *Rules) With(path string, v float64) (*Rules, error) {
	c := &Rules{file: r.file}
	f := &c.file
	f.Surface, f.Special, f.Lean = slices.Clone(f.Surface), slices.Clone(f.Special), slices.Clone(f.Lean)
	f.Highway, f.Area = slices.Clone(f.Highway), slices.Clone(f.Area)
	found := setFigure(f, path, v)
	f.weights(func(w *weightRow) {
		for _, cell := range w.cells {
			if w.path+"."+cell.key != path {
				continue
			}
			found = true
			if w.shares {
				w.spread(cell.v, v)
			}
			*cell.v = v
		}
	})
	if !found {
		return nil, noNumber(path)
	}
	return c, c.index(refused)
}

// With gives rules in which the figure at a path has another value; see [Rules.With].
func (w *Ways) With(path string, v float64) (*Ways, error) {
	c := &Ways{file: w.file}
	f := &c.file
	f.Road, f.Ground, f.Rough, f.Path = slices.Clone(f.Road), slices.Clone(f.Ground), slices.Clone(f.Rough), slices.Clone(f.Path)
	if !setFigure(f, path, v) {
		return nil, noNumber(path)
	}
	return c, c.index(refused)
}

// Numbers lists every figure of the table.
func (w *Ways) Numbers() []Number {
	title := map[string]string{}
	for i, r := range w.file.Road {
		title[fmt.Sprintf("road.%d.pace", i+1)] = "pace on sealed ground, highway=" + strings.Join(r.Highways, ", ")
	}
	for i, r := range w.file.Ground {
		g, _ := geo.ParseGround(r.Ground)
		title[fmt.Sprintf("ground.%d.pace", i+1)] = "pace on " + g.String()
	}
	for i, r := range w.file.Rough {
		title[fmt.Sprintf("rough.%d.cap", i+1)] = "most pace, " + tagWords(r.Key, r.Values)
	}
	for i, r := range w.file.Path {
		title[fmt.Sprintf("path.%d.factor", i+1)] = "walking along, highway=" + strings.Join(r.Highways, ", ")
	}
	for _, k := range []string{"sand", "mud", "rock", "scrub", "snow"} {
		title["foot."+k] = "walking over " + k
	}
	title["foot.off_path"], title["foot.winding"] = "walking off any path", "winding of the way out on foot"
	var out []Number
	w.Figures(func(path string, f *geo.Figure) { out = append(out, Number{path, title[path], *f}) })
	return out
}

func noNumber(path string) error { return fmt.Errorf("ground: there is no number at %q", path) }

func refused(path, reason string) error { return errors.New(path + ": " + reason) }

// setFigure gives the figure at a path of a table another value, all of its band.
func setFigure(file any, path string, v float64) bool {
	found := false
	table.Figures(file, func(p string, f *geo.Figure) {
		if p == path {
			f.Low, f.Central, f.High, found = v, v, v, true
		}
	})
	return found
}

// weightRow is a row of weights with what it is for.
type weightRow struct {
	path, title string
	shares      bool // they sum to 1
	cells       []weightCell
	from        geo.Provenance
	source      string
}

type weightCell struct {
	key, title string
	v          *float64
}

// spread makes the others of a mixture share what is left when one of them becomes v.
func (w *weightRow) spread(one *float64, v float64) {
	if *one == 1 { // there are no others
		return
	}
	by := (1 - v) / (1 - *one)
	for _, c := range w.cells {
		if c.v != one {
			*c.v *= by
		}
	}
}

// weights calls yield for every row of weights in the order of the file.
func (f *ruleFile) weights(yield func(w *weightRow)) {
	row := func(path, title string, shares bool, w *Weights, from geo.Provenance, source string) {
		yield(&weightRow{path, title, shares, w.cells(), from, source})
	}
	row("off_way.mix", "off any way", true, &f.OffWay.Mix, f.OffWay.From, f.OffWay.Source)
	row("other.mix", "other types of ways", true, &f.Other.Mix, f.Other.From, f.Other.Source)
	for i := range f.Surface {
		r := &f.Surface[i]
		row(fmt.Sprintf("surface.%d.mix", i+1), tagWords("surface", r.Values), true, &r.Mix, r.From, r.Source)
	}
	for i := range f.Special {
		r := &f.Special[i]
		row(fmt.Sprintf("special.%d.mix", i+1), tagWords(r.Key, r.Values), true, &r.Mix, r.From, r.Source)
	}
	for i := range f.Lean {
		r := &f.Lean[i]
		row(fmt.Sprintf("lean.%d.lean", i+1), tagWords(r.Key, r.Values), false, &r.Lean, r.From, r.Source)
	}
	for i := range f.Highway {
		r := &f.Highway[i]
		row(fmt.Sprintf("highway.%d.mix", i+1), tagWords("highway", r.Values), true, &r.Mix, r.From, r.Source)
	}
	for i := range f.Area {
		r := &f.Area[i]
		kinds := strings.ReplaceAll(strings.Join(r.Kinds, ", "), "_", " ")
		row(fmt.Sprintf("area.%d.off", i+1), "off any way in "+kinds, true, &r.Off, r.From, r.Source)
		row(fmt.Sprintf("area.%d.lean", i+1), "a way in "+kinds, false, &r.Lean, r.From, r.Source)
	}
}

// tagWords is a key with its values, of many the first.
func tagWords(key string, values []string) string {
	const most = 3
	if len(values) > most {
		values = append(slices.Clone(values[:most]), "…")
	}
	return key + "=" + strings.Join(values, ", ")
}

// cells are the weights that are not 0.
func (w *Weights) cells() []weightCell {
	var out []weightCell
	v := reflect.ValueOf(w).Elem()
	for i := range v.NumField() {
		p := v.Field(i).Addr().Interface().(*float64)
		if *p == 0 {
			continue
		}
		key := v.Type().Field(i).Tag.Get("toml")
		title := "other ground"
		if g, ok := geo.ParseGround(key); ok {
			title = g.String()
		}
		out = append(out, weightCell{key, title, p})
	}
	return out
}
