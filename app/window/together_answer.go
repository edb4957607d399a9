package window

import (
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/geo"
	"lastroad/risk"
)

// pairWith is the comparison of a column with the first, as far as it is there.
func (s *togetherScreen) pairWith(i int) (risk.Pair, bool) {
	if s.full == nil {
		return risk.Pair{}, false
	}
	for _, p := range s.full.Pairs {
		if p.A == 0 && p.B == i {
			return p, true
		}
	}
	return risk.Pair{}, false
}

func (s *togetherScreen) showAnswer() {
	s.answer.Add(heading(tr("The answer")))
	if s.full == nil {
		a, b := s.quick[0], s.quick[1]
		flips := 0
		for i := range a.Legs {
			if a.Legs[i].Score.Word != b.Legs[i].Score.Word {
				flips++
			}
		}
		s.answer.Add(prose(tr("“{{.Name}}” changes the verdict of {{.N}} of {{.All}} legs and the trip's readiness from {{.A}} to {{.B}}.",
			map[string]any{"Name": s.names[1], "N": flips, "All": len(a.Legs), "A": f1(a.Trip.Readiness), "B": f1(b.Trip.Readiness)})))
		s.answer.Add(soft(tr("How sure this is, is being worked out…")))
	}
	for i := 1; i < len(s.names); i++ {
		if p, ok := s.pairWith(i); ok {
			s.showPair(p)
		}
	}
	for i, j := range s.quick {
		if j.Trip.Why != "" {
			s.answer.Add(prose(said(capital(s.names[i]), spoken(j.Trip.Why))))
		}
	}
	s.showOdds()
	for i, j := range s.quick {
		s.showPartner(i, j)
	}
	s.answer.Add(soft(tr("All are judged on the same route and with the same samples of every uncertain number. What a second vehicle brings is bounded by its own troubles: it may be the one that is stopped.")))
	s.showTornado()
}

// showPair is the sentence of one comparison, its certainty, and what flips and why.
func (s *togetherScreen) showPair(p risk.Pair) {
	s.answer.Add(bold(capital(tr("{{.B}} against {{.A}}", map[string]any{"A": s.names[p.A], "B": s.names[p.B]}))))
	s.answer.Add(prose(capital(spoken(p.Text))))
	s.answer.Add(soft(tr("Gain {{.G}} points (5 to 95 %: {{.A}} to {{.B}}); {{.Name}} is better in {{.N}} % of the samples, equal in {{.S}} %.",
		map[string]any{"G": signed(p.Gain), "A": signed(p.GainBand[0]), "B": signed(p.GainBand[2]), "N": f0(100 * p.Better), "S": f0(100 * p.Same), "Name": s.names[p.B]})))
	if p.Measure != "" {
		s.answer.Add(soft("⚠ " + spoken(p.Measure)))
	}
	sv := s.p.Survey()
	for i, f := range p.Flips {
		if i == 0 {
			s.answer.Add(bold(tr("Verdicts that change, and why")))
		}
		name := ""
		if sv != nil && f.Leg < len(sv.Legs) {
			name = legName(sv, f.Leg)
		}
		leg := f.Leg
		text := prose(said(fmt.Sprintf("%d  %s", f.Leg+1, name), fmt.Sprintf("%s → %s. %s", wordText(f.From), wordText(f.To), spoken(f.Why))))
		at := widget.NewButtonWithIcon("", theme.SearchIcon(), func() { s.p.Choose(leg); s.p.Show(0) })
		at.Importance = widget.LowImportance
		s.answer.Add(container.NewBorder(nil, nil, nil, container.NewCenter(at), text))
	}
	if len(p.Flips) == 0 {
		s.answer.Add(soft(tr("No leg's verdict changes.")))
	}
	if p.Common != "" {
		s.answer.Add(bold(tr("Common causes")))
		s.answer.Add(soft(spoken(p.Common)))
	}
}

// wordText is a verdict's word in the user's language.
func wordText(w string) string { return verdictText(risk.Score{Word: w}) }

// showOdds is the table of the plain odds.
func (s *togetherScreen) showOdds() {
	sh := shares{0.4}
	for range s.names {
		sh = append(sh, 0.6/float32(len(s.names)))
	}
	row := func(name fyne.CanvasObject, f func(i int) fyne.CanvasObject) {
		cells := []fyne.CanvasObject{name}
		for i := range s.names {
			cells = append(cells, f(i))
		}
		s.answer.Add(container.New(sh, cells...))
	}
	row(caption(""), func(i int) fyne.CanvasObject {
		l := caption(s.names[i])
		l.Truncation = fyne.TextTruncateEllipsis
		return l
	})
	for _, r := range []struct {
		name string
		of   func(*risk.Judgement) (risk.Odds, bool)
	}{
		{tr("Stopped by a trouble"), func(j *risk.Judgement) (risk.Odds, bool) { return j.Trip.Stopped, true }},
		{tr("Not out by own means"), func(j *risk.Judgement) (risk.Odds, bool) { return j.Trip.NotUnaided, true }},
		{tr("No help in time"), func(j *risk.Judgement) (risk.Odds, bool) { return j.Trip.NoHelp, true }},
		{tr("Party delayed: either vehicle stopped"), func(j *risk.Judgement) (risk.Odds, bool) {
			if j.Partner == nil {
				return risk.Odds{}, false
			}
			return j.Partner.PartyDelayed, true
		}},
	} {
		l := prose(r.name)
		row(l, func(i int) fyne.CanvasObject {
			o, ok := r.of(s.quick[i])
			if !ok {
				return plainText("–")
			}
			t := bold(oddsText(o))
			t.Truncation = fyne.TextTruncateEllipsis
			if band := oddsBand(o); band != "" && len(s.names) == 2 {
				return container.New(column{gap: -6}, t, soft(band))
			}
			return t
		})
	}
}

