package window

import (
	"fmt"
	"image/color"
	"math"
	"sort"
	"strings"
	"time"
	"unicode/utf8"

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
	open   map[string]bool // sections that the user opened
	closed map[string]bool
	built  *trip.Document
	leg    int
}

func newLegSheet(p *Presenter) *legSheet {
	s := &legSheet{p: p, box: container.New(column{gap: 2}), open: map[string]bool{}, closed: map[string]bool{}, leg: -2}
	s.scroll = container.NewVScroll(container.New(layout.NewCustomPaddedLayout(2, 8, 6, 12), s.box))
	p.Watch(func(c Change) {
		if c&(DocChanged|ChosenChanged|SettingsChanged) != 0 {
			s.build()
		}
	})
	return s
}

func (s *legSheet) build() {
	top := s.leg != s.p.chosen
	s.leg, s.built = s.p.chosen, s.p.doc
	s.box.Objects = nil
	sv, j := s.p.Survey(), s.p.Judgement()
	switch {
	case sv == nil:
		s.add(prose(tr("Open a route to begin: a GPX file from the File menu, or drop it on this window.")))
	case s.leg < 0 || s.leg >= len(sv.Legs):
		s.whole(sv, j)
	default:
		s.head(sv, j)
		if j != nil && s.leg < len(j.Legs) {
			lj := &j.Legs[s.leg]
			s.findings(lj.Findings)
			s.needs(lj)
			s.losses(tr("Where the points go"), lj.Score)
			s.recovery(lj.Needs.Pull)
			s.facts(sv, lj)
			s.troubles(lj)
			s.cautions(allCautions(lj))
		}
	}
	s.box.Refresh()
	if top {
		s.scroll.ScrollToTop()
	}
}

func (s *legSheet) add(o ...fyne.CanvasObject) { s.box.Objects = append(s.box.Objects, o...) }

// whole is shown while no leg is chosen: the trip's findings and losses.
func (s *legSheet) whole(sv *geo.Survey, j *risk.Judgement) {
	s.add(heading(tr("The whole trip")))
	s.add(soft(tr("Choose a leg on the map, in the strip or in the list to see its sheet.")))
	if j == nil {
		return
	}
	s.add(oddsRow(j.Trip))
	if b := j.Trip.Band; b[0] == b[0] && b[2] == b[2] {
		s.add(soft(tr("Readiness {{.R}}; between {{.A}} and {{.B}} when the doubtful figures vary (5 to 95 %).", map[string]any{"R": f1(j.Trip.Readiness), "A": f1(b[0]), "B": f1(b[2])})))
	}
	s.checkIns(j)
	s.findings(j.Findings)
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
		notes = append(append(notes, d.Notes...), d.Route.Notes...)
	}
	s.noteSection("notes", tr("What was assumed"), append(append(notes, sv.Notes...), j.Notes...))
	s.noteSection("sources", tr("Where it comes from"), sv.Sources)
}

