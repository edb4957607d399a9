package window

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk"
)

// legSheet is all there is to say of the chosen leg: odds, findings, needs against what is carried, where
// points are lost and what wins them back, the recovery worked out, facts, cautions.
type legSheet struct {
	p      *Presenter
	box    *fyne.Container
	scroll *container.Scroll
	root   fyne.CanvasObject
	open   map[string]bool // sections that the user opened
	closed map[string]bool
	built  *trip.Document
	parts  []fyne.CanvasObject // all of the sheet, in sight or not
	builds int                 // how often it was built
	leg    int
	begin  []*action // offered while no route is open
}

// legColumn is how the parts of the sheet stand under each other.
var legColumn = column{gap: 2}

func newLegSheet(p *Presenter) *legSheet {
	s := &legSheet{p: p, box: container.New(legColumn), open: map[string]bool{}, closed: map[string]bool{}, leg: -2}
	s.scroll = container.NewVScroll(container.New(layout.NewCustomPaddedLayout(2, 8, 6, 12), s.box))
	look := func() { lookAt(s.scroll) }
	s.scroll.OnScrolled = func(fyne.Position) { look() }
	s.root = container.New(&watched{resized: look}, s.scroll)
	p.Watch(func(c Change) {
		if c&(DocChanged|ChosenChanged|SettingsChanged) != 0 {
			s.build()
		}
	})
	return s
}

func (s *legSheet) build() {
	top := s.leg != s.p.chosen
	first := s.p.headStart > 0 && s.built == nil
	s.leg, s.built, s.parts = s.p.chosen, s.p.doc, nil
	s.builds++
	sv, j := s.p.Survey(), s.p.Judgement()
	switch {
	case sv == nil:
		s.add(prose(tr("Open a route to begin: a GPX file from the File menu, or drop it on this window.")))
		for _, a := range s.begin {
			s.add(newAction(a.label, a.icon, a.run))
		}
	case s.leg < 0 || s.leg >= len(sv.Legs):
		s.whole(sv, j)
	default:
		s.head(sv, j)
		if j != nil && s.leg < len(j.Legs) {
			s.findings(j.Legs[s.leg].Findings)
			if first {
				s.restLater(sv, &j.Legs[s.leg])
			} else {
				s.rest(sv, &j.Legs[s.leg])
			}
		}
	}
	s.lay()
	if top {
		s.scrollTo(fyne.Position{})
	}
}

// rest is what stands under the verdict and the findings of a leg.
func (s *legSheet) rest(sv *geo.Survey, lj *risk.LegJudgement) {
	s.needs(lj)
	s.supplies(lj)
	s.losses(tr("Where the points go"), lj.Score)
	s.recovery(lj.Needs.Pull)
	s.facts(sv, lj)
	s.troubles(lj)
	s.cautions(allCautions(lj))
}

// restLater adds the rest when the first picture is on the screen, which shows the top of the sheet only.
func (s *legSheet) restLater(sv *geo.Survey, lj *risk.LegJudgement) {
	build := s.builds
	time.AfterFunc(s.p.headStart, func() {
		s.p.post(func() {
			if build == s.builds {
				s.rest(sv, lj)
				s.lay()
			}
		})
	})
}

// lay puts the parts under each other.
func (s *legSheet) lay() {
	s.box.Objects, s.box.Layout = s.parts, legColumn
	cullSheet(s.box)
	s.box.Layout.(*culled).after = func() { lookAt(s.scroll) }
	s.box.Refresh()
}

// scrollTo shows another part of the sheet; the toolkit tells nobody when it is asked to.
func (s *legSheet) scrollTo(at fyne.Position) {
	s.scroll.ScrollToOffset(at)
	lookAt(s.scroll)
}

func (s *legSheet) add(o ...fyne.CanvasObject) { s.parts = append(s.parts, o...) }

