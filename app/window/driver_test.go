package window

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/risk"
)

// user drives the window as a person would, in the words of the screen, so that a re-laid-out window does
// not break the tests.
type user struct {
	t     *testing.T
	p     *Presenter
	shell *shell
	win   fyne.Window
	mu    sync.Mutex
	queue []func()
	told  []string // titles and texts of the errors shown
}

// sit opens a window of 1280 x 800 over a desk.
func sit(t *testing.T, desk Desk) *user {
	t.Helper()
	u := &user{t: t}
	test.NewTempApp(t)
	u.win = test.NewTempWindow(t, nil)
	u.p = NewPresenter(desk, func(f func()) {
		u.mu.Lock()
		u.queue = append(u.queue, f)
		u.mu.Unlock()
	})
	u.shell = newShell(u.p, u.win, fyne.CurrentApp().Preferences())
	show := u.p.tell
	u.p.tell = func(title string, err error) {
		u.told = append(u.told, title+": "+err.Error())
		show(title, err)
	}
	u.win.Resize(fyne.NewSize(1280, 800))
	return u
}

// settle waits for all workers and runs what they handed back, until nothing more comes.
func (u *user) settle() {
	u.t.Helper()
	for range 200 {
		u.p.Wait()
		u.shell.mapv.worker.running.Wait()
		u.shell.strip.beside.running.Wait()
		u.mu.Lock()
		q := u.queue
		u.queue = nil
		u.mu.Unlock()
		if len(q) == 0 {
			return
		}
		for _, f := range q {
			f()
		}
	}
	u.t.Fatal("the window does not come to rest")
}

func (u *user) openDemo() *user { u.p.OpenDemo(); u.settle(); return u }

func (u *user) openFiles(paths ...string) *user { u.shell.openPaths(paths); u.settle(); return u }

// texts are all texts that can be read on the screen now.
func (u *user) texts() string {
	return textsOf(append([]fyne.CanvasObject{u.win.Content()}, u.win.Canvas().Overlays().List()...)...)
}

func textsOf(roots ...fyne.CanvasObject) string {
	var b strings.Builder
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		if o == nil || !o.Visible() {
			return
		}
		switch x := o.(type) {
		case *widget.Label:
			fmt.Fprintln(&b, x.Text)
		case *tapLabel:
			fmt.Fprintln(&b, x.Text)
		case *canvas.Text:
			fmt.Fprintln(&b, x.Text)
		case *widget.Button:
			fmt.Fprintln(&b, x.Text)
		case *widget.RichText:
			fmt.Fprintln(&b, x.String())
		case *container.AppTabs:
			walk(x.Selected().Content)
			return
		case *container.Split:
			walk(x.Leading)
			walk(x.Trailing)
			return
		case *container.Scroll:
			walk(x.Content)
			return
		case *fyne.Container:
			for _, c := range partsOf(x) {
				walk(c)
			}
			return
		case fyne.Widget:
			for _, c := range test.WidgetRenderer(x).Objects() {
				walk(c)
			}
		}
	}
	for _, o := range roots {
		walk(o)
	}
	return b.String()
}

func (u *user) sees(want string) *user {
	u.t.Helper()
	if got := u.texts(); !strings.Contains(got, want) {
		u.t.Errorf("the screen does not show %q; it shows:\n%s", want, clipText(got, 3000))
	}
	return u
}

func (u *user) doesNotSee(what string) *user {
	u.t.Helper()
	if strings.Contains(u.texts(), what) {
		u.t.Errorf("the screen shows %q", what)
	}
	return u
}

func clipText(s string, n int) string {
	if len(s) > n {
		return s[:n] + "…"
	}
	return s
}

// tap presses the button with the given text.
func (u *user) tap(text string) *user {
	u.t.Helper()
	return u.tapIn(text, append(u.win.Canvas().Overlays().List(), u.win.Content())...)
}

