package window

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// progressLine shows long work in the line of state: what is done, how far it is, and a way to give it up.
// Work shorter than progressDelay shows nothing.
type progressLine struct {
	p      *Presenter
	box    *fyne.Container
	text   *widget.Label
	bar    *widget.ProgressBar
	forOne *work
}

const progressDelay = 300 * time.Millisecond

func newProgressLine(p *Presenter) *progressLine {
	l := &progressLine{p: p, text: caption(""), bar: widget.NewProgressBar()}
	l.bar.TextFormatter = func() string {
		if p.work == nil || p.work.share < 0 {
			return "…"
		}
		return f0(100*p.work.share) + " %"
	}
	stop := widget.NewButtonWithIcon(tr("Cancel"), theme.CancelIcon(), p.Cancel)
	l.box = container.NewHBox(l.text, container.NewGridWrap(fyne.NewSize(160, 22), l.bar), stop)
	l.box.Hide()
	return l
}

func (l *progressLine) update() {
	w := l.p.work
	if w == nil {
		l.forOne = nil
		if l.box.Visible() {
			l.box.Hide()
		}
		return
	}
	if w != l.forOne {
		l.forOne = w
		time.AfterFunc(progressDelay, func() {
			l.p.post(func() {
				if l.p.work == w {
					l.update()
				}
			})
		})
	}
	if time.Since(w.began) < progressDelay {
		return
	}
	l.text.SetText(w.title)
	l.bar.SetValue(max(0, w.share))
	if !l.box.Visible() {
		l.box.Show()
	}
}
