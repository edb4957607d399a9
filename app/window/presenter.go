package window

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"slices"
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

	rev       uint64 // of plan
	savedRev  uint64 // rev of the plan that a file holds
	afterOpen func() // runs once after the next document was opened
	work      *work
	judging   context.CancelFunc
	workers   sync.WaitGroup
	subs      []func(Change)

	fill    risk.Trip // plan.Trip with defaults, of fillRev
	fillRev uint64
	fillOK  bool

	light   []plot.Daylight
	lightOf *trip.Document
	turns   []int // samples of the points of no easy return of turnsOf
	turnsOf *geo.Survey

	tell      func(title string, err error) // shows an error; the shell sets it
	placeMenu placeMenuFunc                 // nil until the shell sets it
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
		doc, err := guarded(func() (*trip.Document, error) { return f(ctx, report) })
		var scene *plot.Scene
		if err == nil {
			report(tr("Drawing the ground"), -1)
			scene, err = p.drawScene(doc, kept, oldScene)
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
func (p *Presenter) drawScene(d *trip.Document, kept *trip.Document, old *plot.Scene) (*plot.Scene, error) {
	if old != nil && kept != nil && kept.Region == d.Region && kept.Heights == d.Heights && sameLine(kept, d) {
		if old.Survey == d.Survey {
			return old, nil
		}
		return old.WithSurvey(d.Survey), nil
	}
	if s, ok := drawnEarly.LoadAndDelete(d); ok && s.(*plot.Scene) != nil {
		return s.(*plot.Scene), nil
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

// --- editing ---

// Edit changes the plan and has it judged. what names the change for undo; edits with the same key that
// follow each other are one step (typing in one field); an empty key stands alone.
func (p *Presenter) Edit(what, key string, change func(*trip.Plan)) {
	if p.doc == nil {
		return
	}
	next := p.plan.Clone()
	change(&next)
	p.push(what, key)
	p.plan = next
	p.rev++
	p.changed(PlanChanged)
	p.judge()
}

func (p *Presenter) push(what, key string) {
	if key == "" || key != p.lastKey {
		p.undo = append(p.undo, step{p.doc, p.plan, what})
		if len(p.undo) > maxUndo {
			p.undo = p.undo[1:]
		}
	}
	p.lastKey = key
	p.redo = nil
}

// maxUndo bounds the steps kept; each shares the survey and region with the others.
const maxUndo = 500

// CanUndo and CanRedo say what would be undone or done again, "" for nothing.
func (p *Presenter) CanUndo() string {
	if len(p.undo) == 0 {
		return ""
	}
	return p.undo[len(p.undo)-1].what
}

// CanRedo says what would be done again, "" for nothing.
func (p *Presenter) CanRedo() string {
	if len(p.redo) == 0 {
		return ""
	}
	return p.redo[len(p.redo)-1].what
}

// Undo goes back one step, Redo forward again.
func (p *Presenter) Undo() { p.travel(&p.undo, &p.redo) }

// Redo goes forward one step.
func (p *Presenter) Redo() { p.travel(&p.redo, &p.undo) }

func (p *Presenter) travel(from, to *[]step) {
	n := len(*from)
	if n == 0 {
		return
	}
	s := (*from)[n-1]
	*from = (*from)[:n-1]
	*to = append(*to, step{p.doc, p.plan, s.what})
	p.lastKey = ""
	sameGround := p.kept != nil && s.doc != nil && p.kept.Region == s.doc.Region && p.kept.Heights == s.doc.Heights && sameLine(p.kept, s.doc)
	p.doc, p.plan = s.doc, s.plan
	p.rev++
	p.stopJudging()
	c := DocChanged | PlanChanged
	if s.doc != nil {
		if sameGround {
			if p.scene.Survey != s.doc.Survey {
				p.scene = p.scene.WithSurvey(s.doc.Survey)
				c |= SceneChanged
			}
		} else if scene, err := buildScene(s.doc, p.desk.Kept); err == nil {
			p.scene = scene
			p.rng = plot.Whole(s.doc.Survey)
			c |= SceneChanged | RangeChanged
		}
		p.kept = s.doc
	}
	p.clampChosen()
	p.changed(c)
	// The document of a step may be older than its plan when the edit had not been judged yet.
	p.judge()
}

// judge has the plan judged in a worker; an answer to an older plan is dropped.
func (p *Presenter) judge() { p.judgeFrom(true) }

func (p *Presenter) judgeFrom(quickFirst bool) {
	p.stopJudging()
	if p.doc == nil {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	p.judging = cancel
	rev, base, plan := p.rev, p.doc, p.plan.Clone()
	kept, old := p.kept, p.scene
	p.changed(WorkChanged)
	p.workers.Add(1)
	go func() {
		defer p.workers.Done()
		if quickFirst {
			p.answerFirst(ctx, rev, base, plan)
		}
		doc, err := guarded(func() (*trip.Document, error) {
			return p.desk.With(ctx, base, plan, func(string, float64) {})
		})
		var scene *plot.Scene
		if err == nil {
			scene, err = p.drawScene(doc, kept, old)
		}
		p.post(func() {
			if p.rev != rev {
				return
			}
			cancel()
			p.judging = nil
			switch {
			case errors.Is(err, context.Canceled):
			case err != nil:
				p.tell(tr("This change could not be judged"), err)
			default:
				c := DocChanged
				if p.scene != scene {
					c |= SceneChanged
				}
				p.doc, p.scene, p.kept = doc, scene, doc
				p.clampChosen()
				p.changed(c)
			}
			p.changed(WorkChanged)
		})
		if !quickFirst {
			// Reading a region leaves much behind; it is given back while the user looks at the map.
			debug.FreeOSMemory()
		}
	}()
}

// answerFirst shows the judgement without bands and cures, which takes a few hundredths of a second, while
// the full one is being worked out. It does nothing when the edit touches what was measured.
func (p *Presenter) answerFirst(ctx context.Context, rev uint64, base *trip.Document, plan trip.Plan) {
	if !sameMeasuring(base.Plan, plan) {
		return
	}
	j, err := guarded(func() (*risk.Judgement, error) { return p.desk.Try(ctx, base, plan.Trip) })
	if err != nil {
		return // the full judgement meets the same error and tells it
	}
	quick := *base
	quick.Plan, quick.Judgement = plan, j
	p.post(func() {
		if p.rev == rev && p.judging != nil {
			p.doc, p.kept = &quick, &quick
			p.clampChosen()
			p.changed(DocChanged)
		}
	})
}

// sameMeasuring reports whether two plans differ in nothing that the survey depends on.
func sameMeasuring(a, b trip.Plan) bool {
	return a.Reversed == b.Reversed && a.CorridorM == b.CorridorM && a.Pace == b.Pace &&
		slices.Equal(a.Grounds, b.Grounds) && slices.Equal(a.Stops, b.Stops) && slices.Equal(a.Legs, b.Legs)
}

func (p *Presenter) stopJudging() {
	if p.judging != nil {
		p.judging()
		p.judging = nil
	}
}

// SetTogether judges with the partner along or alone.
func (p *Presenter) SetTogether(together bool) {
	if p.doc == nil || p.plan.Trip.Together == together {
		return
	}
	what := tr("Go alone")
	if together {
		what = tr("Go together")
	}
	p.Edit(what, "", func(pl *trip.Plan) { pl.Trip.Together = together })
}

// --- choosing and pointing ---

// Choose makes a leg the chosen one; -1 for none. Values outside are taken as none.
func (p *Presenter) Choose(leg int) {
	if s := p.Survey(); s == nil || leg < -1 || leg >= len(s.Legs) {
		leg = -1
	}
	if leg != p.chosen {
		p.chosen = leg
		p.changed(ChosenChanged)
	}
}

// Step chooses the next leg (or with -1 the one before), stopping at the ends.
func (p *Presenter) Step(by int) {
	s := p.Survey()
	if s == nil || len(s.Legs) == 0 {
		return
	}
	p.Choose(max(0, min(len(s.Legs)-1, p.chosen+by)))
}

// Chosen is the chosen leg, -1 for none.
func (p *Presenter) Chosen() int { return p.chosen }

// Point marks a place of the route in all views; NaN for none.
func (p *Presenter) Point(m float64) {
	if m == p.hoverM || m != m && p.hoverM != p.hoverM {
		return
	}
	p.hoverM = m
	p.changed(HoverChanged)
}

// HoverM is the place pointed at, NaN for none.
func (p *Presenter) HoverM() float64 { return p.hoverM }

// LegAt is the leg that holds a place of the route, -1 for none.
func (p *Presenter) LegAt(m float64) int {
	s := p.Survey()
	if s == nil {
		return -1
	}
	for i := len(s.Legs) - 1; i >= 0; i-- {
		if m >= s.FromM(i) {
			return i
		}
	}
	return -1
}

// SetRange shows other kilometres.
func (p *Presenter) SetRange(r plot.Range) {
	s := p.Survey()
	if s == nil {
		return
	}
	r = r.Clip(s, min(500, s.LengthM()))
	if r != p.rng {
		p.rng = r
		p.changed(RangeChanged)
	}
}

// SetStretch marks a stretch in metres; NaN for none.
func (p *Presenter) SetStretch(a, b float64) {
	if a > b {
		a, b = b, a
	}
	p.stretch = [2]float64{a, b}
	p.changed(StretchChanged)
}

// Show turns to a screen by its number.
func (p *Presenter) Show(screen int) {
	if screen != p.screen {
		p.screen = screen
		p.changed(ScreenChanged)
	}
}

// SampleAt is the sample nearest to a place of the route; ok is false without a route or for NaN.
func (p *Presenter) SampleAt(m float64) (i int, ok bool) {
	s := p.Survey()
	if s == nil || len(s.Samples) == 0 || m != m {
		return 0, false
	}
	lo, hi := 0, len(s.Samples)-1
	for lo < hi {
		mid := (lo + hi) / 2
		if s.Samples[mid].DistanceM < m {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo > 0 && m-s.Samples[lo-1].DistanceM < s.Samples[lo].DistanceM-m {
		lo--
	}
	return lo, true
}

// Unsaved reports whether there are edits that no file holds.
func (p *Presenter) Unsaved() bool {
	return p.edited() && !p.doc.Demo
}

// Wait returns when no worker runs any more; tests call it, with post collecting what they hand back.
func (p *Presenter) Wait() { p.workers.Wait() }

// AddItems adds things to the load, joining them with what is carried already.
func (p *Presenter) AddItems(what string, items []risk.LoadItem) {
	p.Edit(tr("Add {{.What}}", with("What", what)), "", func(pl *trip.Plan) {
		for _, it := range items {
			addItem(&pl.Trip.Party, it)
		}
	})
}

func addItem(party *risk.Party, it risk.LoadItem) {
	for i := range party.Load {
		have := &party.Load[i]
		if have.Item == it.Item && have.RatingKN == it.RatingKN && have.MassKg == it.MassKg && have.LengthM == it.LengthM && (it.Place == "" || have.Place == it.Place) {
			have.Count += it.Count
			return
		}
	}
	party.Load = append(party.Load, it)
}
