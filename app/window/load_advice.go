package window

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"fyne.io/fyne/v2/theme"

	"lastroad/app/units"
	"lastroad/risk"
)

// ask has the advice worked out while the screen is shown; an answer to an older load is dropped.
func (s *loadScreen) ask() {
	d := s.p.doc
	if s.p.screen != 2 || d == nil || d.Survey == nil || s.toldOf == d || s.p.Stale() {
		return
	}
	if s.asking != nil {
		s.asking()
	}
	ctx, cancel := context.WithCancel(context.Background())
	s.asking = cancel
	s.toldOf = d
	s.p.workers.Add(1)
	go func() {
		defer s.p.workers.Done()
		defer longStep()()
		a, err := guarded(func() (*risk.Advice, error) {
			return s.p.desk.Advise(ctx, d, d.Plan.Trip, func(string, float64) {})
		})
		s.p.post(func() {
			cancel()
			if s.toldOf != d {
				return
			}
			s.asking = nil
			s.adviceTrouble = ""
			if err != nil {
				s.adviceTrouble = err.Error()
			} else {
				s.takeAdvice(a)
			}
			s.lists()
			s.showAdvice()
		})
	}()
	s.showAdvice()
}

func (s *loadScreen) takeAdvice(a *risk.Advice) {
	s.told = a
	s.cost, s.gain = map[string]risk.StayHome{}, map[string]float64{}
	for _, st := range a.Stay {
		s.cost[st.Item] = st
	}
	for _, t := range a.Things {
		if len(t.Items) == 1 {
			s.gain[t.Items[0].Item] = math.Max(s.gain[t.Items[0].Item], t.Gain)
		}
	}
}

func (s *loadScreen) showAdvice() {
	s.advice.Objects = nil
	defer s.advice.Refresh()
	if s.adviceTrouble != "" {
		s.advice.Add(prose(s.adviceTrouble))
		return
	}
	if s.told == nil {
		s.advice.Add(prose(tr("What each thing is worth on this route is being worked out…")))
		return
	}
	if s.toldOf != s.p.doc || s.asking != nil {
		s.advice.Add(soft(tr("For the load before the last change; being worked out anew…")))
	}
	f := s.p.format()
	sub := func(t string) {
		l := prose(t)
		l.TextStyle.Bold = true
		s.advice.Add(l)
	}
	add := func(list []risk.Suggestion, most int, take func(string, []risk.LoadItem)) {
		for i, t := range list {
			if i >= most || t.Gain < 0.05 {
				break
			}
			s.advice.Add(offer(tr("+{{.P}} with {{.What}}, {{.Mass}}", map[string]any{"P": f1(t.Gain), "What": spoken(t.Title), "Mass": f.Format(units.Mass, t.Kg)}),
				func() { take(spoken(t.Title), t.Items) }))
		}
	}
	if len(s.told.Things) > 0 && s.told.Things[0].Gain >= 0.05 {
		sub(tr("Single things, best for their mass first"))
		add(s.told.Things, 5, s.p.AddItems)
	}
	if len(s.told.Sets) > 0 && s.told.Sets[0].Gain >= 0.05 {
		sub(tr("Sets that only help together"))
		add(s.told.Sets, 5, s.p.AddItems)
	}
	inSecond := slices.DeleteFunc(slices.Clone(s.told.Second), func(t risk.Suggestion) bool { return t.Gain < 0.05 })
	if len(inSecond) > 0 && s.p.plan.Trip.Partner != nil { // may have been left out since
		sub(tr("Worth adding in the second vehicle"))
		add(inSecond, 5, s.p.AddItemsToSecond)
	}
	if b := s.told.Best; len(b.Items) > 0 {
		sub(tr("The best set under the payload left"))
		text := tr("To {{.R}} with {{.What}}, {{.Mass}}", map[string]any{"R": f1(b.Readiness), "What": spoken(b.Title), "Mass": f.Format(units.Mass, b.Kg)})
		l := prose(text)
		s.advice.Add(l)
		if !b.Exact {
			s.advice.Add(soft(tr("No set under the limits can give more than {{.N}}.", with("N", f1(b.UpTo)))))
		}
		s.advice.Add(newAction(tr("Carry the whole set"), theme.ContentAddIcon(), func() { s.p.AddItems(spoken(b.Title), b.Items) }))
	}
	if len(s.told.Best.Items) == 0 {
		s.advice.Add(soft(tr("Nothing more would show on this route.")))
	}
	s.showFrontier()
	stay := make([]risk.StayHome, 0)
	for _, st := range s.told.Stay {
		if st.MayStay && st.Kg > 0 {
			stay = append(stay, st)
		}
	}
	sort.SliceStable(stay, func(i, j int) bool { return stay[i].Kg > stay[j].Kg })
	if len(stay) > 0 {
		sub(tr("Could stay at home on this route"))
		for i, st := range stay {
			if i >= 6 {
				break
			}
			s.advice.Add(soft(fmt.Sprintf("%s, %s", capital(spoken(st.Title)), f.Format(units.Mass, st.Kg))))
		}
	}
	if len(s.told.Single) > 0 {
		sub(tr("Hangs on one thing"))
		for i, sp := range s.told.Single {
			if i >= 5 {
				break
			}
			s.advice.Add(soft(tr("{{.Trouble}}: only {{.Thing}}", map[string]any{"Trouble": capital(spoken(sp.Title)), "Thing": spoken(sp.Thing)})))
		}
	}
	for i, k := range s.told.Skills {
		if i == 0 {
			sub(tr("To learn before going"))
		}
		if i >= 4 || k.Gain < 0.05 {
			break
		}
		s.advice.Add(soft("+" + f1(k.Gain) + "  " + capital(spoken(k.Title))))
	}
}