// checkIns are the planned times to be heard, and when the contact should begin to act.
func (s *legSheet) checkIns(j *risk.Judgement) {
	if j.WorryUnix == 0 && len(j.CheckIns) == 0 {
		return
	}
	zone := s.p.plan.Trip.Conditions.Start.Location()
	at := func(unix int64) string { return time.Unix(unix, 0).In(zone).Format("2006-01-02 15:04") }
	s.section("times", tr("Times to be heard"), false, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{two: true})
		row := func(a, b string) {
			x, y := plainText(a), plainText(b)
			x.Wrapping, y.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
			grid.Add(x)
			grid.Add(y)
		}
		for _, c := range j.CheckIns {
			row(at(c.Unix), capital(c.Title))
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
	s.add(container.New(tight{}, title, soft(line+" · "+groundsOf(sv, s.leg))))
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
}

// oddsRow shows the three chances side by side, larger than the readiness they stand beside.
func oddsRow(sc risk.Score) fyne.CanvasObject {
	return container.New(&even{gap: 6},
		oddsTile(sc.Stopped, tr("stopped")), oddsTile(sc.NotUnaided, tr("not out unaided")), oddsTile(sc.NoHelp, tr("no help in time")))
}

func oddsTile(o risk.Odds, what string) fyne.CanvasObject {
	n := canvas.NewText(oddsText(o), theme.Color(theme.ColorNameForeground))
	n.TextSize, n.TextStyle.Bold = theme.Size(theme.SizeNameSubHeadingText)*1.06, true
	if utf8.RuneCountInString(n.Text) > 12 {
		n.TextSize = theme.TextSize()
	}
	w := canvas.NewText(what, theme.Color(theme.ColorNamePlaceHolder))
	w.TextSize = theme.Size(theme.SizeNameCaptionText)
	parts := []fyne.CanvasObject{n, w}
	if b := oddsBand(o); b != "" {
		t := canvas.NewText(b, theme.Color(theme.ColorNamePlaceHolder))
		t.TextSize = theme.Size(theme.SizeNameCaptionText)
		parts = append(parts, t)
	}
	bg := canvas.NewRectangle(theme.Color(theme.ColorNameHeaderBackground))
	bg.CornerRadius = 5
	return container.NewStack(bg, container.New(layout.NewCustomPaddedLayout(5, 5, 7, 5), container.New(narrow{}, container.New(column{}, parts...))))
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
		&widget.TextSegment{Text: fd.Text, Style: widget.RichTextStyle{Inline: true}})
	text.Wrapping = fyne.TextWrapWord
	rows := []fyne.CanvasObject{text}
	if n := len(fd.Cautions); n > 0 {
		rows = append(rows, soft("⚠ "+fd.Cautions[0]))
		if n > 1 {
			rows = append(rows, soft(tr("and {{.N}} more cautions at the end of this sheet", with("N", n-1))))
		}
	}
	bg := canvas.NewRectangle(theme.Color(theme.ColorNameHeaderBackground))
	return container.NewStack(bg, container.NewBorder(nil, nil, bar, nil, container.New(column{}, rows...)))
}

// needRow is one line of what the leg asks for.
type needRow struct {
	what, want, have string
	short            string // "" when covered
}

