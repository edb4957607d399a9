package window

import (
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/bench"
	"lastroad/app/units"
	"lastroad/risk"
)

// losses are the lost points with their cures; the largest eight are shown, the rest counted.
func (s *legSheet) losses(title string, sc risk.Score) {
	var rows []fyne.CanvasObject
	shown := 0.0
	for i, l := range sc.Lost {
		if i >= 8 || l.Points < 0.05 {
			break
		}
		shown += l.Points
		rows = append(rows, s.loss(l, sc))
	}
	if len(rows) == 0 {
		return
	}
	if rest := 100 - sc.Readiness - shown; rest >= 0.05 {
		rows = append(rows, soft(tr("and {{.N}} points in smaller amounts", with("N", f1(rest)))))
	}
	s.section("losses", tr("{{.Title}}: {{.N}} of 100 lost", map[string]any{"Title": title, "N": f1(100 - sc.Readiness)}), true, func() []fyne.CanvasObject { return rows })
}

func (s *legSheet) loss(l risk.Loss, sc risk.Score) fyne.CanvasObject {
	pal := palette()
	share := float32(l.Points / math.Max(1, 100-sc.Readiness))
	bar := newShareBar(share, pal.ReadinessColor(math.Max(0, 70-2*l.Points)))
	points := widget.NewLabel(fmt.Sprintf("−%s", f1(l.Points)))
	points.TextStyle.Bold = true
	title := widget.NewLabel(capital(spoken(l.Title)))
	title.TextStyle.Bold = true
	title.Truncation = fyne.TextTruncateEllipsis
	rows := []fyne.CanvasObject{container.NewBorder(nil, nil, points, nil, title), bar}
	var parts []string
	for _, q := range []struct {
		v    float64
		text string
	}{{l.Missing, tr("something missing")}, {l.Stock, tr("stock used up")}, {l.Late, tr("help too late")}, {l.Rest, tr("no remedy or bad luck")}} {
		if q.v >= 0.05 {
			parts = append(parts, fmt.Sprintf("%s %s", f1(q.v), q.text))
		}
	}
	if l.Text != "" {
		rows = append(rows, prose(spoken(l.Text)))
	}
	if len(parts) > 0 {
		rows = append(rows, soft(strings.Join(parts, " · ")))
	}
	if c := l.Cure; c != nil && c.Points >= 0.05 {
		text := tr("+{{.P}} with {{.What}}, {{.Mass}}", map[string]any{"P": f1(c.Points), "What": spoken(c.Title), "Mass": s.p.format().Format(units.Mass, c.MassKg)})
		rows = append(rows, offer(text, func() { s.p.AddItems(spoken(c.Title), c.Items) }))
	}
	return container.New(layout.NewCustomPaddedLayout(2, 6, 0, 0), container.New(column{}, rows...))
}

func (s *legSheet) recovery(p *risk.PullNeed) {
	if p == nil {
		return
	}
	f := s.p.format()
	s.section("recovery", tr("The recovery, worked out"), false, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		o = append(o, prose(tr("For a vehicle {{.State}}: a pull of {{.F}}.", map[string]any{"State": spoken(p.State),
			"F": f.Band(units.Force, p.RequiredKN.Low, p.RequiredKN.Central, p.RequiredKN.High)})))
		if p.GroundNote != "" {
			o = append(o, soft(capital(spoken(p.GroundNote))+"."))
		}
		if p.RigTitle != "" {
			line := capital(spoken(p.RigTitle))
			if p.Margin == p.Margin {
				line = tr("{{.Rig}}; weakest: {{.Link}}, {{.M}} times the force", map[string]any{"Rig": capital(spoken(p.RigTitle)), "Link": spoken(p.WeakLink), "M": f1(p.Margin)})
			}
			o = append(o, prose(line))
		}
		if p.Fails != "" {
			l := prose(spoken(p.Fails))
			l.Importance = widget.DangerImportance
			o = append(o, l)
		}
		if p.Cure != "" {
			o = append(o, prose(spoken(p.Cure)))
		}
		if w := p.Working; w != nil {
			pic := newRigPicture()
			pic.set(&bench.Report{Working: w, Diagram: w.Diagram()}, s.p)
			o = append(o, pic)
		}
		for i, st := range p.Steps {
			o = append(o, prose(fmt.Sprintf("%d. %s", i+1, spoken(st))))
		}
		if len(p.Cautions) > 0 {
			o = append(o, cautionLine(tr("The cautions at the end of this sheet come first.")))
		}
		if s.p.toBench != nil {
			leg := s.leg
			o = append(o, newAction(tr("Change these figures freely on the bench"), theme.NavigateNextIcon(), func() { s.p.toBench(leg) }))
		}
		return o
	})
}

// allCautions are the cautions of a leg's findings, needs and recovery, each once.
func allCautions(lj *risk.LegJudgement) (out []string) {
	seen := map[string]bool{}
	add := func(list []string) {
		for _, c := range list {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	for _, f := range lj.Findings {
		add(f.Cautions)
	}
	add(lj.Needs.Cautions)
	if lj.Needs.Pull != nil {
		add(lj.Needs.Pull.Cautions)
	}
	return out
}
