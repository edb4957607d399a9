package window

import (
	"errors"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/bench"
	"lastroad/geo"
	"lastroad/risk"
	"lastroad/risk/recovery"
)

// benchScreen is the recovery bench: one recovery whose figures can be changed freely, beside the trip. On
// the left stand the figures, on the right the working, and the cautions never leave the screen. It edits
// no plan, so there is nothing to undo or to save.
type benchScreen struct {
	p    *Presenter
	tab  *recovery.Tables
	tips *tipLayer
	root fyne.CanvasObject

	ask    bench.Ask
	origin string // where the figures come from, in words

	report *bench.Report // of the present figures, nil while they do not do
	asked  string        // why there is none: what is asked for
	err    error
	rev    int

	form     *fyne.Container
	formBox  *container.Scroll
	fields   []*quantityField
	from     *widget.Label
	take     *wrapButton
	verdict  *fyne.Container
	parts    *fyne.Container
	partsBox *container.Scroll
	cautions *fyne.Container
	rigShape *rigPicture
}

func newBenchScreen(p *Presenter, tips *tipLayer) *benchScreen {
	s := &benchScreen{p: p, tips: tips, tab: p.desk.Catalogue().Recovery, form: container.New(column{gap: 8}), verdict: container.New(column{gap: 4}),
		parts: container.New(column{gap: 2}), cautions: container.New(column{gap: 1}), rigShape: newRigPicture()}
	s.from = soft("")
	s.take = newAction(tr("Take the chosen leg's figures"), theme.DownloadIcon(), func() { s.takeLeg(p.chosen) })
	bare := newAction(tr("Begin with bare hands"), theme.DeleteIcon(), s.clear)
	s.formBox = container.NewVScroll(container.New(column{gap: 8}, s.from, container.New(column{gap: 3}, s.take, bare), s.form))
	s.partsBox = container.NewVScroll(container.NewPadded(container.New(column{gap: 4}, s.rigShape, s.parts)))
	warned := container.NewBorder(heading(tr("Cautions")), nil, nil, nil, container.NewVScroll(s.cautions))
	working := container.NewBorder(s.verdict, nil, nil, nil, s.partsBox)
	split := container.NewHSplit(container.New(fixed{300, 120}, container.NewPadded(s.formBox)),
		container.New(&sideOrFoot{side: 0.32, foot: 0.3, narrow: 620}, container.NewPadded(working), container.NewStack(newPanel(theme.ColorNameHeaderBackground, 0), container.NewPadded(warned))))
	split.Offset = 0.3
	s.root = split
	s.clear()
	p.Watch(func(c Change) {
		if c&(ChosenChanged|DocChanged) != 0 {
			s.offerLeg()
		}
		if c&SettingsChanged != 0 {
			s.build()
			s.show()
		}
	})
	s.offerLeg()
	return s
}

func (s *benchScreen) object() fyne.CanvasObject { return s.root }

// offerLeg says whether a leg's figures can be taken, and why not.
func (s *benchScreen) offerLeg() {
	if _, ok := s.p.pullOf(s.p.chosen); ok {
		s.take.SetText(tr("Take the chosen leg's figures"))
		s.take.Enable()
		return
	}
	s.take.SetText(tr("No leg with a recovery is chosen"))
	s.take.Disable()
}

// pullOf is the recovery that a leg must be able to make.
func (p *Presenter) pullOf(leg int) (*risk.PullNeed, bool) {
	j := p.Judgement()
	if j == nil || leg < 0 || leg >= len(j.Legs) || j.Legs[leg].Needs.Pull == nil {
		return nil, false
	}
	return j.Legs[leg].Needs.Pull, true
}

// takeLeg puts the recovery of a leg on the bench: its vehicle, ground, depth and grade, and the kit and
// site it was planned with. Where no winch is carried the kit is what the party has.
func (s *benchScreen) takeLeg(leg int) {
	need, ok := s.p.pullOf(leg)
	if !ok {
		return
	}
	a := bench.Ask{Stuck: need.Stuck}
	t := s.p.plan.Trip
	own, err := risk.GearOf(s.p.desk.Catalogue(), t.Party, false)
	if err == nil {
		a.People, a.Spades = own.Able, int(own.Count("shovel"))
		a.Kit = own.Kit
	}
	if t.Together && t.Partner != nil {
		if other, err := risk.GearOf(s.p.desk.Catalogue(), *t.Partner, true); err == nil {
			a.Kit.Gear = append(slices.Clone(a.Kit.Gear), other.Kit.Gear...)
			a.People += other.Able
			a.Spades += int(other.Count("shovel"))
			a.Tug = &recovery.Anchor{Kind: recovery.Vehicle, MassKg: other.MassKg, Ground: need.Stuck.Ground, Chocked: true}
		}
	}
	a.Site = recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree}}}
	if w := need.Working; w != nil {
		a.Kit, a.Site = w.Kit, w.Site
	}
	s.ask = cloneAsk(a)
	s.origin = tr("The figures of leg {{.N}} and of what the party carries. Change them as you like: the trip stays as it is.", with("N", leg+1))
	s.build()
	s.work()
	s.formBox.ScrollToTop()
}