// whole is shown while no leg is chosen: the trip's findings and losses.
func (s *legSheet) whole(sv *geo.Survey, j *risk.Judgement) {
	s.add(heading(tr("The whole trip")))
	s.add(soft(tr("Choose a leg on the map, in the strip or in the list to see its sheet.")))
	if j == nil {
		return
	}
	s.add(oddsRow(j.Trip))
	s.why(j.Trip)
	if b := j.Trip.Band; b[0] == b[0] && b[2] == b[2] {
		s.add(soft(tr("Readiness {{.R}}; between {{.A}} and {{.B}} when the doubtful figures vary (5 to 95 %).", map[string]any{"R": f1(j.Trip.Readiness), "A": f1(b[0]), "B": f1(b[2])})))
	}
	s.checkIns(j)
	s.findings(j.Findings)
	s.trip(j)
	s.losses(tr("Where the points go"), j.Trip)
	var cautions []string
	seen := map[string]bool{}
	for _, f := range j.Findings {
		for _, c := range f.Cautions {
			if !seen[c] {
				seen[c] = true
				cautions = append(cautions, c)
			}
		}
	}
	s.cautions(cautions)
	var notes []string
	if d := s.p.doc; d != nil {
		notes = append(notes, d.Notes...)
	}
	// The survey's notes hold those of the route.
	s.noteSection("notes", tr("What was assumed"), append(append(notes, sv.Notes...), j.Notes...))
	s.noteSection("sources", tr("Where it comes from"), sv.Sources)
}

// checkIns are the planned times to be heard, and when the contact should begin to act.
func (s *legSheet) checkIns(j *risk.Judgement) {
	if j.WorryUnix == 0 && len(j.CheckIns) == 0 {
		return
	}
	at := s.clock
	s.section("times", tr("Times to be heard"), false, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{two: true})
		row := func(a, b string) {
			x, y := plainText(a), plainText(b)
			x.Wrapping, y.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
			grid.Add(x)
			grid.Add(y)
		}
		for _, c := range j.CheckIns {
			row(at(c.Unix), tr("{{.What}}; nothing heard: overdue from {{.At}}", map[string]any{"What": capital(c.Title), "At": at(c.OverdueUnix)}))
		}
		if j.WorryUnix != 0 {
			row(at(j.WorryUnix), tr("the contact begins to ask"))
		}
		if j.OverdueUnix != 0 {
			row(at(j.OverdueUnix), tr("the contact raises the alarm"))
		}
		return []fyne.CanvasObject{grid}
	})
}

func (s *legSheet) head(sv *geo.Survey, j *risk.Judgement) {
	f := s.p.format()
	title := heading(fmt.Sprintf("%d  %s", s.leg+1, legName(sv, s.leg)))
	line := tr("km {{.A}} to {{.B}}, {{.N}}", map[string]any{"A": f1(sv.FromM(s.leg) / 1000), "B": f1(sv.ToM(s.leg) / 1000),
		"N": f.Format(units.Distance, sv.ToM(s.leg)-sv.FromM(s.leg))})
	if f.System != units.Metric {
		line = tr("{{.A}} to {{.B}}, {{.N}}", map[string]any{"A": f.Format(units.Distance, sv.FromM(s.leg)), "B": f.Format(units.Distance, sv.ToM(s.leg)),
			"N": f.Format(units.Distance, sv.ToM(s.leg)-sv.FromM(s.leg))})
	}
	lines := []fyne.CanvasObject{title, soft(line + " · " + groundsOf(sv, s.leg))}
	if s.p.lockedLeg(s.leg) {
		lines = append(lines, soft(tr("locked: it keeps its ends when the route is cut anew")))
	}
	s.add(container.New(tight{}, lines...))
	if j == nil || s.leg >= len(j.Legs) {
		return
	}
	sc := j.Legs[s.leg].Score
	b := newBadge(58, 30)
	b.set(sc)
	word := widget.NewLabel(verdictText(sc))
	word.TextStyle.Bold = true
	word.SizeName = theme.SizeNameSubHeadingText
	s.add(container.NewHBox(container.NewCenter(b), word, layout.NewSpacer()))
	s.add(oddsRow(sc))
	s.why(sc)
}

// why says what stands behind a verdict that is not "ready".
func (s *legSheet) why(sc risk.Score) {
	if sc.Why != "" {
		s.add(prose(spoken(sc.Why)))
	}
}

