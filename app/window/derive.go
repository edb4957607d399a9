package window

import (
	"fyne.io/fyne/v2"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
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

// noReturns are the samples of the points of no return in fuel, in water, and in both.
func (p *Presenter) noReturns() (fuel, water, both []int) {
	if p.doc == nil {
		return nil, nil, nil
	}
	if p.backOf != p.doc {
		p.backOf = p.doc
		p.back[0], p.back[1], p.back[2] = plot.NoReturns(p.Survey(), p.Judgement())
	}
	return p.back[0], p.back[1], p.back[2]
}

// wayOutTexts are the distances that stand beside the lines from the chosen leg to a road and to help.
func (p *Presenter) wayOutTexts() (road, help string) {
	s := p.Survey()
	if s == nil {
		return "", ""
	}
	i, ok := plot.Remotest(s, p.chosen)
	if !ok {
		return "", ""
	}
	f := p.format()
	road = tr("{{.D}} to a road", with("D", f.Format(units.Distance, s.Samples[i].RoadM)))
	if place, m, ok := plot.NearestHelp(s, i); ok {
		name := place.Name
		if name == "" {
			name = helpText(place.Kind)
		}
		help = tr("{{.D}} to {{.Place}}", map[string]any{"D": f.Format(units.Distance, m), "Place": name})
	}
	return road, help
}

// helpText is a kind of help in words.
func helpText(k geo.HelpKind) string {
	switch k {
	case geo.HelpFuel:
		return tr("Fuel")
	case geo.HelpWater:
		return tr("Drinking water")
	case geo.HelpSpring:
		return tr("Spring: not tested")
	case geo.HelpSettlement:
		return tr("Settlement")
	case geo.HelpMedical:
		return tr("Medical help")
	case geo.HelpPolice:
		return tr("Police, fire, rangers")
	case geo.HelpHut:
		return tr("Hut or shelter")
	case geo.HelpWorkshop:
		return tr("Workshop, tyres")
	case geo.HelpPhone:
		return tr("Telephone")
	}
	return ""
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
