package window

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/risk"
)

// Change says what part of the state is new.
type Change uint16

// The parts of the state.
const (
	DocChanged     Change = 1 << iota // another judged document
	SceneChanged                      // another picture of the ground or route
	PlanChanged                       // an edit, perhaps not judged yet
	ChosenChanged                     // another leg is chosen
	HoverChanged                      // another place is pointed at
	RangeChanged                      // the kilometres in sight
	StretchChanged                    // the marked stretch
	WorkChanged                       // work began, went on or ended
	SettingsChanged
	ScreenChanged
	RangeFollows // the kilometres in sight follow a map that moves; more will come
)

// Presenter owns what the window shows. It belongs to the window's goroutine.
type Presenter struct {
	desk Desk
	post func(func()) // runs a function on the window's goroutine, from any other

	doc   *trip.Document
	plan  trip.Plan // doc.Plan with edits that are not judged yet
	scene *plot.Scene
	kept  *trip.Document // whose region scene shows

	chosen   int     // leg, -1 for none
	hoverM   float64 // metres along the route, NaN for none
	rng      plot.Range
	stretch  [2]float64 // marked metres, NaN for none
	screen   int
	settings Settings

	undo, redo []step
	lastKey    string

	rev       uint64         // of plan
	guards    []*escapeGuard // of the sheets that are open and of the tour
	savedRev  uint64         // rev of the plan that a file holds
	afterOpen func()         // runs once after the next document was opened
	work      *work
	judging   context.CancelFunc
	workers   sync.WaitGroup
	headStart time.Duration // that painting has over judging in full what was just opened

	beforeShow func(screen int) // is told of a screen before it is shown; nil until the shell sets it
	subs       []func(Change)

	fill    risk.Trip // plan.Trip with defaults, of fillRev
	fillRev uint64
	fillOf  *geo.Survey
	fillOK  bool

	light   []plot.Daylight
	lightOf *trip.Document
	turns   []int // samples of the points of no easy return of turnsOf
	turnsOf *geo.Survey
	back    [3][]int // samples of the points of no return in fuel, in water, in both, of backOf
	backOf  *trip.Document

	tell      func(title string, err error) // shows an error; the shell sets it
	placeMenu placeMenuFunc                 // nil until the shell sets it
	toBench   func(leg int)                 // puts a leg's recovery on the bench; nil until the shell sets it
}

// step is a state to come back to.
type step struct {
	doc  *trip.Document
	plan trip.Plan
	what string
}

// work is a long step that the user waits for.
type work struct {
	title  string
	share  float64
	began  time.Time
	cancel context.CancelFunc
}

// NewPresenter makes a presenter without a document. post must run functions one after the other on the
// goroutine that calls the presenter.
func NewPresenter(desk Desk, post func(func())) *Presenter {
	nan := math.NaN()
	return &Presenter{desk: desk, post: post, chosen: -1, hoverM: nan, stretch: [2]float64{nan, nan}, rng: plot.Range{ToM: 1},
		settings: DefaultSettings(), tell: func(string, error) {}}
}

// Watch has f called after every change.
func (p *Presenter) Watch(f func(Change)) { p.subs = append(p.subs, f) }

func (p *Presenter) changed(c Change) {
	for _, f := range p.subs {
		f(c)
	}
}

// Doc is the document last judged, nil before the first.
func (p *Presenter) Doc() *trip.Document { return p.doc }

// Plan is the plan with all edits.
func (p *Presenter) Plan() trip.Plan { return p.plan }

// Survey and Judgement are those of the document, nil without.
func (p *Presenter) Survey() *geo.Survey {
	if p.doc == nil {
		return nil
	}
	return p.doc.Survey
}

// Judgement is that of the document, nil without.
func (p *Presenter) Judgement() *risk.Judgement {
	if p.doc == nil {
		return nil
	}
	return p.doc.Judgement
}

// Stale reports whether edits wait for their judgement.
func (p *Presenter) Stale() bool { return p.judging != nil }

// --- opening ---

// OpenDemo shows the built-in trip.
func (p *Presenter) OpenDemo() {
	p.long(tr("Opening the demo trip"), func(ctx context.Context, r Report) (*trip.Document, error) { return p.desk.Demo(ctx, r) })
}

// OpenFiles opens a route or trip, or adds region and height files to the open one. What was open stays
// when it fails.
func (p *Presenter) OpenFiles(paths []string) {
	if len(paths) == 0 {
		return
	}
	base := p.doc
	p.long(tr("Opening {{.Name}}", map[string]any{"Name": baseName(paths[0])}), func(ctx context.Context, r Report) (*trip.Document, error) {
		return p.desk.Open(ctx, base, paths, r)
	})
}

