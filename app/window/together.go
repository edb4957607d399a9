package window

import (
	"context"
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/risk"
)

// togetherScreen sets up to four ways to make the trip side by side, leg by leg, and says what decides: alone,
// with the second vehicle, and variants of party, load and season that the user keeps.
type togetherScreen struct {
	p      *Presenter
	root   *fyne.Container
	answer *fyne.Container
	rows   *fyne.Container
	pick   *fyne.Container // what is compared
	// base is the column that the others are set against.
	base   int
	ofDoc  *trip.Document
	names  []string          // of the columns asked for
	quick  []*risk.Judgement // without bands
	full   *risk.Comparison
	asking context.CancelFunc
	fault  string
}

func newTogetherScreen(p *Presenter) *togetherScreen {
	s := &togetherScreen{p: p, answer: container.New(column{gap: 4}), rows: container.New(column{gap: 1}), pick: container.New(column{gap: 2})}
	left := container.NewVScroll(s.rows)
	right := container.NewVScroll(container.New(column{gap: 8}, s.pick, s.answer))
	split := container.NewHSplit(container.New(fixed{300, 120}, left), container.New(fixed{260, 120}, right))
	split.Offset = 0.6
	s.root = container.NewStack(split)
	p.Watch(func(c Change) {
		if c&(DocChanged|ScreenChanged) != 0 {
			s.ask()
		}
		if c&(SettingsChanged|PlanChanged|DocChanged) != 0 {
			s.showPick()
		}
		if c&SettingsChanged != 0 {
			s.show()
		}
	})
	s.showPick()
	s.show()
	return s
}

func (s *togetherScreen) object() fyne.CanvasObject { return s.root }

// columns are what the plan sets side by side.
func columnsOf(pl *trip.Plan) []risk.Variant { return pl.Columns(tr("alone"), tr("together")) }

