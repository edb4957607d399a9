package window

import (
	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/risk"
)

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
func (p *Presenter) SetRange(r plot.Range) { p.setRange(r, RangeChanged) }

func (p *Presenter) setRange(r plot.Range, what Change) {
	s := p.Survey()
	if s == nil {
		return
	}
	r = r.Clip(s, min(500, s.LengthM()))
	if r != p.rng {
		p.rng = r
		p.changed(what)
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
		if p.beforeShow != nil {
			p.beforeShow(screen)
		}
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
	p.addTo(own, tr("Add {{.What}}", with("What", what)), items)
}

// AddItemsToSecond does the same with the second vehicle's load; without one it does nothing.
func (p *Presenter) AddItemsToSecond(what string, items []risk.LoadItem) {
	if p.plan.Trip.Partner != nil {
		p.addTo(second, tr("second vehicle: {{.What}}", with("What", tr("Add {{.What}}", with("What", what)))), items)
	}
}

func (p *Presenter) addTo(w whose, step string, items []risk.LoadItem) {
	p.Edit(step, "", func(pl *trip.Plan) {
		for _, it := range items {
			addItem(w.of(pl), it)
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