// long runs a step that gives a new document, with progress and cancel. One runs at a time; a second one
// is refused in words.
func (p *Presenter) long(title string, f func(context.Context, Report) (*trip.Document, error)) {
	if p.work != nil {
		p.tell(title, errors.New(tr("another file is being opened; wait for it or cancel it first")))
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	w := &work{title: title, share: -1, began: time.Now(), cancel: cancel}
	p.work = w
	p.changed(WorkChanged)
	report := p.throttled(w)
	kept := p.kept
	oldScene := p.scene
	p.workers.Add(1)
	go func() {
		defer p.workers.Done()
		ended := make(chan struct{})
		defer close(ended)
		go watchMemory(ended)
		doc, err := guarded(func() (*trip.Document, error) { return f(ctx, report) })
		var scene *plot.Scene
		if err == nil {
			report(tr("Drawing the ground"), -1)
			scene = p.drawScene(doc, kept, oldScene)
		}
		p.post(func() {
			cancel()
			p.work = nil
			p.changed(WorkChanged)
			switch {
			case errors.Is(err, context.Canceled):
				p.afterOpen = nil
			case err != nil:
				p.afterOpen = nil
				p.tell(title, err)
			default:
				p.arrive(doc, scene)
			}
		})
	}()
}

// guarded turns a panic of the pipeline into an error, so that a fault there costs a message and not the
// user's open trip.
func guarded[T any](f func() (T, error)) (v T, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%s: %v", tr("the program met a fault of its own"), r)
		}
	}()
	return f()
}

// throttled gives a report that reaches the window at most fifteen times a second.
func (p *Presenter) throttled(w *work) Report {
	var mu sync.Mutex
	var last time.Time
	return func(what string, share float64) {
		mu.Lock()
		defer mu.Unlock()
		if now := time.Now(); now.Sub(last) > 66*time.Millisecond || share >= 1 {
			last = now
			p.post(func() {
				if p.work == w {
					if what != "" {
						w.title = what
					}
					w.share = share
					p.changed(WorkChanged)
				}
			})
		}
	}
}

// Cancel gives up the long step.
func (p *Presenter) Cancel() {
	if p.work != nil {
		p.work.cancel()
	}
}

// drawScene prepares the pictures; the ground is made anew only when region or heights are others.
func (p *Presenter) drawScene(d *trip.Document, kept *trip.Document, old *plot.Scene) *plot.Scene {
	if old != nil && kept != nil && kept.Region == d.Region && kept.Heights == d.Heights && sameLine(kept, d) {
		if old.Survey == d.Survey {
			return old
		}
		return old.WithSurvey(d.Survey)
	}
	if s, ok := drawnEarly.LoadAndDelete(d); ok && s.(*plot.Scene) != nil {
		return s.(*plot.Scene)
	}
	return buildScene(d, p.desk.Kept)
}

func sameLine(a, b *trip.Document) bool {
	return len(a.Route.Line) == len(b.Route.Line) && len(a.Route.Line) > 0 && a.Route.Line[0] == b.Route.Line[0]
}

// arrive takes over an opened document.
func (p *Presenter) arrive(d *trip.Document, scene *plot.Scene) {
	if p.doc != nil {
		p.push(tr("Open"), "")
	}
	p.stopJudging()
	newRoute := p.doc == nil || !sameLine(p.doc, d)
	p.doc, p.plan, p.scene, p.kept = d, d.Plan, scene, d
	p.rev++
	p.savedRev = p.rev
	c := DocChanged | SceneChanged | PlanChanged
	if newRoute {
		p.chosen, p.hoverM = -1, math.NaN()
		p.stretch = [2]float64{math.NaN(), math.NaN()}
		p.rng = plot.Whole(d.Survey)
		if worst, ok := worstLeg(d.Judgement); ok {
			p.chosen = worst
		}
		c |= ChosenChanged | HoverChanged | StretchChanged | RangeChanged
	}
	p.clampChosen()
	p.changed(c)
	if f := p.afterOpen; f != nil {
		p.afterOpen = nil
		f()
	}
	// What was opened is judged without cures and bands so far.
	p.judgeFrom(false)
}

// worstLeg is the leg with the lowest readiness: what the user must look at first.
func worstLeg(j *risk.Judgement) (leg int, ok bool) {
	if j == nil {
		return 0, false
	}
	for i := range j.Legs {
		if !ok || j.Legs[i].Score.Readiness < j.Legs[leg].Score.Readiness {
			leg, ok = i, true
		}
	}
	return leg, ok
}

func (p *Presenter) clampChosen() {
	n := 0
	if s := p.Survey(); s != nil {
		n = len(s.Legs)
	}
	if p.chosen >= n {
		p.chosen = n - 1
	}
}
