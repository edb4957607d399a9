package window

import (
	"context"
	"errors"
	"time"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/risk"
)

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
		p.undo = lighten(append(p.undo, step{p.doc, p.plan, what}))
	}
	p.lastKey = key
	p.redo = nil
}

// What is kept to go back to: so many steps, each a plan over the survey and region that it shares with its
// neighbours; the last few with their judgements, the others are judged again; and the last few routes or regions.
const (
	maxUndo     = 200
	judgedSteps = 8
	openedSteps = 3
)

// lighten lets go of what steps long past hold in memory.
func lighten(steps []step) []step {
	if n := len(steps) - maxUndo; n > 0 {
		steps = append([]step(nil), steps[n:]...)
	}
	if i := len(steps) - 1 - judgedSteps; i >= 0 && steps[i].doc != nil && steps[i].doc.Judgement != nil {
		d := *steps[i].doc
		d.Judgement = nil
		if d.Plan.MeasuresLike(steps[i].plan) {
			d.Plan = steps[i].plan // one plan instead of two alike
		}
		steps[i].doc = &d
	}
	opened := 0
	for i := len(steps) - 1; i > 0; i-- {
		if a, b := steps[i-1].doc, steps[i].doc; a == nil || b == nil || a.Region != b.Region || a.Heights != b.Heights || !sameLine(a, b) {
			if opened++; opened > openedSteps {
				return append([]step(nil), steps[i:]...)
			}
		}
	}
	return steps
}

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
	(*from)[n-1] = step{}
	*from = (*from)[:n-1]
	*to = lighten(append(*to, step{p.doc, p.plan, s.what}))
	if s.doc != nil && s.doc.Judgement == nil && p.doc != nil && p.doc.Survey == s.doc.Survey {
		d := *s.doc // the present judgement stands until the step is judged again
		d.Judgement = p.doc.Judgement
		s.doc = &d
	}
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
		} else {
			p.scene = buildScene(s.doc, p.desk.Kept)
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
		} else {
			p.letPaint(ctx)
		}
		doc, err := guarded(func() (*trip.Document, error) {
			return p.desk.With(ctx, base, plan, func(string, float64) {})
		})
		var scene *plot.Scene
		if err == nil {
			scene = p.drawScene(doc, kept, old)
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
				doc = doc.InFileOf(p.doc) // it may have been saved meanwhile
				p.doc, p.scene, p.kept = doc, scene, doc
				p.clampChosen()
				p.changed(c)
			}
			p.changed(WorkChanged)
		})
		if !quickFirst {
			// Reading a region leaves much behind; it is given back while the user looks at the map.
			giveBack()
		}
	}()
}

// letPaint leaves the processors to the first picture of what was opened: bands and cures can wait that long.
func (p *Presenter) letPaint(ctx context.Context) {
	if p.headStart <= 0 {
		return
	}
	select {
	case <-ctx.Done():
	case <-time.After(p.headStart):
	}
}

// answerFirst shows the judgement without bands and cures, which takes a few hundredths of a second, while
// the full one is being worked out. It does nothing when the edit touches what was measured.
func (p *Presenter) answerFirst(ctx context.Context, rev uint64, base *trip.Document, plan trip.Plan) {
	if !base.Plan.MeasuresLike(plan) {
		return
	}
	asked := *base
	asked.Plan = plan // own items and figures are the plan's
	j, err := guarded(func() (*risk.Judgement, error) { return p.desk.Try(ctx, &asked, plan.Trip) })
	if err != nil {
		return // the full judgement meets the same error and tells it
	}
	quick := *base
	quick.Plan, quick.Judgement = plan, j
	p.post(func() {
		if p.rev == rev && p.judging != nil {
			doc := quick.InFileOf(p.doc)
			p.doc, p.kept = doc, doc
			p.clampChosen()
			p.changed(DocChanged)
		}
	})
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