// tapIn presses the first button with the given text inside the given parts of the screen.
func (u *user) tapIn(text string, roots ...fyne.CanvasObject) *user {
	u.t.Helper()
	var found interface {
		fyne.CanvasObject
		fyne.Tappable
	}
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		if o == nil || !o.Visible() || found != nil {
			return
		}
		switch x := o.(type) {
		case *widget.Button:
			if x.Text == text {
				found = x
			}
		case *toolButton:
			if x.Text == text {
				found = x
			}
		case *wrapButton:
			if x.Text == text {
				found = x
			}
		case *container.AppTabs:
			walk(x.Selected().Content)
		case *container.Split:
			walk(x.Leading)
			walk(x.Trailing)
		case *container.Scroll:
			walk(x.Content)
		case *fyne.Container:
			for _, c := range partsOf(x) {
				walk(c)
			}
		case fyne.Widget:
			for _, c := range test.WidgetRenderer(x).Objects() {
				walk(c)
			}
		}
	}
	for _, o := range roots {
		walk(o)
	}
	if found == nil {
		u.t.Fatalf("there is no button %q on the screen", text)
	}
	test.Tap(found)
	u.settle()
	return u
}

// does carries out an action of the menu by its id.
func (u *user) does(id string) *user {
	u.shell.do(u.shell.action(id))
	u.settle()
	return u
}

func (u *user) choose(leg int) *user { u.p.Choose(leg); u.settle(); return u }

func (u *user) score() float64 { return u.p.Judgement().Trip.Readiness }

// realDesk is the program's own desk; opening the demo takes a second or two, so tests share one document.
var realDesk = sync.OnceValue(func() Desk {
	d, err := trip.NewDesk()
	if err != nil {
		panic(err)
	}
	return &demoOnce{Desk: d}
})

type demoOnce struct {
	*trip.Desk
	once sync.Once
	doc  *trip.Document
	err  error
}

func (d *demoOnce) Demo(ctx context.Context, r Report) (*trip.Document, error) {
	d.once.Do(func() { d.doc, d.err = d.Desk.Demo(context.Background(), r) })
	return d.doc, d.err
}

// With leaves out bands and cures, which take seconds and which only TestFullJudgement looks at.
func (d *demoOnce) With(ctx context.Context, base *trip.Document, plan trip.Plan, r Report) (*trip.Document, error) {
	if !base.Plan.MeasuresLike(plan) {
		return d.Desk.With(ctx, base, plan, r)
	}
	n := *base
	n.Plan = plan.Clone()
	j, err := d.Try(ctx, &n, plan.Trip)
	if err != nil {
		return nil, err
	}
	n.Judgement = j
	return &n, nil
}

// Compare draws few samples; how many there are is tested where they are drawn.
func (d *demoOnce) Compare(ctx context.Context, base *trip.Document, columns []risk.Variant, r Report) (*risk.Comparison, error) {
	for i := range columns {
		columns[i].Trip.Policy.Samples = 24
	}
	return d.Desk.Compare(ctx, base, columns, r)
}

// Advise gives a small made-up answer; the real one takes seconds and is tested where it is made.
func (d *demoOnce) Advise(_ context.Context, base *trip.Document, t risk.Trip, _ Report) (*risk.Advice, error) {
	var inSecond []risk.Suggestion
	if t.Together && t.Partner != nil {
		inSecond = []risk.Suggestion{{Items: []risk.LoadItem{{Item: "winch", Count: 1}}, Title: "a winch", Kg: 41, Gain: 0.7}}
	}
	return &risk.Advice{
		Second: inSecond,
		Things: []risk.Suggestion{{Items: []risk.LoadItem{{Item: "high_lift_jack", Count: 1}}, Title: "a tall jack", Kg: 13.5, Gain: 1.3}},
		Stay:   []risk.StayHome{{Item: t.Party.Load[0].Item, Title: "a spare wheel", Kg: 32, MayStay: true}},
	}, nil
}

// slowDesk lets a test decide when an answer comes.
type slowDesk struct {
	Desk
	with func(ctx context.Context, base *trip.Document, plan trip.Plan) (*trip.Document, error)
	open func(ctx context.Context, base *trip.Document, paths []string, r Report) (*trip.Document, error)
}

func (d *slowDesk) With(ctx context.Context, base *trip.Document, plan trip.Plan, r Report) (*trip.Document, error) {
	if d.with != nil {
		return d.with(ctx, base, plan)
	}
	return d.Desk.With(ctx, base, plan, r)
}

func (d *slowDesk) Open(ctx context.Context, base *trip.Document, paths []string, r Report) (*trip.Document, error) {
	if d.open != nil {
		return d.open(ctx, base, paths, r)
	}
	return d.Desk.Open(ctx, base, paths, r)
}
