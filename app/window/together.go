package window

import (
	"context"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/risk"
)

// togetherScreen compares going alone with going together, leg by leg, and says what decides.
type togetherScreen struct {
	p      *Presenter
	root   *fyne.Container
	answer *fyne.Container
	rows   *fyne.Container
	ofDoc  *trip.Document
	pair   [2]*risk.Judgement // alone, together
	full   *risk.Comparison
	asking context.CancelFunc
	fault  string
}

func newTogetherScreen(p *Presenter) *togetherScreen {
	s := &togetherScreen{p: p, answer: container.New(column{gap: 4}), rows: container.New(column{gap: 1})}
	left := container.NewVScroll(s.rows)
	right := container.NewVScroll(s.answer)
	split := container.NewHSplit(container.New(fixed{300, 120}, left), container.New(fixed{260, 120}, right))
	split.Offset = 0.56
	s.root = container.NewStack(split)
	p.Watch(func(c Change) {
		if c&(DocChanged|ScreenChanged) != 0 {
			s.ask()
		}
		if c&SettingsChanged != 0 {
			s.show()
		}
	})
	s.show()
	return s
}

func (s *togetherScreen) object() fyne.CanvasObject { return s.root }

// ask has both judged while the screen is shown.
func (s *togetherScreen) ask() {
	d := s.p.doc
	if s.p.screen != 3 || d == nil || d.Survey == nil || s.ofDoc == d {
		return
	}
	if s.asking != nil {
		s.asking()
		s.asking = nil
	}
	s.ofDoc = d
	if d.Plan.Trip.Partner == nil {
		s.pair, s.full = [2]*risk.Judgement{}, nil
		s.show()
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	s.asking = cancel
	s.p.workers.Add(1)
	go func() {
		defer s.p.workers.Done()
		// A first answer without bands comes at once, the full one a little later.
		var quick [2]*risk.Judgement
		var err error
		for i, together := range []bool{false, true} {
			t := d.Plan.Trip
			t.Together = together
			if quick[i], err = guarded(func() (*risk.Judgement, error) { return s.p.desk.Try(ctx, d, t) }); err != nil {
				break
			}
		}
		if err == nil {
			s.p.post(func() {
				if s.ofDoc == d {
					s.pair, s.full, s.fault = quick, nil, ""
					s.show()
				}
			})
		}
		full, err := guarded(func() (*risk.Comparison, error) {
			return s.p.desk.Compare(ctx, d, d.Plan.Columns(tr("alone"), tr("together")), func(string, float64) {})
		})
		s.p.post(func() {
			cancel()
			if s.ofDoc != d {
				return
			}
			s.asking, s.fault = nil, ""
			if err != nil {
				s.fault = err.Error()
			} else if len(full.Judgements) == 2 {
				s.full = full
				s.pair = [2]*risk.Judgement{full.Judgements[0], full.Judgements[1]}
			}
			s.show()
		})
	}()
}

func (s *togetherScreen) show() {
	s.answer.Objects, s.rows.Objects = nil, nil
	defer func() { s.answer.Refresh(); s.rows.Refresh() }()
	sv := s.p.Survey()
	switch {
	case sv == nil:
		s.rows.Add(prose(tr("Open a route first.")))
		return
	case s.fault != "":
		s.rows.Add(prose(s.fault))
		return
	case s.p.plan.Trip.Partner == nil:
		s.rows.Add(prose(tr("There is no second vehicle to compare with. Add one on the Party screen.")))
		s.rows.Add(newAction(tr("To the Party screen"), theme.NavigateNextIcon(), func() { s.p.Show(1) }))
		return
	case s.pair[0] == nil || s.pair[1] == nil || len(s.pair[0].Legs) != len(sv.Legs) || len(s.pair[1].Legs) != len(sv.Legs):
		s.rows.Add(prose(tr("Being worked out…")))
		return
	}
	a, b := s.pair[0], s.pair[1]
	head := newCompareRow(tr("Leg"), nil, nil, tr("what changes"))
	s.rows.Add(head)
	s.rows.Add(newCompareRow(tr("The whole trip"), &a.Trip, &b.Trip, changeText(a.Trip, b.Trip)))
	s.rows.Add(widget.NewSeparator())
	for i := range sv.Legs {
		row := newCompareRow(tr("{{.N}}  {{.Name}}", map[string]any{"N": i + 1, "Name": legName(sv, i)}), &a.Legs[i].Score, &b.Legs[i].Score,
			legChange(&a.Legs[i], &b.Legs[i]))
		s.rows.Add(row)
	}
	s.showAnswer(a, b)
}

// newCompareRow is one line of the table; nil scores make the head line.
func newCompareRow(name string, a, b *risk.Score, text string) fyne.CanvasObject {
	l := plainText(name)
	l.Truncation = fyne.TextTruncateEllipsis
	note := soft(text)
	cell := func(sc *risk.Score, head string) fyne.CanvasObject {
		if sc == nil {
			return caption(head)
		}
		bd := newBadge(46, 26)
		bd.set(*sc)
		return container.NewHBox(container.NewCenter(bd), caption(verdictText(*sc)))
	}
	return container.New(shares{0.3, 0.17, 0.17, 0.36}, l, cell(a, tr("alone")), cell(b, tr("together")), note)
}

// legChange says what a leg gains by the second vehicle, the largest lost points that it wins back first.
func legChange(a, b *risk.LegJudgement) string {
	t := changeText(a.Score, b.Score)
	best, gain := "", 0.0
	for _, x := range a.Score.Lost {
		after := 0.0
		for _, y := range b.Score.Lost {
			if y.Event == x.Event {
				after = y.Points
			}
		}
		if g := x.Points - after; g > gain {
			best, gain = x.Title, g
		}
	}
	if best != "" && gain >= 0.05 {
		t += " · " + tr("most by {{.What}}", with("What", best))
	}
	return t
}

func changeText(a, b risk.Score) string {
	d := b.Readiness - a.Readiness
	t := tr("no difference")
	if math.Abs(d) >= 0.05 {
		t = tr("{{.D}} points", with("D", signed(d)))
	}
	if a.Word != b.Word {
		t += " · " + tr("{{.A}} becomes {{.B}}", map[string]any{"A": verdictText(a), "B": verdictText(b)})
	}
	return t
}

func signed(v float64) string {
	if v > 0 {
		return "+" + f1(v)
	}
	return f1(v)
}

func (s *togetherScreen) showAnswer(a, b *risk.Judgement) {
	s.answer.Add(heading(tr("The answer")))
	flips := 0
	for i := range a.Legs {
		if a.Legs[i].Score.Word != b.Legs[i].Score.Word {
			flips++
		}
	}
	sentence := tr("The second vehicle changes the verdict of {{.N}} of {{.All}} legs and the trip's readiness from {{.A}} to {{.B}}.",
		map[string]any{"N": flips, "All": len(a.Legs), "A": f1(a.Trip.Readiness), "B": f1(b.Trip.Readiness)})
	if s.full != nil && len(s.full.Pairs) > 0 && s.full.Pairs[0].Text != "" {
		sentence = s.full.Pairs[0].Text
	}
	s.answer.Add(prose(sentence))
	if s.full != nil && len(s.full.Pairs) > 0 {
		p := s.full.Pairs[0]
		s.answer.Add(soft(tr("Gain {{.G}} points (5 to 95 %: {{.A}} to {{.B}}); together is better in {{.N}} % of the samples, equal in {{.S}} %.",
			map[string]any{"G": signed(p.Gain), "A": signed(p.GainBand[0]), "B": signed(p.GainBand[2]), "N": f0(100 * p.Better), "S": f0(100 * p.Same)})))
		if p.Common != "" {
			s.answer.Add(soft(p.Common))
		}
	} else {
		s.answer.Add(soft(tr("How sure this is, is being worked out…")))
	}
	grid := container.New(shares{0.4, 0.3, 0.3}, caption(""), caption(tr("alone")), caption(tr("together")))
	s.answer.Add(grid)
	for _, r := range []struct {
		name string
		a, b risk.Odds
	}{{tr("Stopped by a trouble"), a.Trip.Stopped, b.Trip.Stopped}, {tr("Not out by own means"), a.Trip.NotUnaided, b.Trip.NotUnaided}, {tr("No help in time"), a.Trip.NoHelp, b.Trip.NoHelp}} {
		s.answer.Add(container.New(shares{0.4, 0.3, 0.3}, plainText(r.name), bold(oddsText(r.a)), bold(oddsText(r.b))))
	}
	if pr := b.Partner; pr != nil {
		s.answer.Add(container.New(shares{0.4, 0.3, 0.3}, plainText(tr("Party delayed: either vehicle stopped")), plainText("–"), bold(oddsText(pr.PartyDelayed))))
		seats := prose(tr("If one vehicle is lost, {{.Need}} people need seats and the other has {{.Have}}.", map[string]any{"Need": pr.SeatsNeeded, "Have": pr.SeatsHave}))
		if pr.SeatsHave < pr.SeatsNeeded {
			seats.Importance = widget.DangerImportance
		}
		s.answer.Add(seats)
		if len(pr.MustCarry) > 0 {
			s.answer.Add(bold(tr("The second vehicle must carry")))
			s.answer.Add(prose(strings.Join(pr.MustCarry, " · ")))
		}
	}
	for _, f := range b.Findings {
		if f.Severity == risk.Stop {
			s.answer.Add(findingCard(f))
		}
	}
	s.answer.Add(soft(tr("Both are judged on the same route, weather and tables. What a second vehicle brings is bounded by its own troubles: it may be the one that is stopped.")))
	t := b
	if !s.p.plan.Trip.Together {
		t = a
	}
	if len(t.Tornado) > 0 {
		s.answer.Add(bold(tr("What the answer hangs on")))
		s.answer.Add(soft(tr("Each doubtful figure put to its low and its high end, the others as they are: the trip's readiness moves between the two numbers.")))
		widest := 0.0
		for _, w := range t.Tornado {
			widest = math.Max(widest, math.Abs(w.ReadyHigh-w.ReadyLow))
		}
		for i, w := range t.Tornado {
			if i >= 8 {
				break
			}
			s.answer.Add(container.NewBorder(nil, nil, nil, plainText(f1(math.Min(w.ReadyLow, w.ReadyHigh))+" – "+f1(math.Max(w.ReadyLow, w.ReadyHigh))), soft(capital(w.Title))))
			s.answer.Add(newShareBar(float32(math.Abs(w.ReadyHigh-w.ReadyLow)/math.Max(1e-9, widest)), palette().Accent))
		}
	}
}

func bold(t string) *widget.Label {
	l := plainText(t)
	l.TextStyle.Bold = true
	return l
}

// shares gives objects fixed shares of a line.
type shares []float32

func (sh shares) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x := float32(0)
	for i, c := range o {
		w := s.Width * sh[i]
		h := min(s.Height, c.MinSize().Height)
		c.Resize(fyne.NewSize(w-2, h))
		h = min(s.Height, c.MinSize().Height)
		c.Resize(fyne.NewSize(w-2, h))
		c.Move(fyne.NewPos(x, (s.Height-h)/2))
		x += w
	}
}

func (sh shares) MinSize(o []fyne.CanvasObject) fyne.Size {
	var h float32
	for _, c := range o {
		h = max(h, c.MinSize().Height)
	}
	return fyne.NewSize(240, h)
}