// ask has the columns judged while the screen is shown.
func (s *togetherScreen) ask() {
	d := s.p.doc
	if s.p.screen != 3 || d == nil || d.Survey == nil || s.ofDoc == d {
		return
	}
	if s.asking != nil {
		s.asking()
		s.asking = nil
	}
	s.ofDoc, s.fault = d, ""
	cols := columnsOf(&d.Plan)
	s.names = nil
	for _, c := range cols {
		s.names = append(s.names, c.Name)
	}
	s.base = min(s.base, max(0, len(cols)-2))
	if len(cols) < 2 {
		s.quick, s.full = nil, nil
		s.show()
		return
	}
	s.quick, s.full = nil, nil
	s.show()
	ctx, cancel := context.WithCancel(context.Background())
	s.asking = cancel
	s.p.workers.Add(1)
	go func() {
		defer s.p.workers.Done()
		// A first answer without bands comes at once, the full one a little later.
		var quick []*risk.Judgement
		for _, c := range cols {
			j, err := guarded(func() (*risk.Judgement, error) { return s.p.desk.Try(ctx, d, c.Trip) })
			if err != nil {
				break // the full one meets it too and tells it
			}
			quick = append(quick, j)
		}
		if len(quick) == len(cols) {
			s.p.post(func() {
				if s.ofDoc == d && ctx.Err() == nil {
					s.quick, s.full = quick, nil
					s.show()
				}
			})
		}
		full, err := guarded(func() (*risk.Comparison, error) {
			return s.p.desk.Compare(ctx, d, cols, func(string, float64) {})
		})
		s.p.post(func() {
			cancel()
			if s.ofDoc != d {
				return
			}
			s.asking = nil
			if err != nil {
				s.fault = err.Error()
			} else {
				s.full, s.quick = full, full.Judgements
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
	case s.ofDoc != nil && len(s.names) < 2:
		s.rows.Add(prose(tr("There is only one way to make the trip so far. Add a second vehicle on the Party screen, or keep the trip as it is now and change party, load or season.")))
		s.rows.Add(newAction(tr("To the Party screen"), theme.NavigateNextIcon(), func() { s.p.Show(1) }))
		return
	}
	if len(s.quick) != len(s.names) || len(s.quick) < 2 {
		s.rows.Add(prose(tr("Being worked out…")))
		return
	}
	for _, j := range s.quick {
		if len(j.Legs) != len(sv.Legs) {
			s.rows.Add(prose(tr("Being worked out…")))
			return
		}
	}
	trips := make([]*risk.Score, len(s.quick))
	for i, j := range s.quick {
		trips[i] = &j.Trip
	}
	s.rows.Add(s.headRow())
	s.rows.Add(s.compareRow(tr("The whole trip"), trips, s.changeOf(trips, -1)))
	s.rows.Add(widget.NewSeparator())
	for i := range sv.Legs {
		scores := make([]*risk.Score, len(s.quick))
		for k, j := range s.quick {
			scores[k] = &j.Legs[i].Score
		}
		s.rows.Add(s.compareRow(tr("{{.N}}  {{.Name}}", map[string]any{"N": i + 1, "Name": legName(sv, i)}), scores, s.changeOf(scores, i)))
	}
	s.showAnswer()
}

// widths are the shares of a line: name, a badge a column, what changes.
func (s *togetherScreen) widths() shares {
	switch n := len(s.names); n {
	case 2:
		return shares{0.3, 0.17, 0.17, 0.36}
	case 3:
		return shares{0.26, 0.14, 0.14, 0.14, 0.32}
	default:
		return shares{0.24, 0.12, 0.12, 0.12, 0.12, 0.28}
	}
}

func (s *togetherScreen) headRow() fyne.CanvasObject {
	cells := []fyne.CanvasObject{caption(tr("Leg"))}
	for i, n := range s.names {
		l := caption(n)
		l.Truncation = fyne.TextTruncateEllipsis
		l.TextStyle.Bold = i == s.base
		cells = append(cells, l)
	}
	return container.New(s.widths(), append(cells, caption(tr("what changes")))...)
}

// compareRow is one line of the table.
func (s *togetherScreen) compareRow(name string, scores []*risk.Score, text string) fyne.CanvasObject {
	l := plainText(name)
	l.Truncation = fyne.TextTruncateEllipsis
	cells := []fyne.CanvasObject{l}
	for _, sc := range scores {
		bd := newBadge(46, 26)
		bd.set(*sc)
		word := soft(verdictText(*sc))
		cells = append(cells, container.NewBorder(nil, nil, container.NewCenter(bd), nil, word))
	}
	return container.New(s.widths(), append(cells, soft(text))...)
}

// changeOf says what a line gains in the column that differs most from the base: leg -1 for the whole trip.
func (s *togetherScreen) changeOf(scores []*risk.Score, leg int) string {
	best := -1
	for i := range scores {
		if i != s.base && (best < 0 || math.Abs(scores[i].Readiness-scores[s.base].Readiness) > math.Abs(scores[best].Readiness-scores[s.base].Readiness)+1e-9) {
			best = i
		}
	}
	a, b := *scores[s.base], *scores[best]
	t := changeText(a, b)
	if len(scores) > 2 && t != tr("no difference") {
		t = said(s.names[best], t)
	}
	if leg >= 0 {
		if why := mostOf(a, b); why != "" {
			t += " · " + tr("most by {{.What}}", with("What", why))
		}
	}
	return t
}

// mostOf names the trouble whose lost points change most.
func mostOf(a, b risk.Score) string {
	after := map[string]float64{}
	for _, y := range b.Lost {
		after[y.Event] = y.Points
	}
	best, most := "", 0.05
	for _, x := range a.Lost {
		if g := math.Abs(x.Points - after[x.Event]); g > most {
			best, most = x.Title, g
		}
	}
	return spoken(best)
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

// wholeSigned writes a whole number with its sign; what rounds to 0 has none.
func wholeSigned(v float64) string {
	if math.Abs(v) < 0.5 {
		return "0"
	}
	return fmt.Sprintf("%+.0f", v)
}

func signed(v float64) string {
	if v > 0 {
		return "+" + f1(v)
	}
	return f1(v)
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
