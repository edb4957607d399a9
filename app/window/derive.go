package window

import (
	"fyne.io/fyne/v2"

	"lastroad/app/plot"
	"lastroad/app/trip"
)

// turnBacks are the samples of the points of no easy return: from each going on to a maintained road is no
// longer than turning back.
func (p *Presenter) turnBacks() (out []int) {
	s := p.Survey()
	if s == nil {
		return nil
	}
	if p.turnsOf != s {
		p.turnsOf, p.turns = s, nil
		for _, t := range trip.TurnBacks(s) {
			if i, ok := p.SampleAt(t.AtM); ok {
				p.turns = append(p.turns, i)
			}
		}
	}
	return p.turns
}

// daylight is the light on the route by the planned times, empty without a start time.
func (p *Presenter) daylight() []plot.Daylight {
	if p.doc == nil {
		return nil
	}
	if p.lightOf != p.doc {
		p.lightOf, p.light = p.doc, trip.LightAlong(p.doc)
	}
	return p.light
}

// placeMenuFunc opens the menu of a place of the route; ok is false when no place is near the pointer.
type placeMenuFunc func(atM float64, ok bool, at fyne.Position)
