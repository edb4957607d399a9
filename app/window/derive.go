package window

import (
	"fyne.io/fyne/v2"

	"lastroad/app/plot"
)

// returnSample is the sample of the point of no easy return: the first from which a maintained road is
// nearer ahead than back; ok is false when the route never leaves the roads.
func (p *Presenter) returnSample() (int, bool) {
	s := p.Survey()
	if s == nil {
		return 0, false
	}
	return noReturn(s)
}

// daylight is the light on the route by the planned times, empty without a start time.
func (p *Presenter) daylight() []plot.Daylight {
	if p.doc == nil {
		return nil
	}
	if p.lightOf != p.doc {
		p.lightOf, p.light = p.doc, lightAlong(p.doc)
	}
	return p.light
}

// placeMenuFunc opens the menu of a place of the route; ok is false when no place is near the pointer.
type placeMenuFunc func(atM float64, ok bool, at fyne.Position)
