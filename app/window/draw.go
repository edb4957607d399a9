package window

import (
	"context"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/paulmach/orb"

	"lastroad/app/trip"
	"lastroad/app/units"
)

// drawer is a desk that can lay lines over a region.
type drawer interface {
	Trace(base *trip.Document, places []orb.Point, follow bool, nearM float64) trip.Trace
	Drawn(ctx context.Context, base *trip.Document, line orb.LineString, fromM, toM float64, name string, report Report) (*trip.Document, error)
}

// drawing is a route or a detour that is being drawn by clicking places on the map. While it goes on clicks
// belong to it; Enter finishes, Escape gives up, Backspace takes the last place back.
type drawing struct {
	s      *shell
	desk   drawer
	detour bool
	follow bool
	places []orb.Point
	ends   [2]float64 // of a detour: where it leaves the route and where it comes back, metres
	nearM  float64    // what is near on the screen at the zoom of the last click
	trace  trip.Trace
	rev    int

	card *fyne.Container
	text *widget.Label
	done *toolButton
}

// newDrawingCard makes the card over the map; it is hidden while nothing is drawn.
func newDrawingCard(s *shell) *fyne.Container {
	c := container.New(&topLeft{})
	c.Hide()
	return c
}

func (s *shell) draw(detour bool) {
	desk, ok := s.p.desk.(drawer)
	if !ok || s.p.doc == nil {
		return
	}
	s.p.Show(0)
	d := &drawing{s: s, desk: desk, detour: detour, follow: s.p.doc.Region != nil, card: s.drawCard, text: prose(""), ends: [2]float64{math.NaN(), math.NaN()}}
	s.drawing, s.drawnOn = d, s.p.doc
	s.mapv.drawing = d
	followText := tr("Follow the ways")
	follow := widget.NewCheck("", func(on bool) {
		d.follow = on
		d.retrace()
	})
	follow.Checked = d.follow
	if s.p.doc.Region == nil {
		followText = tr("Follow the ways (no region file is open)")
		follow.Disable()
	}
	d.done = newToolButton(theme.ConfirmIcon(), s.tips, d.whyNot, d.finish)
	d.done.SetText(tr("Finish"))
	d.done.Importance = widget.HighImportance
	give := widget.NewButtonWithIcon(tr("Give up"), theme.CancelIcon(), d.leave)
	back := newToolButton(theme.ContentUndoIcon(), s.tips, func() string { return tr("Take the last place back") }, d.back)
	head := tr("Click the places of the new route in their order. Enter finishes, Escape gives up, Backspace takes the last one back.")
	if detour {
		head = tr("Click where the detour leaves the route, the places it goes through, and where it comes back. Enter finishes, Escape gives up.")
	}
	words := soft(head)
	panel := canvas.NewRectangle(theme.Color(theme.ColorNameOverlayBackground))
	panel.CornerRadius, panel.StrokeWidth, panel.StrokeColor = 6, 2, theme.Color(theme.ColorNamePrimary)
	d.card.Objects = []fyne.CanvasObject{container.NewStack(panel, container.NewPadded(container.NewPadded(
		container.New(atWidth(460), container.New(column{gap: 2}, words, checkRow(follow, followText), container.NewHBox(back, give, d.done), d.text)))))}
	d.card.Show()
	d.card.Refresh()
	if c := s.win.Canvas(); c != nil {
		c.Focus(s.mapv)
	}
	d.say()
}

// click takes a place. Of a detour, a place on the route is its end.
func (d *drawing) click(at orb.Point, onRoute bool, atM float64) {
	if d.detour && onRoute {
		i, ok := d.s.p.SampleAt(atM)
		if ok {
			q := d.s.p.Survey().Samples[i]
			at = orb.Point{q.Lon, q.Lat}
			if len(d.places) == 0 {
				d.ends[0] = q.DistanceM
			} else {
				d.ends[1] = q.DistanceM
			}
		}
	} else if d.detour && len(d.places) == 0 {
		d.text.SetText(tr("Begin on the route itself."))
		return
	}
	d.places = append(d.places, at)
	const nearUnits = 14 // about the width of a finger's tip of error with a mouse
	d.nearM = nearUnits * float64(d.s.mapv.scale()) * d.s.mapv.view.MetresPerPx
	d.retrace()
}

func (d *drawing) back() {
	if n := len(d.places); n > 0 {
		d.places = d.places[: n-1 : n-1]
		d.ends[1] = math.NaN()
		d.retrace()
	}
}

// retrace lays the line anew in a worker; an answer to older places is dropped.
func (d *drawing) retrace() {
	d.rev++
	rev, p := d.rev, d.s.p
	doc, places, follow, near := p.doc, append([]orb.Point(nil), d.places...), d.follow, d.nearM
	d.s.mapv.raster.Refresh()
	p.workers.Add(1)
	go func() {
		defer p.workers.Done()
		t, err := guarded(func() (trip.Trace, error) { return d.desk.Trace(doc, places, follow, near), nil })
		p.post(func() {
			if d.rev != rev || err != nil {
				return
			}
			d.trace = t
			d.say()
			d.s.mapv.raster.Refresh()
		})
	}()
}