// clear takes everything off the bench.
func (s *benchScreen) clear() {
	s.ask = bench.Ask{People: 2, Spades: 1, Stuck: recovery.Stuck{Ground: geo.Unknown, Depth: recovery.Hub}}
	s.origin = tr("Nothing is on the bench. Type what is stuck and what you have; each missing figure is asked for and none is assumed.")
	s.build()
	s.work()
}

// cloneAsk copies an ask so that changing the one never changes the other.
func cloneAsk(a bench.Ask) bench.Ask {
	a.Kit.Winch, a.Kit.HandWinch = clonePtr(a.Kit.Winch), clonePtr(a.Kit.HandWinch)
	a.Kit.Gear, a.Site.Anchors = slices.Clone(a.Kit.Gear), slices.Clone(a.Site.Anchors)
	a.Site.Turn, a.Site.Helper, a.Tug = clonePtr(a.Site.Turn), clonePtr(a.Site.Helper), clonePtr(a.Tug)
	return a
}

func clonePtr[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// missing names the figures without which nothing can be worked out.
func (s *benchScreen) missing() (out []string) {
	need := func(v float64, name string) {
		if v == 0 {
			out = append(out, name)
		}
	}
	need(s.ask.Stuck.MassKg, tr("the mass of the stuck vehicle"))
	if w := s.ask.Kit.Winch; w != nil {
		need(w.RatedKN, tr("the rated pull of the winch"))
		need(w.Rope.DiameterMM, tr("the diameter of the winch rope"))
		need(w.Rope.LengthM, tr("the length of the winch rope"))
	}
	if w := s.ask.Kit.HandWinch; w != nil {
		need(w.RatedKN, tr("the rated pull of the hand winch"))
		need(w.Rope.LengthM, tr("the length of the hand winch's rope"))
	}
	if h := s.ask.Site.Helper; h != nil {
		need(h.MassKg, tr("the mass of the second vehicle"))
	} else if s.ask.Tug != nil {
		need(s.ask.Tug.MassKg, tr("the mass of the second vehicle"))
	}
	for _, a := range s.ask.Site.Anchors {
		switch a.Kind {
		case recovery.Vehicle:
			need(a.MassKg, tr("the mass of the vehicle that is the anchor"))
		case recovery.Deadman, recovery.SpareWheel:
			need(a.DepthM, tr("how deep the anchor is buried"))
			need(a.FaceM, tr("the face of the buried anchor"))
			if a.Kind == recovery.Deadman {
				need(a.LengthM, tr("the length of the buried log"))
			}
		}
	}
	return out
}

// work works the recovery out in a worker; an answer to older figures is dropped.
func (s *benchScreen) work() {
	s.rev++
	rev, ask := s.rev, cloneAsk(s.ask)
	if list := s.missing(); len(list) > 0 {
		s.report, s.err = nil, nil
		s.asked = joinWords(list)
		s.show()
		return
	}
	s.asked = ""
	s.p.workers.Add(1)
	go func() {
		defer s.p.workers.Done()
		r, err := guarded(func() (*bench.Report, error) { return bench.Work(s.tab, ask) })
		s.p.post(func() {
			if s.rev != rev {
				return
			}
			s.report, s.err = r, err
			if err != nil {
				s.report = nil
			}
			s.show()
		})
	}()
}

// joinWords is a list in words: "a", "a and b", "a, b and c".
func joinWords(list []string) string {
	switch n := len(list); n {
	case 0:
		return ""
	case 1:
		return list[0]
	default:
		out := list[0]
		for _, w := range list[1 : n-1] {
			out += ", " + w
		}
		return tr("{{.A}} and {{.B}}", map[string]any{"A": out, "B": list[n-1]})
	}
}

// changed is called after every change of a figure.
func (s *benchScreen) changed() { s.work() }

// faultText is what is wrong with the figures, for a person.
func faultText(err error) string {
	var in *geo.InputError
	if errors.As(err, &in) {
		text := capital(in.Reason)
		if in.Where != "" {
			text = capital(in.Where) + ": " + in.Reason
		}
		if in.Remedy != "" {
			text += ". " + capital(in.Remedy)
		}
		return text + "."
	}
	return capital(err.Error())
}