// showPartner is what a column with a second vehicle asks of it.
func (s *togetherScreen) showPartner(i int, j *risk.Judgement) {
	pr := j.Partner
	if pr == nil {
		return
	}
	head := tr("{{.Name}}: the second vehicle", with("Name", s.names[i]))
	s.answer.Add(bold(head))
	seats := prose(tr("If one vehicle is lost, {{.Need}} people need seats and the other has {{.Have}}.", map[string]any{"Need": pr.SeatsNeeded, "Have": pr.SeatsHave}))
	if pr.SeatsHave < pr.SeatsNeeded {
		seats.Importance = widget.DangerImportance
	}
	s.answer.Add(seats)
	if len(pr.MustCarry) > 0 {
		var names []string
		for _, m := range pr.MustCarry {
			names = append(names, spoken(m))
		}
		s.answer.Add(prose(tr("It must carry:") + " " + strings.Join(names, " · ")))
	}
	for _, f := range j.Findings {
		if f.Severity == risk.Stop {
			s.answer.Add(findingCard(f))
		}
	}
}

// showTornado draws which doubtful figures move the answer most.
func (s *togetherScreen) showTornado() {
	if s.full == nil {
		return
	}
	j := s.full.Judgements[s.base]
	if len(j.Tornado) == 0 {
		return
	}
	s.answer.Add(bold(tr("What the answer hangs on: {{.Name}}", with("Name", s.names[s.base]))))
	s.answer.Add(soft(tr("Each doubtful figure put to its low and its high end, the others as they are: the trip's readiness moves between the two numbers. The line is where it stands.")))
	low, high := j.Trip.Readiness, j.Trip.Readiness
	for _, w := range j.Tornado {
		low, high = math.Min(low, math.Min(w.ReadyLow, w.ReadyHigh)), math.Max(high, math.Max(w.ReadyLow, w.ReadyHigh))
	}
	for i, w := range j.Tornado {
		if i >= 10 {
			break
		}
		a, b := math.Min(w.ReadyLow, w.ReadyHigh), math.Max(w.ReadyLow, w.ReadyHigh)
		from := fromText(w.From)
		s.answer.Add(container.NewBorder(nil, nil, nil, caption(f1(a)+" – "+f1(b)), soft(capital(spoken(w.Title))+" · "+from)))
		s.answer.Add(newSwingBar(low, high, a, b, j.Trip.Readiness))
	}
}

// fromText is where a number comes from in the user's language.
func fromText(from string) string {
	switch geo.Provenance(from) {
	case geo.FromUser:
		return tr("your own figure")
	case "data":
		return tr("counted data")
	case "derived":
		return tr("worked out from data")
	case "practice":
		return tr("common practice")
	case "standard":
		return tr("a standard")
	case "memory":
		return tr("a source not at hand")
	case "assumption":
		return tr("an assumption")
	}
	return from
}

// swingBar is one bar of the sensitivity picture on an axis that all bars share.
type swingBar struct {
	widget.BaseWidget
	low, high, a, b, now float64
	back, bar, tick      *canvas.Rectangle
}

func newSwingBar(low, high, a, b, now float64) *swingBar {
	s := &swingBar{low: low, high: high, a: a, b: b, now: now, back: canvas.NewRectangle(theme.Color(theme.ColorNameSeparator)),
		bar: canvas.NewRectangle(palette().Accent), tick: canvas.NewRectangle(theme.Color(theme.ColorNameForeground))}
	s.bar.CornerRadius = 2
	s.ExtendBaseWidget(s)
	return s
}

// CreateRenderer implements fyne.Widget.
func (s *swingBar) CreateRenderer() fyne.WidgetRenderer { return &swingRenderer{s} }

type swingRenderer struct{ s *swingBar }

func (r *swingRenderer) Layout(z fyne.Size) {
	pad := theme.InnerPadding()
	w := max(0, z.Width-2*pad)
	x := func(v float64) float32 {
		if !(r.s.high > r.s.low) {
			return pad
		}
		return pad + w*float32((v-r.s.low)/(r.s.high-r.s.low))
	}
	r.s.back.Move(fyne.NewPos(pad, z.Height/2))
	r.s.back.Resize(fyne.NewSize(w, 1))
	r.s.bar.Move(fyne.NewPos(x(r.s.a), 1))
	r.s.bar.Resize(fyne.NewSize(max(2, x(r.s.b)-x(r.s.a)), z.Height-2))
	r.s.tick.Move(fyne.NewPos(x(r.s.now)-1, 0))
	r.s.tick.Resize(fyne.NewSize(2, z.Height))
}
func (r *swingRenderer) MinSize() fyne.Size { return fyne.NewSize(60, 12) }
func (r *swingRenderer) Refresh()           {}
func (r *swingRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.s.back, r.s.bar, r.s.tick}
}
func (r *swingRenderer) Destroy() {}