func (d *drawing) say() {
	f := d.s.p.format()
	switch {
	case len(d.places) == 0:
		d.text.SetText(d.whyNot())
	case len(d.trace.Line) < 2:
		d.text.SetText(tr("one place"))
	default:
		t := f.Format(units.Distance, d.trace.LengthM)
		if d.trace.StraightM > 0 {
			t += " · " + tr("{{.D}} straight across", with("D", f.Format(units.Distance, d.trace.StraightM)))
		}
		if d.trace.BarredM > 0 {
			t += " · " + tr("{{.D}} on private or closed ways", with("D", f.Format(units.Distance, d.trace.BarredM)))
		}
		d.text.SetText(t)
	}
	if d.ready() {
		d.done.Enable()
	} else {
		d.done.Disable()
	}
}

// whyNot says why the drawing cannot be finished yet, "" when it can.
func (d *drawing) whyNot() string {
	switch {
	case d.ready():
		return ""
	case len(d.places) < 2:
		return tr("Click two places or more first.")
	}
	return tr("A detour must end on the route.")
}

func (d *drawing) ready() bool {
	return len(d.trace.Line) >= 2 && (!d.detour || d.ends[0] == d.ends[0] && d.ends[1] == d.ends[1] && d.ends[0] != d.ends[1])
}

func (d *drawing) leave() {
	d.s.drawing, d.s.mapv.drawing = nil, nil
	d.card.Objects = nil
	d.card.Hide()
	d.s.mapv.raster.Refresh()
}

// finish opens what was drawn and offers the old route back beside it.
func (d *drawing) finish() {
	if !d.ready() {
		if d.detour {
			d.text.SetText(tr("A detour must end on the route."))
		}
		return
	}
	p, s := d.s.p, d.s
	base, line := p.doc, d.trace.Line
	from, to := 0.0, 0.0
	name := tr("Drawn route")
	if d.detour {
		from, to = d.ends[0], d.ends[1]
		if from > to {
			from, to = to, from
			line = append(orb.LineString(nil), line...)
			line.Reverse()
		}
		name = tr("{{.Name}}, with a detour", with("Name", base.Name()))
	}
	d.leave()
	p.afterOpen = func() { s.compareDrawn(base, p.doc) }
	p.long(tr("Judging the drawn route"), func(ctx context.Context, r Report) (*trip.Document, error) {
		return d.desk.Drawn(ctx, base, line, from, to, name, r)
	})
}

// compareDrawn sets the old and the new route side by side.
func (s *shell) compareDrawn(old, now *trip.Document) {
	if old == nil || now == nil || old.Judgement == nil || now.Judgement == nil {
		return
	}
	// What was drawn is in no file yet.
	s.p.savedRev = s.p.rev - 1
	f := s.p.format()
	grid := container.New(layout3{}, caption(""), caption(tr("before")), caption(tr("drawn")))
	row := func(name, a, b string) {
		grid.Add(prose(name))
		grid.Add(prose(a))
		drawn := prose(b)
		drawn.TextStyle.Bold = true
		grid.Add(drawn)
	}
	a, b := old.Judgement.Trip, now.Judgement.Trip
	row(tr("Length"), f.Format(units.Distance, old.Survey.LengthM()), f.Format(units.Distance, now.Survey.LengthM()))
	row(tr("Driving time"), minutes(driveMin(old)), minutes(driveMin(now)))
	row(tr("Readiness"), f1(a.Readiness)+", "+verdictText(a), f1(b.Readiness)+", "+verdictText(b))
	row(tr("Stopped by a trouble"), oddsText(a.Stopped), oddsText(b.Stopped))
	row(tr("Not out by own means"), oddsText(a.NotUnaided), oddsText(b.NotUnaided))
	row(tr("No help in time"), oddsText(a.NoHelp), oddsText(b.NoHelp))
	row(tr("Farthest from a maintained road"), f.Format(units.Distance, farthestOfAll(old.Survey)), f.Format(units.Distance, farthestOfAll(now.Survey)))
	asked := true
	d := dialog.NewCustomConfirm(tr("The drawn route beside the one before"), tr("Keep the drawn one"), tr("Take the old one back"), grid, func(keep bool) {
		if asked && !keep {
			s.p.Undo()
		}
	}, s.win)
	d.Resize(fyne.NewSize(560, 320))
	s.p.presentTo(s.win, d, func() {
		asked = false // what was drawn stays: to leave decides nothing
		d.Hide()
	})
}

func driveMin(d *trip.Document) float64 {
	if n := len(d.Survey.Samples); n > 0 {
		return d.Survey.Samples[n-1].DriveS / 60
	}
	return math.NaN()
}

// layout3 is a table of three columns of even rows.
type layout3 struct{}

func (layout3) Layout(o []fyne.CanvasObject, s fyne.Size) {
	y := float32(0)
	for i := 0; i < len(o); i += 3 {
		h, x := float32(0), float32(0)
		for k, share := range []float32{0.42, 0.29, 0.29} {
			if i+k < len(o) { // wrapped texts know their height when they know their width
				o[i+k].Resize(fyne.NewSize(s.Width*share, o[i+k].MinSize().Height))
				h = max(h, o[i+k].MinSize().Height)
			}
		}
		for k, share := range []float32{0.42, 0.29, 0.29} {
			if i+k < len(o) {
				o[i+k].Resize(fyne.NewSize(s.Width*share, h))
				o[i+k].Move(fyne.NewPos(x, y))
			}
			x += s.Width * share
		}
		y += h - rowOverlap
	}
}

func (layout3) MinSize(o []fyne.CanvasObject) fyne.Size {
	h := float32(rowOverlap)
	for i := 0; i < len(o); i += 3 {
		row := float32(0)
		for k := i; k < min(i+3, len(o)); k++ {
			row = max(row, o[k].MinSize().Height)
		}
		h += row - rowOverlap
	}
	return fyne.NewSize(420, h)
}