// needs is the table of what the leg asks for against what is carried.
func (s *legSheet) needs(lj *risk.LegJudgement) {
	f := s.p.format()
	n := &lj.Needs
	var rows []needRow
	band := func(q units.Quantity, b risk.Band) string { return f.Band(q, b.Low, b.Central, b.High) }
	if n.WaterL.Central > 0 {
		r := needRow{what: tr("Drinking water"), want: band(units.Volume, n.WaterL), have: f.Format(units.Volume, n.WaterHaveL)}
		if d := n.WaterL.Central - n.WaterHaveL; d > 0 {
			r.short = tr("{{.N}} short", with("N", f.Format(units.Volume, d)))
		}
		rows = append(rows, r)
	}
	if n.FuelReachL.Central > 0 {
		r := needRow{what: tr("Fuel to the next place"), want: band(units.Volume, n.FuelReachL), have: band(units.Volume, n.FuelHaveL)}
		if d := n.FuelReachL.High - n.FuelHaveL.Low; d > 0 {
			r.short = tr("{{.N}} short at worst", with("N", f.Format(units.Volume, d)))
		}
		rows = append(rows, r)
	}
	if p := n.Pull; p != nil {
		r := needRow{what: tr("Pull"), want: band(units.Force, p.RequiredKN), have: p.RigTitle}
		if p.Rig == "" {
			r.have, r.short = "", tr("no rig holds: {{.Why}}", with("Why", firstOf(p.Fails, tr("not possible"))))
		}
		rows = append(rows, r)
		if p.LineM > 0 {
			l := needRow{what: tr("Line from vehicle to anchor"), want: f.Format(units.Small, p.LineM), have: f.Format(units.Small, p.HaveLineM)}
			if p.HaveLineM < p.LineM {
				l.short = tr("{{.N}} short", with("N", f.Format(units.Small, p.LineM-p.HaveLineM)))
			}
			rows = append(rows, l)
		}
	}
	if n.PressureKPa[0] > 0 {
		rows = append(rows, needRow{what: tr("Tyres front, rear"), want: f.Format(units.Pressure, n.PressureKPa[0]) + ", " + f.Format(units.Pressure, n.PressureKPa[1]),
			have: tr("road {{.A}}, {{.B}}", map[string]any{"A": f.Format(units.Pressure, n.RoadKPa[0]), "B": f.Format(units.Pressure, n.RoadKPa[1])})})
		c := needRow{what: tr("Air back up"), want: minutes(n.CompressorMin), have: tr("by compressor")}
		if n.CompressorMin != n.CompressorMin {
			c.want, c.have, c.short = "", tr("no compressor carried"), tr("missing")
		}
		rows = append(rows, c)
	}
	if n.MoveMin.Central > 0 {
		rows = append(rows, needRow{what: tr("Driving time"), want: minutes(n.MoveMin.Central)})
	}
	if n.DaylightMin == n.DaylightMin {
		r := needRow{what: tr("Daylight left at the end"), want: minutes(math.Max(0, n.DaylightMin))}
		if n.DaylightMin < 0 {
			r.want, r.short = "", tr("{{.N}} after dark", with("N", minutes(-n.DaylightMin)))
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		return
	}
	s.needTable("needs", tr("What the leg needs"), rows)
	parts := append(append([]risk.PartNeed(nil), n.Parts...), n.Skills...)
	if len(parts) == 0 {
		return
	}
	missing := 0
	rows = rows[:0]
	// What is missing comes first, what is asked for most often first among the rest.
	sort.SliceStable(parts, func(i, j int) bool {
		if parts[i].Missing != parts[j].Missing {
			return parts[i].Missing
		}
		return parts[i].Chance > parts[j].Chance
	})
	for _, pt := range parts {
		rows = append(rows, partRow(pt))
		if pt.Missing {
			missing++
		}
	}
	title := tr("Parts, tools and skills: all {{.N}} at hand", with("N", len(parts)))
	if missing > 0 {
		title = tr("Parts, tools and skills: {{.M}} of {{.N}} missing", map[string]any{"M": missing, "N": len(parts)})
	}
	s.needTable("parts", title, rows)
}

// needTable is a section with what is wanted and what is carried.
func (s *legSheet) needTable(key, title string, rows []needRow) {
	s.section(key, title, true, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{})
		for _, h := range []string{"", tr("wanted"), tr("carried")} {
			grid.Add(caption(h))
		}
		for _, r := range rows {
			what := plainText(r.what)
			have := plainText(r.have)
			if r.short != "" {
				have = widget.NewLabel("✗ " + strings.TrimSpace(r.have+"  "+r.short))
				have.Importance = widget.DangerImportance
			} else if r.have != "" {
				have.SetText("✓ " + r.have)
			}
			have.Wrapping = fyne.TextWrapWord
			what.Wrapping = fyne.TextWrapWord
			want := plainText(r.want)
			want.Wrapping = fyne.TextWrapWord
			grid.Add(what)
			grid.Add(want)
			grid.Add(have)
		}
		return []fyne.CanvasObject{grid}
	})
}

func partRow(pt risk.PartNeed) needRow {
	r := needRow{what: capital(tr(pt.Title)), want: tr("{{.N}}, asked for {{.Odds}}", map[string]any{"N": trim(pt.Want), "Odds": oneIn(pt.Chance)}), have: trim(pt.Have)}
	if pt.Missing {
		r.short = tr("missing")
		if pt.Have == 0 {
			r.have = ""
		}
	}
	return r
}

// losses are the lost points with their cures; the largest eight are shown, the rest counted.
func (s *legSheet) losses(title string, sc risk.Score) {
	var rows []fyne.CanvasObject
	shown := 0.0
	for i, l := range sc.Lost {
		if i >= 8 || l.Points < 0.05 {
			break
		}
		shown += l.Points
		rows = append(rows, s.loss(l, sc))
	}
	if len(rows) == 0 {
		return
	}
	if rest := 100 - sc.Readiness - shown; rest >= 0.05 {
		rows = append(rows, soft(tr("and {{.N}} points in smaller amounts", with("N", f1(rest)))))
	}
	s.section("losses", tr("{{.Title}}: {{.N}} of 100 lost", map[string]any{"Title": title, "N": f1(100 - sc.Readiness)}), true, func() []fyne.CanvasObject { return rows })
}

