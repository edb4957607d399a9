package window

import (
	"context"
	"errors"
	"sync"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// waiting is a long step inside a sheet: a bar that says how far it is, and a button that gives it up.
type waiting struct {
	p      *Presenter
	box    *fyne.Container
	bar    *widget.ProgressBar
	text   *widget.Label
	cancel context.CancelFunc
}

func newWaiting(p *Presenter) *waiting {
	w := &waiting{p: p, bar: widget.NewProgressBar(), text: soft("")}
	stop := widget.NewButtonWithIcon(tr("Cancel"), theme.CancelIcon(), w.stop)
	w.box = container.New(column{gap: 2}, w.text, container.NewBorder(nil, nil, nil, stop, w.bar))
	w.box.Hide()
	return w
}

func (w *waiting) stop() {
	if w.cancel != nil {
		w.cancel()
	}
}

// start runs work in a worker. done gets its outcome on the window's goroutine; a step that was cancelled tells
// nothing.
func (w *waiting) start(title string, work func(context.Context, Report) error, done func(error)) {
	w.stop()
	ctx, cancel := context.WithCancel(context.Background())
	w.cancel = cancel
	w.text.SetText(title)
	w.bar.SetValue(0)
	w.box.Show()
	var mu sync.Mutex
	var last time.Time
	report := func(_ string, share float64) {
		mu.Lock()
		defer mu.Unlock()
		if now := time.Now(); now.Sub(last) > 66*time.Millisecond {
			last = now
			w.p.post(func() {
				if ctx.Err() == nil {
					w.bar.SetValue(max(0, share))
				}
			})
		}
	}
	w.p.workers.Add(1)
	go func() {
		defer w.p.workers.Done()
		defer longStep()()
		_, err := guarded(func() (struct{}, error) { return struct{}{}, work(ctx, report) })
		w.p.post(func() {
			given := ctx.Err() != nil
			cancel()
			if !given || err == nil {
				w.box.Hide()
			}
			switch {
			case errors.Is(err, context.Canceled) || given && err != nil:
				w.box.Hide()
			default:
				done(err)
			}
		})
	}()
}