// oddsRow shows the three chances side by side, larger than the readiness they stand beside.
func oddsRow(sc risk.Score) fyne.CanvasObject {
	fit := &oddsFit{even: even{gap: 6}}
	tile := func(o risk.Odds, what string) fyne.CanvasObject {
		n := prose(oddsText(o))
		n.TextStyle.Bold, n.SizeName = true, theme.SizeNameSubHeadingText
		fit.chances, fit.whole = append(fit.chances, n), append(fit.whole, n.Text)
		return oddsTile(n, o, what)
	}
	return container.New(fit, tile(sc.Stopped, tr("stopped")), tile(sc.NotUnaided, tr("not out unaided")), tile(sc.NoHelp, tr("no help in time")))
}

// oddsFit is even with chances in large letters where they fit in a line, else in smaller ones, and where not even those
// fit, with the number in a line of its own: a wrapped number would read as two.
type oddsFit struct {
	even
	chances []*widget.Label
	whole   []string // their texts in one line
}

// Layout implements fyne.Layout.
func (f *oddsFit) Layout(o []fyne.CanvasObject, s fyne.Size) {
	room := (s.Width-f.gap*2)/3 - 2*theme.InnerPadding() - 4
	fits := func(name fyne.ThemeSizeName) bool {
		for i, l := range f.chances {
			if fyne.MeasureText(f.whole[i], theme.Size(name), l.TextStyle).Width > room {
				return false
			}
		}
		return true
	}
	sizes := []fyne.ThemeSizeName{theme.SizeNameSubHeadingText, theme.SizeNameText, theme.SizeNameCaptionText}
	k := slices.IndexFunc(sizes, fits)
	for i, l := range f.chances {
		name, text := theme.SizeNameText, f.whole[i]
		if k >= 0 {
			name = sizes[k]
		} else if at := strings.LastIndex(text, " "); at > 0 {
			text = text[:at] + "\n" + text[at+1:]
		}
		if l.SizeName != name || l.Text != text {
			l.SizeName, l.Text = name, text
			l.Refresh()
		}
	}
	f.even.Layout(o, s)
}

func oddsTile(n *widget.Label, o risk.Odds, what string) fyne.CanvasObject {
	parts := []fyne.CanvasObject{n, soft(what)}
	if b := oddsBand(o); b != "" {
		parts = append(parts, soft(b))
	}
	bg := canvas.NewRectangle(theme.Color(theme.ColorNameHeaderBackground))
	bg.CornerRadius = 5
	return container.NewStack(bg, container.New(layout.NewCustomPaddedLayout(1, 2, 2, 1), container.New(narrow{}, container.New(tight{}, parts...))))
}

func (s *legSheet) findings(list []risk.Finding) {
	for _, sev := range []risk.Severity{risk.Stop, risk.Warning, risk.Note} {
		for _, fd := range list {
			if fd.Severity == sev {
				s.add(findingCard(fd))
			}
		}
	}
}

func findingCard(fd risk.Finding) fyne.CanvasObject {
	word, name := tr("Note"), theme.ColorNamePlaceHolder
	switch fd.Severity {
	case risk.Stop:
		word, name = tr("Stop"), theme.ColorNameError
	case risk.Warning:
		word, name = tr("Warning"), theme.ColorNameWarning
	}
	bar := canvas.NewRectangle(theme.Color(name))
	bar.SetMinSize(fyne.NewSize(4, 4))
	text := widget.NewRichText(
		&widget.TextSegment{Text: word + "  ", Style: widget.RichTextStyle{Inline: true, ColorName: name, TextStyle: fyne.TextStyle{Bold: true}}},
		&widget.TextSegment{Text: spoken(fd.Text), Style: widget.RichTextStyle{Inline: true}})
	text.Wrapping = fyne.TextWrapWord
	rows := []fyne.CanvasObject{text}
	if n := len(fd.Cautions); n > 0 {
		rows = append(rows, soft("⚠ "+spoken(fd.Cautions[0])))
		if n > 1 {
			rows = append(rows, soft(tr("and {{.N}} more cautions at the end of this sheet", with("N", n-1))))
		}
	}
	bg := canvas.NewRectangle(theme.Color(theme.ColorNameHeaderBackground))
	return container.NewStack(bg, container.NewBorder(nil, nil, bar, nil, container.New(column{}, rows...)))
}
