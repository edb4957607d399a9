package window

import (
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk"
)

func (s *legSheet) facts(sv *geo.Survey, lj *risk.LegJudgement) {
	f := s.p.format()
	leg := sv.Legs[s.leg]
	type fact struct{ name, value string }
	var rows []fact
	add := func(name, value string) {
		if value != "" {
			rows = append(rows, fact{name, value})
		}
	}
	var steep, side, steepBand, sideBand float64
	unknown, climb := 0.0, 0.0
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := leg.From; i <= leg.To; i++ {
		p := &sv.Samples[i]
		if g := math.Abs(p.Grade); g > steep {
			steep, steepBand = g, p.GradeBand
		}
		if p.Side > side {
			side, sideBand = p.Side, p.SideBand
		}
		if p.HeightM == p.HeightM {
			lo, hi = math.Min(lo, p.HeightM), math.Max(hi, p.HeightM)
		}
		if i > leg.From {
			if k := int(p.Ground); k < len(sv.Grounds) && !sv.Grounds[k].Known {
				unknown += p.DistanceM - sv.Samples[i-1].DistanceM
			}
			if d := p.HeightM - sv.Samples[i-1].HeightM; d > 0 {
				climb += d
			}
		}
	}
	add(tr("Begins because"), spoken(leg.Why))
	if hi >= lo {
		add(tr("Height"), tr("{{.A}} to {{.B}}", map[string]any{"A": f.Format(units.Length, lo), "B": f.Format(units.Length, hi)}))
	}
	if steep > 0 {
		add(tr("Steepest grade"), fmt.Sprintf("%.0f %% ± %.0f", 100*steep, 100*steepBand))
	}
	if side > 0 {
		add(tr("Steepest side slope"), fmt.Sprintf("%.0f %% ± %.0f", 100*side, 100*sideBand))
	}
	n := &lj.Needs
	add(tr("Farthest from a maintained road"), f.Format(units.Distance, n.RoadM))
	if i, ok := plot.Remotest(sv, s.leg); ok {
		if place, m, ok := plot.NearestHelp(sv, i); ok {
			name := helpText(place.Kind)
			if place.Name != "" {
				name = place.Name + ", " + name
			}
			add(tr("Nearest help from there"), f.Format(units.Distance, m)+" · "+name)
		}
	}
	if n.WalkOutMin == n.WalkOutMin {
		add(tr("Longest walk out"), minutes(n.WalkOutMin))
	}
	if n.StrandedH.Central > 0 {
		add(tr("Help is there after"), tr("{{.A}} h ({{.B}} to {{.C}})", map[string]any{"A": f1(n.StrandedH.Central), "B": f1(n.StrandedH.Low), "C": f1(n.StrandedH.High)}))
	}
	if unknown > 0 {
		add(tr("Ground unknown"), f.Format(units.Distance, unknown))
	}
	for _, k := range []struct {
		kind geo.MarkKind
		name string
	}{{geo.MarkFord, tr("Fords")}, {geo.MarkGate, tr("Gates")}, {geo.MarkPrivate, tr("Private ground")}, {geo.MarkWater, tr("Water without a bridge on the map")}} {
		c := 0
		for _, m := range sv.Marks {
			if m.Kind == k.kind && m.DistanceM >= sv.FromM(s.leg) && m.DistanceM <= sv.ToM(s.leg) {
				c++
			}
		}
		if c > 0 {
			add(k.name, fmt.Sprint(c))
		}
	}
	s.section("facts", tr("Facts"), true, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{two: true})
		for _, r := range rows {
			a, b := plainText(r.name), plainText(r.value)
			a.Wrapping, b.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
			grid.Add(a)
			grid.Add(b)
		}
		return []fyne.CanvasObject{grid}
	})
}

// troubles lists each kind of trouble with what would end it.
func (s *legSheet) troubles(lj *risk.LegJudgement) {
	s.section("troubles", tr("Every trouble and its remedies"), false, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		for i, e := range lj.Events {
			if i >= 24 {
				break
			}
			if !(e.Mean > 0) {
				continue
			}
			t := plainText(capital(spoken(e.Title)))
			t.TextStyle.Bold = true
			o = append(o, t, soft(tr("{{.N}} expected on this leg; ended by own means {{.S}} %, help in time else {{.H}} %",
				map[string]any{"N": oneIn(e.Mean), "S": f0(100 * e.SelfHelp), "H": f0(100 * e.HelpInTime)})))
			for _, r := range e.Remedies {
				if r.Fails != "" {
					o = append(o, soft(said("✗ "+capital(spoken(r.Title)), spoken(r.Fails))))
				} else {
					o = append(o, soft(fmt.Sprintf("✓ %s: %.0f %%, %s", capital(spoken(r.Title)), 100*r.Chance, minutes(r.Minutes))))
				}
			}
		}
		return o
	})
}

func (s *legSheet) cautions(list []string) {
	if len(list) == 0 {
		return
	}
	s.section("cautions", tr("Cautions"), true, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		for _, c := range list {
			o = append(o, cautionLine(spoken(c)))
		}
		return o
	})
}

func (s *legSheet) noteSection(key, title string, list []string) {
	if len(list) == 0 {
		return
	}
	s.section(key, title, false, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		for _, c := range list {
			o = append(o, prose("· "+spoken(c)))
		}
		return o
	})
}

// section is a titled part that can be shut. What it holds is made only when it is open.
func (s *legSheet) section(key, title string, openAtFirst bool, fill func() []fyne.CanvasObject) {
	open := openAtFirst && !s.closed[key] || s.open[key]
	icon := theme.MenuExpandIcon()
	if open {
		icon = theme.MenuDropDownIcon()
	}
	head := newWrapButton(title, icon, func() {
		s.open[key], s.closed[key] = !open, open
		at := s.scroll.Offset
		s.build()
		s.scrollTo(at)
	})
	head.Importance = widget.LowImportance
	head.paint()
	line := canvas.NewRectangle(theme.Color(theme.ColorNameSeparator))
	line.SetMinSize(fyne.NewSize(1, 1))
	s.add(line, head)
	if open {
		s.add(fill()...)
	}
}