func (s *legSheet) loss(l risk.Loss, sc risk.Score) fyne.CanvasObject {
	pal := palette()
	share := float32(l.Points / math.Max(1, 100-sc.Readiness))
	bar := newShareBar(share, pal.ReadinessColor(math.Max(0, 70-2*l.Points)))
	points := widget.NewLabel(fmt.Sprintf("−%s", f1(l.Points)))
	points.TextStyle.Bold = true
	title := widget.NewLabel(capital(l.Title))
	title.TextStyle.Bold = true
	title.Truncation = fyne.TextTruncateEllipsis
	rows := []fyne.CanvasObject{container.NewBorder(nil, nil, points, nil, title), bar}
	var parts []string
	for _, q := range []struct {
		v    float64
		text string
	}{{l.Missing, tr("something missing")}, {l.Stock, tr("stock used up")}, {l.Late, tr("help too late")}, {l.Rest, tr("no remedy or bad luck")}} {
		if q.v >= 0.05 {
			parts = append(parts, fmt.Sprintf("%s %s", f1(q.v), q.text))
		}
	}
	if l.Text != "" {
		rows = append(rows, prose(l.Text))
	}
	if len(parts) > 0 {
		rows = append(rows, soft(strings.Join(parts, " · ")))
	}
	if c := l.Cure; c != nil && c.Points >= 0.05 {
		text := tr("+{{.P}} with {{.What}}, {{.Mass}}", map[string]any{"P": f1(c.Points), "What": c.Title, "Mass": s.p.format().Format(units.Mass, c.MassKg)})
		rows = append(rows, offer(text, func() { s.p.AddItems(c.Title, c.Items) }))
	}
	return container.New(layout.NewCustomPaddedLayout(2, 6, 0, 0), container.New(column{}, rows...))
}

func (s *legSheet) recovery(p *risk.PullNeed) {
	if p == nil {
		return
	}
	f := s.p.format()
	s.section("recovery", tr("The recovery, worked out"), false, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		o = append(o, prose(tr("For a vehicle {{.State}}: a pull of {{.F}}.", map[string]any{"State": p.State,
			"F": f.Band(units.Force, p.RequiredKN.Low, p.RequiredKN.Central, p.RequiredKN.High)})))
		if p.RigTitle != "" {
			line := p.RigTitle
			if p.Margin == p.Margin {
				line = tr("{{.Rig}}; weakest: {{.Link}}, {{.M}} times the force", map[string]any{"Rig": p.RigTitle, "Link": p.WeakLink, "M": f1(p.Margin)})
			}
			o = append(o, prose(line))
		}
		if p.Fails != "" {
			l := prose(p.Fails)
			l.Importance = widget.DangerImportance
			o = append(o, l)
		}
		if p.Cure != "" {
			o = append(o, prose(p.Cure))
		}
		for i, st := range p.Steps {
			o = append(o, prose(fmt.Sprintf("%d. %s", i+1, st)))
		}
		if len(p.Cautions) > 0 {
			o = append(o, cautionLine(tr("The cautions at the end of this sheet come first.")))
		}
		return o
	})
}

