package window

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/units"
)

// legList is the list of legs with their readiness. Pointing at a row marks the leg's remotest place.
type legList struct {
	p     *Presenter
	list  *widget.List
	whole *wrapButton
	busy  bool // a selection by the program and not by the user
}

func newLegList(p *Presenter) *legList {
	l := &legList{p: p}
	l.list = widget.NewList(l.len, func() fyne.CanvasObject { return newLegRow(p) }, func(i widget.ListItemID, o fyne.CanvasObject) {
		o.(*legRow).set(i)
	})
	l.list.OnSelected = func(i widget.ListItemID) {
		if !l.busy {
			p.Choose(i)
		}
	}
	l.list.HideSeparators = true
	l.whole = newAction(tr("The whole trip: findings and lost points"), theme.ListIcon(), func() { p.Choose(-1) })
	l.whole.Importance = widget.LowImportance
	l.whole.paint()
	p.Watch(func(c Change) {
		if c&(DocChanged|SceneChanged|SettingsChanged) != 0 {
			l.list.Refresh()
		}
		if c&(ChosenChanged|DocChanged) != 0 {
			l.busy = true
			if p.chosen >= 0 {
				l.list.Select(p.chosen)
			} else {
				l.list.UnselectAll()
			}
			l.busy = false
		}
	})
	return l
}

func (l *legList) len() int {
	if s := l.p.Survey(); s != nil {
		return len(s.Legs)
	}
	return 0
}

// legRow is one leg: badge, name, and a line of what it is.
type legRow struct {
	widget.BaseWidget
	p     *Presenter
	leg   int
	badge *badge
	name  *widget.Label
	note  *widget.Label
	word  *widget.Label
}

var _ desktop.Hoverable = (*legRow)(nil)

func newLegRow(p *Presenter) *legRow {
	r := &legRow{p: p, badge: newBadge(44, 26), name: widget.NewLabel(""), note: widget.NewLabel(""), word: widget.NewLabel("")}
	r.name.TextStyle.Bold = true
	r.name.Truncation, r.note.Truncation = fyne.TextTruncateEllipsis, fyne.TextTruncateEllipsis
	r.note.SizeName, r.word.SizeName = theme.SizeNameCaptionText, theme.SizeNameCaptionText
	r.word.Alignment = fyne.TextAlignTrailing
	r.ExtendBaseWidget(r)
	return r
}

func (r *legRow) set(leg int) {
	r.leg = leg
	s, j := r.p.Survey(), r.p.Judgement()
	if s == nil || leg >= len(s.Legs) {
		return
	}
	f := r.p.format()
	r.name.SetText(tr("{{.N}}  {{.Name}}", map[string]any{"N": leg + 1, "Name": legName(s, leg)}))
	note := f.Format(units.Distance, s.ToM(leg)-s.FromM(leg)) + " · " + groundsOf(s, leg)
	if far := farthest(r.p, leg); far == far && far > 0 {
		note += " · " + tr("{{.D}} from a road", with("D", f.Format(units.Distance, far)))
	}
	r.note.SetText(note)
	if j != nil && leg < len(j.Legs) {
		r.badge.set(j.Legs[leg].Score)
		r.word.SetText(verdictText(j.Legs[leg].Score))
	}
}

// farthest is the largest distance of a leg from a maintained road in metres, NaN when none is known.
func farthest(p *Presenter, leg int) float64 {
	s := p.Survey()
	far := math.NaN()
	for i := s.Legs[leg].From; i <= s.Legs[leg].To; i++ {
		if m := s.Samples[i].RoadM; m == m && !(m <= far) {
			far = m
		}
	}
	return far
}

// MouseIn implements desktop.Hoverable.
func (r *legRow) MouseIn(*desktop.MouseEvent) {
	s := r.p.Survey()
	if s == nil || r.leg >= len(s.Legs) {
		return
	}
	r.p.Point((s.FromM(r.leg) + s.ToM(r.leg)) / 2)
}

// MouseMoved implements desktop.Hoverable.
func (r *legRow) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (r *legRow) MouseOut() { r.p.Point(math.NaN()) }

// CreateRenderer implements fyne.Widget.
func (r *legRow) CreateRenderer() fyne.WidgetRenderer {
	text := container.New(tight{}, r.name, r.note)
	return widget.NewSimpleRenderer(container.NewBorder(nil, nil, container.NewCenter(r.badge), r.word, text))
}

// tight lays lines one under the other without the usual gaps.
type tight struct{}

// tightOverlap is how far the padding of one label may reach into the next.
const tightOverlap = 7

func (tight) Layout(o []fyne.CanvasObject, s fyne.Size) {
	y := float32(0)
	for _, c := range o {
		h := c.MinSize().Height
		c.Resize(fyne.NewSize(s.Width, h))
		c.Move(fyne.NewPos(0, y))
		y += h - tightOverlap
	}
}

func (tight) MinSize(o []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for i, c := range o {
		m := c.MinSize()
		s.Width = max(s.Width, m.Width)
		s.Height += m.Height
		if i > 0 {
			s.Height -= tightOverlap
		}
	}
	return s
}
