package window

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"
)

// present shows a sheet over a window. Escape leaves it as its dismissing button does, wherever in it the focus is;
// then the focus is where it was before, since the toolkit keeps one for each layer.
func (p *Presenter) present(win fyne.Window, d dialog.Dialog) { p.presentTo(win, d, d.Dismiss) }

// presentTo is present with another way for Escape to leave.
func (p *Presenter) presentTo(win fyne.Window, d dialog.Dialog, leave func()) {
	d.Show()
	sheet, ok := win.Canvas().Overlays().Top().(*widget.PopUp)
	if !ok {
		return // a dialog of the system, which has keys of its own
	}
	if box, ok := sheet.Content.(*fyne.Container); ok {
		g := newEscapeGuard(win.Canvas(), p.post, leave)
		g.layer = sheet
		box.Add(g)
		p.guard(g)
		d.SetOnClosed(func() { p.unguard(g) })
	}
}

// guard puts a guard on duty, unguard takes it off and lets the one below stand again: while it was covered, the focus
// may have moved.
func (p *Presenter) guard(g *escapeGuard) {
	if !slices.Contains(p.guards, g) {
		p.guards = append(p.guards, g)
	}
	g.stand()
}

func (p *Presenter) unguard(g *escapeGuard) {
	g.step()
	p.guards = slices.DeleteFunc(p.guards, func(o *escapeGuard) bool { return o == g })
	p.post(func() {
		for _, o := range p.guards {
			o.stand()
		}
	})
}
