package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// escapeGuard stands before whatever has the focus and hands every key on to it but Escape. The toolkit
// gives a key to the focused thing alone, and its own fields and buttons let Escape fall; a key that must
// work from anywhere has to be caught before them.
type escapeGuard struct {
	widget.BaseWidget
	on    fyne.Canvas
	layer fyne.CanvasObject // the sheet it belongs to, nil for the window's content
	post  func(func())      // runs a function on the window's goroutine a little later
	inner fyne.Focusable    // nil while it stands before nothing
	up    bool              // on guard
	run   func()
	enter func() // for Enter while nothing has the focus; nil for nothing
}

var (
	_ fyne.Focusable    = (*escapeGuard)(nil)
	_ fyne.Shortcutable = (*escapeGuard)(nil)
	_ fyne.Tabbable     = (*escapeGuard)(nil)
	_ desktop.Keyable   = (*escapeGuard)(nil)
)

func newEscapeGuard(on fyne.Canvas, post func(func()), run func()) *escapeGuard {
	g := &escapeGuard{on: on, post: post, run: run}
	g.ExtendBaseWidget(g)
	return g
}

// stand puts the guard before what has the focus now, and again whenever the focus moves, until it steps aside. It
// must be in its layer to get the focus.
func (g *escapeGuard) stand() {
	g.up = true
	f := g.on.Focused()
	if g.on.Overlays().Top() != g.layer || f == fyne.Focusable(g) {
		return // what lies above has its own guard, and menus close by Escape themselves
	}
	g.inner = f
	g.on.Focus(g)
}

// step gives the focus back to where it belongs.
func (g *escapeGuard) step() {
	g.up = false
	if g.on.Focused() != fyne.Focusable(g) {
		g.inner = nil
		return
	}
	f := g.inner
	g.inner = nil
	if f == nil {
		g.on.Unfocus()
	} else {
		g.on.Focus(f)
	}
}

// rest takes the focus from everything: what had it is about to leave the screen.
func (g *escapeGuard) rest() {
	if g.on.Focused() == fyne.Focusable(g) {
		g.on.Unfocus()
	}
	g.inner = nil
}

// behind is what has the focus for the user.
func behind(f fyne.Focusable) fyne.Focusable {
	if g, ok := f.(*escapeGuard); ok {
		return g.inner
	}
	return f
}

// focusedEntry is the entry that is being typed in, nil when none is.
func focusedEntry(c fyne.Canvas) *widget.Entry {
	switch e := behind(c.Focused()).(type) {
	case *widget.Entry:
		return e
	case *focusEntry:
		return &e.Entry
	}
	return nil
}

// FocusGained implements fyne.Focusable.
func (g *escapeGuard) FocusGained() {
	if g.inner != nil {
		g.inner.FocusGained()
	}
}

// FocusLost implements fyne.Focusable: the focus goes elsewhere, and the guard after it. When this is called the
// toolkit has not yet noted where.
func (g *escapeGuard) FocusLost() {
	if g.inner != nil {
		g.inner.FocusLost()
	}
	if g.up {
		g.post(func() {
			if g.up {
				g.stand()
			}
		})
	}
}

// TypedRune implements fyne.Focusable.
func (g *escapeGuard) TypedRune(r rune) {
	if g.inner != nil {
		g.inner.TypedRune(r)
	}
}

// TypedKey catches Escape and moves the focus on with Tab; all else goes on.
func (g *escapeGuard) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyEscape:
		g.run()
		return
	case fyne.KeyTab:
		g.tab()
		return
	}
	switch {
	case g.inner != nil:
		g.inner.TypedKey(e)
	case g.enter != nil && (e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter):
		g.enter()
	}
}

// tab moves the focus from what stands behind the guard to the next thing.
func (g *escapeGuard) tab() {
	inner := g.inner
	if t, ok := inner.(fyne.Tabbable); ok && t.AcceptsTab() {
		inner.TypedKey(&fyne.KeyEvent{Name: fyne.KeyTab})
		return
	}
	g.step()
	back := false
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		back = d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0
	}
	move := g.on.FocusNext
	if back {
		move = g.on.FocusPrevious
	}
	if move(); g.on.Focused() == fyne.Focusable(g) {
		move() // the guard is nothing that one walks to
	}
	g.stand()
}

// AcceptsTab implements fyne.Tabbable: from a guard the toolkit could not find the next thing.
func (g *escapeGuard) AcceptsTab() bool { return true }

// TypedShortcut implements fyne.Shortcutable: what stands behind takes it, else the window.
func (g *escapeGuard) TypedShortcut(s fyne.Shortcut) {
	if t, ok := g.inner.(fyne.Shortcutable); ok {
		t.TypedShortcut(s)
	} else if t, ok := g.on.(fyne.Shortcutable); ok {
		t.TypedShortcut(s)
	}
}

// KeyDown implements desktop.Keyable.
func (g *escapeGuard) KeyDown(e *fyne.KeyEvent) {
	if k, ok := g.inner.(desktop.Keyable); ok {
		k.KeyDown(e)
	}
}

// KeyUp implements desktop.Keyable.
func (g *escapeGuard) KeyUp(e *fyne.KeyEvent) {
	if k, ok := g.inner.(desktop.Keyable); ok {
		k.KeyUp(e)
	}
}

// MinSize implements fyne.Widget.
func (g *escapeGuard) MinSize() fyne.Size { return fyne.Size{} }

// CreateRenderer implements fyne.Widget.
func (g *escapeGuard) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(canvas.NewRectangle(nil))
}