// allCautions are the cautions of a leg's findings, needs and recovery, each once.
func allCautions(lj *risk.LegJudgement) (out []string) {
	seen := map[string]bool{}
	add := func(list []string) {
		for _, c := range list {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	for _, f := range lj.Findings {
		add(f.Cautions)
	}
	add(lj.Needs.Cautions)
	if lj.Needs.Pull != nil {
		add(lj.Needs.Pull.Cautions)
	}
	return out
}

func (s *legSheet) facts(sv *geo.Survey, lj *risk.LegJudgement) {
	f := s.p.format()
	leg := sv.Legs[s.leg]
	type fact struct{ name, value string }
	var rows []fact
	add := func(name, value string) {
		if value != "" {
			rows = append(rows, fact{name, value})
		}
	}
	var steep, side, steepBand, sideBand float64
	unknown, climb := 0.0, 0.0
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := leg.From; i <= leg.To; i++ {
		p := &sv.Samples[i]
		if g := math.Abs(p.Grade); g > steep {
			steep, steepBand = g, p.GradeBand
		}
		if p.Side > side {
			side, sideBand = p.Side, p.SideBand
		}
		if p.HeightM == p.HeightM {
			lo, hi = math.Min(lo, p.HeightM), math.Max(hi, p.HeightM)
		}
		if i > leg.From {
			if k := int(p.Ground); k < len(sv.Grounds) && !sv.Grounds[k].Known {
				unknown += p.DistanceM - sv.Samples[i-1].DistanceM
			}
			if d := p.HeightM - sv.Samples[i-1].HeightM; d > 0 {
				climb += d
			}
		}
	}
	add(tr("Begins because"), leg.Why)
	if hi >= lo {
		add(tr("Height"), tr("{{.A}} to {{.B}}", map[string]any{"A": f.Format(units.Length, lo), "B": f.Format(units.Length, hi)}))
	}
	if steep > 0 {
		add(tr("Steepest grade"), fmt.Sprintf("%.0f %% ± %.0f", 100*steep, 100*steepBand))
	}
	if side > 0 {
		add(tr("Steepest side slope"), fmt.Sprintf("%.0f %% ± %.0f", 100*side, 100*sideBand))
	}
	n := &lj.Needs
	add(tr("Farthest from a maintained road"), f.Format(units.Distance, n.RoadM))
	if n.WalkOutMin == n.WalkOutMin {
		add(tr("Longest walk out"), minutes(n.WalkOutMin))
	}
	if n.StrandedH.Central > 0 {
		add(tr("Help is there after"), tr("{{.A}} h ({{.B}} to {{.C}})", map[string]any{"A": f1(n.StrandedH.Central), "B": f1(n.StrandedH.Low), "C": f1(n.StrandedH.High)}))
	}
	if unknown > 0 {
		add(tr("Ground unknown"), f.Format(units.Distance, unknown))
	}
	for _, k := range []struct {
		kind geo.MarkKind
		name string
	}{{geo.MarkFord, tr("Fords")}, {geo.MarkGate, tr("Gates")}, {geo.MarkPrivate, tr("Private ground")}} {
		c := 0
		for _, m := range sv.Marks {
			if m.Kind == k.kind && m.DistanceM >= sv.FromM(s.leg) && m.DistanceM <= sv.ToM(s.leg) {
				c++
			}
		}
		if c > 0 {
			add(k.name, fmt.Sprint(c))
		}
	}
	s.section("facts", tr("Facts"), true, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{two: true})
		for _, r := range rows {
			a, b := plainText(r.name), plainText(r.value)
			a.Wrapping, b.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
			grid.Add(a)
			grid.Add(b)
		}
		return []fyne.CanvasObject{grid}
	})
}

// troubles lists each kind of trouble with what would end it.
func (s *legSheet) troubles(lj *risk.LegJudgement) {
	s.section("troubles", tr("Every trouble and its remedies"), false, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		for i, e := range lj.Events {
			if i >= 24 {
				break
			}
			if !(e.Mean > 0) {
				continue
			}
			t := plainText(capital(e.Title))
			t.TextStyle.Bold = true
			o = append(o, t, soft(tr("{{.N}} expected on this leg; ended by own means {{.S}} %, help in time else {{.H}} %",
				map[string]any{"N": oneIn(e.Mean), "S": f0(100 * e.SelfHelp), "H": f0(100 * e.HelpInTime)})))
			for _, r := range e.Remedies {
				if r.Fails != "" {
					o = append(o, soft("✗ "+capital(r.Title)+": "+r.Fails))
				} else {
					o = append(o, soft(fmt.Sprintf("✓ %s: %.0f %%, %s", capital(r.Title), 100*r.Chance, minutes(r.Minutes))))
				}
			}
		}
		return o
	})
}

func (s *legSheet) cautions(list []string) {
	if len(list) == 0 {
		return
	}
	s.section("cautions", tr("Cautions"), true, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		for _, c := range list {
			o = append(o, cautionLine(c))
		}
		return o
	})
}

func (s *legSheet) noteSection(key, title string, list []string) {
	if len(list) == 0 {
		return
	}
	s.section(key, title, false, func() []fyne.CanvasObject {
		var o []fyne.CanvasObject
		for _, c := range list {
			o = append(o, prose("· "+c))
		}
		return o
	})
}

// section is a titled part that can be shut. What it holds is made only when it is open.
func (s *legSheet) section(key, title string, openAtFirst bool, fill func() []fyne.CanvasObject) {
	open := openAtFirst && !s.closed[key] || s.open[key]
	icon := theme.MenuExpandIcon()
	if open {
		icon = theme.MenuDropDownIcon()
	}
	head := widget.NewButtonWithIcon(title, icon, func() {
		s.open[key], s.closed[key] = !open, open
		at := s.scroll.Offset
		s.build()
		s.scroll.ScrollToOffset(at)
	})
	head.Alignment = widget.ButtonAlignLeading
	head.Importance = widget.LowImportance
	line := canvas.NewRectangle(theme.Color(theme.ColorNameSeparator))
	line.SetMinSize(fyne.NewSize(1, 1))
	s.add(line, head)
	if open {
		s.add(fill()...)
	}
}

