package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// tour is a card over the middle of the window that shows a newcomer round in five steps. It is not
// modal: everything else can be used meanwhile, and it can be left at any step, with Escape from anywhere.
type tour struct {
	s      *shell
	layer  *fyne.Container
	step   int
	onDone func()
	guard  *escapeGuard
}

// tourStep is one step: the screen to show, and what to say of it.
type tourStep struct {
	screen      int
	title, text string
	high        bool // the card stands in the upper middle, clear of what it speaks of
}

func tourSteps() []tourStep {
	return []tourStep{
		{0, tr("The route on its ground"), tr("The map shows the route coloured by readiness: violet where nearly all trouble can be ended, amber and notched where it cannot. Wheel and drag move it; a click chooses a leg."), false},
		{0, tr("The strip below"), tr("Height, grade, distance from a maintained road, ground and supplies stand on the same kilometres. Point at either and the other follows; drag along the strip to mark a stretch and say what its ground is."), true},
		{0, tr("The sheet at the side"), tr("For the chosen leg: the odds, what it needs against what you carry, where each lost point goes and what wins it back, and the recovery worked out step by step."), false},
		{2, tr("Party and load"), tr("Say who goes, in what, with what. Every change is judged anew at once, and everything can be undone. Grey figures are typical ones until you type your own."), false},
		{4, tr("Papers"), tr("Leg sheets for the cab, a load list, recovery cards, and the note for the person who will raise the alarm. Now open your own route: a GPX file, and a region and height file for its ground."), false},
	}
}

func newTour(s *shell, onDone func()) *tour {
	t := &tour{s: s, layer: container.New(&middleCard{}), onDone: onDone}
	t.guard = newEscapeGuard(s.win.Canvas(), s.p.post, t.leave)
	return t
}

// shown reports whether a step is on the screen.
func (t *tour) shown() bool { return len(t.layer.Objects) > 0 }

func (t *tour) show(step int) {
	steps := tourSteps()
	if step >= len(steps) {
		t.leave()
		return
	}
	t.step = step
	st := steps[step]
	if st.screen != t.s.p.screen {
		t.guard.rest()
	}
	t.s.p.Show(st.screen)
	next := widget.NewButton(tr("Next"), func() { t.show(step + 1) })
	if step == len(steps)-1 {
		next.SetText(tr("Begin"))
	}
	next.Importance = widget.HighImportance
	leave := widget.NewButton(tr("Leave the tour"), t.leave)
	leave.Importance = widget.LowImportance
	back := canvas.NewRectangle(theme.Color(theme.ColorNameOverlayBackground))
	back.CornerRadius, back.StrokeWidth, back.StrokeColor = 8, 2, theme.Color(theme.ColorNamePrimary)
	head := heading(tr("{{.N}} of {{.All}}: {{.Title}}", map[string]any{"N": step + 1, "All": len(steps), "Title": st.title}))
	card := container.NewStack(back, container.New(layout.NewCustomPaddedLayout(8, 8, 10, 10),
		container.NewBorder(head, container.NewHBox(leave, layout.NewSpacer(), next), nil, nil, prose(st.text))))
	t.guard.enter = func() { t.show(step + 1) }
	t.layer.Layout = &middleCard{high: st.high}
	t.layer.Objects = []fyne.CanvasObject{t.guard, card}
	t.layer.Refresh()
	t.s.p.guard(t.guard)
}

func (t *tour) leave() {
	if !t.shown() {
		return
	}
	t.s.p.unguard(t.guard)
	t.layer.Objects = nil
	t.layer.Refresh()
	if t.onDone != nil {
		t.onDone()
	}
}

// middleCard keeps its only object, 460 units wide, in the lower middle, or in the upper one below the tabs.
type middleCard struct{ high bool }

func (m *middleCard) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		if _, ok := x.(*escapeGuard); ok {
			continue
		}
		w := min(460, s.Width-20)
		h := float32(170)
		x.Resize(fyne.NewSize(w, h))
		h = min(max(h, x.MinSize().Height), s.Height-20)
		x.Resize(fyne.NewSize(w, h))
		y := s.Height - h - 40
		if m.high {
			y = min(y, 110)
		}
		x.Move(fyne.NewPos((s.Width-w)/2, y))
	}
}

func (*middleCard) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }
