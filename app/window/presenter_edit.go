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
			p.doc, p.kept = &quick, &quick
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