// --- small parts ---

func heading(t string) *widget.Label {
	l := widget.NewLabel(t)
	l.TextStyle.Bold = true
	l.SizeName = theme.SizeNameSubHeadingText
	l.Wrapping = fyne.TextWrapWord
	return l
}

func prose(t string) *widget.Label {
	l := widget.NewLabel(t)
	l.Wrapping = fyne.TextWrapWord
	return l
}

func plainText(t string) *widget.Label { return widget.NewLabel(t) }

func soft(t string) *widget.Label {
	l := prose(t)
	l.SizeName = theme.SizeNameCaptionText
	return l
}

func caption(t string) *widget.Label {
	l := widget.NewLabel(t)
	l.SizeName = theme.SizeNameCaptionText
	return l
}

func cautionLine(t string) *widget.Label {
	l := prose("⚠ " + t)
	l.Importance = widget.WarningImportance
	return l
}

func newAction(text string, icon fyne.Resource, f func()) *widget.Button {
	b := widget.NewButtonWithIcon(text, icon, f)
	b.Alignment = widget.ButtonAlignLeading
	return b
}

// offer is a proposal that wraps, with a button to take it. A button's own text cannot wrap, and a long one
// would push the pane wide.
func offer(text string, take func()) fyne.CanvasObject {
	b := widget.NewButtonWithIcon(tr("Carry"), theme.ContentAddIcon(), take)
	return container.NewStack(newPanel(theme.ColorNameHeaderBackground, 4), container.NewBorder(nil, nil, nil, container.NewCenter(b), prose(text)))
}

// shareBar is a thin bar whose length is a share of the width.
type shareBar struct {
	widget.BaseWidget
	share float32
	bar   *canvas.Rectangle
	rest  *canvas.Rectangle
}

func newShareBar(share float32, c color.Color) *shareBar {
	b := &shareBar{share: max(0, min(1, share)), bar: canvas.NewRectangle(c), rest: canvas.NewRectangle(theme.Color(theme.ColorNameSeparator))}
	b.bar.CornerRadius, b.rest.CornerRadius = 2.5, 2.5
	b.ExtendBaseWidget(b)
	return b
}

// CreateRenderer implements fyne.Widget.
func (b *shareBar) CreateRenderer() fyne.WidgetRenderer { return &shareBarRenderer{b} }

type shareBarRenderer struct{ b *shareBar }

func (r *shareBarRenderer) Layout(s fyne.Size) {
	x := theme.InnerPadding()
	w := max(0, s.Width-2*x)
	r.b.rest.Move(fyne.NewPos(x, 0))
	r.b.rest.Resize(fyne.NewSize(w, s.Height))
	r.b.bar.Move(fyne.NewPos(x, 0))
	r.b.bar.Resize(fyne.NewSize(w*r.b.share, s.Height))
}
func (r *shareBarRenderer) MinSize() fyne.Size { return fyne.NewSize(40, 5) }
func (r *shareBarRenderer) Refresh()           {}
func (r *shareBarRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.b.rest, r.b.bar}
}
func (r *shareBarRenderer) Destroy() {}

func f0(v float64) string { return fmt.Sprintf("%.0f", v) }
func f1(v float64) string { return point(fmt.Sprintf("%.1f", v)) }

// trim writes a count without needless digits.
func trim(v float64) string { return point(strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")) }

// minutes writes a duration given in minutes.
func minutes(m float64) string {
	if m != m {
		return tr("unknown")
	}
	if m < 90 {
		return tr("{{.N}} min", with("N", f0(m)))
	}
	h := int(m) / 60
	return tr("{{.H}} h {{.M}} min", map[string]any{"H": h, "M": fmt.Sprintf("%02d", int(m)-60*h)})
}

func firstOf(s ...string) string {
	for _, v := range s {
		if v != "" {
			return v
		}
	}
	return ""
}

// capital begins a text with a capital letter.
func capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}
