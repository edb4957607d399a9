package papers

import (
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"time"

	"lastroad/app/plot"
	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// Book is what the trip book is made from.
type Book struct {
	Doc   *trip.Document
	Other *risk.Judgement // the other of solo and together, nil when there is none
	Scene *plot.Scene
	Load  []LoadRow
	Cards []Card // recovery cards of the rigs that this trip uses
	Made  time.Time
	Size  string // "A4" or "letter"
}

// Write makes the PDF: cover, legs, load list, recovery cards, tyre card, emergency page.
func (b Book) Write(w io.Writer) error {
	d := b.Doc
	s, err := newSheet(b.Size, d.Name(), d.Name()+" · planning help, not a promise; ratings, handbooks, local rules and trained people come first", b.Made)
	if err != nil {
		return err
	}
	b.cover(s)
	for i := range d.Judgement.Legs {
		b.leg(s, i)
	}
	b.loadList(s)
	b.cards(s)
	b.tyres(s)
	b.emergency(s)
	b.basis(s)
	if s.unprintable {
		s.text("Some letters cannot be written with the built-in typeface (Latin, Greek and Cyrillic) and stand here as a question mark.", 8, false, warn, 0)
	}
	return s.pdf.Output(w)
}

func (b Book) cover(s *sheet) {
	d, j := b.Doc, b.Doc.Judgement
	s.newPage()
	s.pdf.Bookmark(s.safe("Cover"), 0, 0)
	s.font(24, true, ink)
	s.y += 22
	for _, l := range s.lines(s.safe(d.Name()), s.right-s.left) {
		s.pdf.Text(s.left, s.y, l)
		s.y += 27
	}
	s.y -= 10
	when := ""
	if t := d.Plan.Trip.Conditions.Start; !t.IsZero() {
		when = t.Format("Monday 2 January 2006, 15:04 -07:00") + " · "
	}
	s.text(fmt.Sprintf("%s%s km · %d legs · %s", when, dec(d.Survey.LengthM()/1000, 1), len(j.Legs), j.Variant), 10.5, false, soft, 0)
	s.y += 8
	b.verdict(s, j.Trip)
	s.panel([]string{report.Caution}, 8.5, warnBed, warn)
	map1 := s.picture(262, 0.62)
	b.drawMap(map1, b.Scene.Extent(), plot.NoStyle)
	map1.close()
	strip := s.picture(160, 0.62)
	b.drawStrip(strip, plot.Whole(d.Survey), -1)
	strip.close()
	if b.Other != nil {
		s.head("Alone or together", 40)
		alone, together := j, b.Other
		if d.Plan.Trip.Together {
			alone, together = b.Other, j
		}
		s.text(fmt.Sprintf("Alone: readiness %s, %s, not out by own means %s. With the second vehicle: readiness %s, %s, not out by own means %s.",
			dec(alone.Trip.Readiness, 0), alone.Trip.Word, report.OneIn(alone.Trip.NotUnaided.P), dec(together.Trip.Readiness, 0), together.Trip.Word, report.OneIn(together.Trip.NotUnaided.P)), 9.5, false, ink, 0)
	}
	b.findings(s, j.Findings)
	s.head("Where the points go", 30)
	for i, l := range j.Trip.Lost {
		if i >= 8 || l.Points < 0.05 {
			break
		}
		s.item("•", l.Text, 9, ink)
	}
}

// verdict is the number with the odds, which stand larger than it.
func (b Book) verdict(s *sheet, sc risk.Score) {
	const h = 62
	s.room(h)
	s.pdf.SetFillColor(int(pale.R), int(pale.G), int(pale.B))
	s.pdf.Rect(s.left, s.y, s.right-s.left, h, "F")
	x := s.left + 10
	s.font(15, true, ink)
	s.pdf.Text(x, s.y+24, s.safe(strings.ToUpper(sc.Word[:min(1, len(sc.Word))])+sc.Word[min(1, len(sc.Word)):]))
	s.font(9, false, soft)
	t := "readiness " + dec(sc.Readiness, 0) + " of 100"
	if !math.IsNaN(sc.Band[0]) {
		t += fmt.Sprintf(" (%s to %s)", dec(sc.Band[0], 0), dec(sc.Band[2], 0))
	}
	s.pdf.Text(x, s.y+42, t)
	col := (s.right - s.left - 160) / 3
	for i, o := range []struct {
		what string
		o    risk.Odds
	}{{"stopped by a trouble", sc.Stopped}, {"not out by own means", sc.NotUnaided}, {"no help in time", sc.NoHelp}} {
		x := s.left + 160 + float64(i)*col
		s.shrink(x, s.y+24, report.OneIn(o.o.P), 14, col-6, true, ink)
		s.shrink(x, s.y+38, o.what, 8, col-6, false, soft)
		if !math.IsNaN(o.o.Low) {
			s.shrink(x, s.y+50, report.OneIn(o.o.High)+" to "+report.OneIn(o.o.Low), 8, col-6, false, soft)
		}
	}
	s.y += h + 8
}

func (b Book) findings(s *sheet, fs []risk.Finding) {
	var stops []string
	for _, f := range fs {
		if f.Severity == risk.Stop {
			stops = append(stops, "Stop: "+f.Text)
		}
	}
	if len(stops) > 0 {
		s.y += 4
		s.panel(stops, 9, warnBed, warn)
	}
	for _, f := range fs {
		if f.Severity != risk.Stop {
			s.item("•", f.Text, 9, ink)
		}
		for _, c := range f.Cautions {
			s.item("!", c, 8.5, warn)
		}
	}
}

func (b Book) drawMap(c *pdfCanvas, e plot.Extent, st plot.RouteStyle) {
	w, h := c.Size()
	v := plot.Fit(e, int(w), int(h), 1, 0.08)
	pal := plot.Light()
	plot.DrawGround(c, b.Scene, v, pal)
	plot.DrawRoute(c, b.Scene, v, pal, b.Doc.Judgement, st)
	plot.DrawFurniture(c, b.Scene, v, pal, plot.Metric)
}

func (b Book) drawStrip(c *pdfCanvas, r plot.Range, chosen int) {
	plot.DrawStrip(c, plot.StripData{Survey: b.Doc.Survey, Judgement: b.Doc.Judgement}, r, plot.Light(),
		plot.StripStyle{Chosen: chosen, HoverM: math.NaN(), From: math.NaN(), To: math.NaN(), Scale: 1, Words: plot.English})
}

func (b Book) leg(s *sheet, i int) {
	d := b.Doc
	l := d.Judgement.Legs[i]
	f, n := facts.Of(d.Survey, l.Leg), l.Needs
	s.newPage()
	name := fmt.Sprintf("Leg %d", i+1)
	if f.Name != "" && f.Name != name {
		name += "  " + f.Name
	}
	s.title(0, name, 0)
	why := ""
	if w := d.Survey.Legs[l.Leg].Why; w != "" {
		why = " · begins: " + w
	}
	s.text(fmt.Sprintf("km %s to %s (%s km)%s", dec(f.FromM/1000, 1), dec(f.ToM/1000, 1), dec(f.LengthM/1000, 1), why), 9.5, false, soft, 0)
	s.y += 6
	b.verdict(s, l.Score)
	st := plot.NoStyle
	st.Chosen = l.Leg
	m := s.picture(165, 0.62)
	b.drawMap(m, b.Scene.LegExtent(l.Leg), st)
	m.close()
	strip := s.picture(110, 0.62)
	b.drawStrip(strip, plot.Range{FromM: f.FromM, ToM: math.Max(f.ToM, f.FromM+1)}, l.Leg)
	strip.close()
	b.findings(s, l.Findings)

	s.head("The ground and the way out", 40)
	walk := report.Hours(f.WalkMin, f.WalkEst)
	rows := [][]cell{
		words("Ground", groundWords(f)),
		words("Climb, fall", fmt.Sprintf("%s m, %s m; steepest %s up, %s down (±%s)", dec(f.AscentM, 0), dec(f.DescentM, 0), pct(f.UpGrade), pct(f.DownGrade), pct(f.GradeBand))),
		words("Side slope", pct(f.SideSlope)),
		words("Fords, gates", fmt.Sprintf("%d, %d", f.Fords, f.Gates)),
		words("Maintained road", fmt.Sprintf("%s km straight, %s km and %s driving, at the worst place", dec(f.RoadM/1000, 1), dec(f.DriveM/1000, 1), report.Hours(f.DriveMin, false))),
		words("On foot", walk+" to it, over the ground; a last resort, stay with the vehicle first"),
		words("Help there after", fmt.Sprintf("%s h (%s to %s h)", dec(n.StrandedH.Central, 0), dec(n.StrandedH.Low, 0), dec(n.StrandedH.High, 0))),
		words("Driving", fmt.Sprintf("%s (%s to %s)%s", report.Hours(n.MoveMin.Central, false), report.Hours(n.MoveMin.Low, false), report.Hours(n.MoveMin.High, false), b.arrival(n))),
	}
	s.table([]tableColumn{{"fact", 1, false}, {"figure", 4, false}}, rows, 8.5)

	s.head("What it asks for, and what is carried", 40)
	row := func(what, want, have string) []cell { return words(what, want, have) }
	rows = [][]cell{
		row("Drinking water", fmt.Sprintf("%s L (%s to %s)", dec(n.WaterL.Central, 0), dec(n.WaterL.Low, 0), dec(n.WaterL.High, 0)), dec(n.WaterHaveL, 0)+" L"),
		row("Cooling system", dec(n.CoolingL, 0)+" L, counted apart", ""),
		row("Fuel for the leg", fmt.Sprintf("%s L (%s to %s)", dec(n.FuelL.Central, 1), dec(n.FuelL.Low, 1), dec(n.FuelL.High, 1)), dec(n.FuelHaveL.Central, 0)+" L on entry"),
		row("Fuel to the next place, reserve in", dec(n.FuelReachL.Central, 0)+" L", ""),
	}
	// The likeliest first; what is hardly ever asked for is left to the workbook.
	parts := append([]risk.PartNeed(nil), n.Parts...)
	sort.SliceStable(parts, func(i, j int) bool { return parts[i].Chance > parts[j].Chance })
	for k, p := range parts {
		if k >= 14 || p.Chance < 0.001 {
			break
		}
		have := dec(p.Have, 0)
		if p.Missing {
			have += "  missing"
		}
		rows = append(rows, row(p.Title, fmt.Sprintf("%s (asked for: %s)", dec(p.Want, 0), report.OneIn(p.Chance)), have))
	}
	s.table([]tableColumn{{"thing", 2.2, false}, {"wanted", 2.4, false}, {"carried", 1.2, false}}, rows, 8.5)

	if n.PressureKPa[0] > 0 {
		s.head("Tyres", 30)
		speed := ""
		if !math.IsNaN(n.SpeedCapKmh) {
			speed = fmt.Sprintf("; not over %s km/h until they are up again", dec(n.SpeedCapKmh, 0))
		}
		s.text(fmt.Sprintf("Front %s kPa, rear %s kPa cold (road: %s and %s)%s. Pumping up again takes about %s min with the compressor carried. %s",
			dec(n.PressureKPa[0], 0), dec(n.PressureKPa[1], 0), dec(n.RoadKPa[0], 0), dec(n.RoadKPa[1], 0), speed, dec(n.CompressorMin, 0), n.PressureReason), 9, false, ink, 0)
	}
	if p := n.Pull; p != nil {
		s.head("Recovery: "+p.State, 40)
		s.text(fmt.Sprintf("Asks for %s kN (%s to %s).", dec(p.RequiredKN.Central, 1), dec(p.RequiredKN.Low, 1), dec(p.RequiredKN.High, 1)), 9, true, ink, 0)
		if p.Rig != "" {
			s.text(fmt.Sprintf("%s: fall line %s kN, dead line %s kN, line %s m of %s m carried, anchor %s kN. Weakest: %s, margin %s.", p.RigTitle,
				dec(p.FallLineKN, 1), dec(p.DeadLineKN, 1), dec(p.LineM, 0), dec(p.HaveLineM, 0), dec(p.AnchorKN, 1), p.WeakLink, dec(p.Margin, 2)), 9, false, ink, 0)
		} else {
			s.text("Nothing carried holds it: "+p.Fails+". "+p.Cure, 9, false, warn, 0)
		}
		for k, st := range p.Steps {
			s.item(fmt.Sprintf("%d.", k+1), st, 8.5, ink)
		}
	}
	if len(l.Score.Lost) > 0 {
		s.head("Points lost on this leg", 30)
		for k, x := range l.Score.Lost {
			if k >= 6 || x.Points < 0.05 {
				break
			}
			s.item("•", x.Text, 8.5, ink)
		}
	}
	var pullCautions []string
	if n.Pull != nil {
		pullCautions = n.Pull.Cautions
	}
	b.small(s, pullCautions, n.Cautions)
}

func (b Book) arrival(n risk.Needs) string {
	if n.ArriveUnix == 0 {
		return ""
	}
	zone := b.Doc.Plan.Trip.Conditions.Start.Location()
	t := "; there " + time.Unix(n.ArriveUnix, 0).In(zone).Format("Mon 15:04")
	switch {
	case math.IsNaN(n.DaylightMin):
	case n.DaylightMin < 0:
		t += ", " + report.Hours(-n.DaylightMin, false) + " after dark"
	default:
		t += ", " + report.Hours(n.DaylightMin, false) + " of daylight left"
	}
	return t
}

func pct(v float64) string {
	if math.IsNaN(v) {
		return "?"
	}
	return fmt.Sprintf("%.0f %%", 100*v)
}

// placeOrder is the order of the load list, front to back.
var placeOrder = []string{"front", "cab", "floor", "rear", "roof", "ball", ""}

var placeTitle = map[string]string{"front": "Front of the vehicle", "cab": "Cab, at hand", "floor": "Load floor, low and forward", "rear": "Load floor, rear", "roof": "Roof", "ball": "Tow ball", "": "Elsewhere"}

func (b Book) loadList(s *sheet) {
	s.newPage()
	s.title(0, "Load list", 0)
	l := b.Doc.Judgement.Load
	s.text(fmt.Sprintf("%s kg of %s kg allowed, %s kg left. Front axle %s of %s kg, rear axle %s of %s kg, roof %s of %s kg. The maker's figures and a weighbridge decide.",
		dec(l.TotalKg, 0), dec(l.GVMKg, 0), dec(l.PayloadLeftKg, 0), dec(l.FrontKg, 0), dec(l.FrontLimitKg, 0), dec(l.RearKg, 0), dec(l.RearLimitKg, 0), dec(l.RoofKg, 0), dec(l.RoofLimitKg, 0)), 9, false, ink, 0)
	known := map[string]bool{}
	for _, p := range placeOrder {
		known[p] = true
	}
	for _, place := range placeOrder {
		var rows [][]cell
		sum := 0.0
		for _, r := range b.Load {
			p := r.Place
			if !known[p] {
				p = ""
			}
			if p != place {
				continue
			}
			rating := ""
			if math.IsNaN(r.RatingKN) {
				rating = "no rating read: not to be loaded"
			} else if r.RatingKN > 0 {
				rating = dec(r.RatingKN, 1) + " kN"
			}
			sum += r.Count * r.EachKg
			rows = append(rows, []cell{{tick: true}, {text: r.Title}, {text: trimNumber(r.Count)}, {text: dec(r.Count*r.EachKg, 1)}, {text: rating}})
		}
		if len(rows) == 0 {
			continue
		}
		s.head(fmt.Sprintf("%s: %s kg", placeTitle[place], dec(sum, 1)), 50)
		s.table([]tableColumn{{"", 0.25, false}, {"item", 3, false}, {"count", 0.6, true}, {"kg", 0.6, true}, {"rating", 1.5, false}}, rows, 8.5)
	}
}

func trimNumber(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}

func (b Book) tyres(s *sheet) {
	s.newPage()
	s.title(0, "Tyre pressure card", 0)
	s.text("Cold pressures for the load declared. The placard and the tyre maker's table come first; never bleed a hot tyre; go back to road pressure before road speed.", 9, false, ink, 0)
	s.y += 4
	var rows [][]cell
	last := ""
	for i, l := range b.Doc.Judgement.Legs {
		n := l.Needs
		if n.PressureKPa[0] <= 0 {
			continue
		}
		speed := "-"
		if !math.IsNaN(n.SpeedCapKmh) {
			speed = dec(n.SpeedCapKmh, 0)
		}
		key := fmt.Sprintf("%.0f %.0f %s", n.PressureKPa[0], n.PressureKPa[1], speed)
		if key == last {
			r := rows[len(rows)-1]
			r[0].text = strings.SplitN(r[0].text, " to ", 2)[0] + fmt.Sprintf(" to %d", i+1)
			continue
		}
		last = key
		psi := func(kpa float64) string { return fmt.Sprintf("%.0f (%.0f psi)", kpa, kpa/6.894757) }
		rows = append(rows, []cell{{text: fmt.Sprint(i + 1)}, {text: psi(n.PressureKPa[0])}, {text: psi(n.PressureKPa[1])}, {text: speed}, {text: dec(n.CompressorMin, 0)}, {text: n.PressureReason}})
	}
	s.table([]tableColumn{{"legs", 0.7, false}, {"front kPa", 1.2, true}, {"rear kPa", 1.2, true}, {"most km/h", 0.8, true}, {"pump up, min", 0.9, true}, {"for", 3, false}}, rows, 9)
}

// basis lists what was assumed and where the facts come from.
func (b Book) basis(s *sheet) {
	d, j := b.Doc, b.Doc.Judgement
	s.newPage()
	s.title(0, "What this book rests on", 0)
	for _, n := range append(append([]string{}, d.Survey.Notes...), j.Notes...) {
		s.item("•", n, 8.5, ink)
	}
	if len(j.Load.DefaultsUsed) > 0 {
		s.item("•", "Figures of the vehicle class stand in for these that were not given: "+strings.Join(j.Load.DefaultsUsed, ", ")+".", 8.5, ink)
	}
	s.item("•", "Sources: "+strings.Join(d.Survey.Sources, "; ")+".", 8.5, ink)
	var tags []string
	for t := range j.Provenance {
		tags = append(tags, t)
	}
	sort.Strings(tags)
	for i, t := range tags {
		tags[i] = fmt.Sprintf("%s %d", t, j.Provenance[t])
	}
	if len(tags) > 0 {
		s.item("•", "Numbers of the tables that were used, by what they rest on: "+strings.Join(tags, ", ")+". Rates of bogging are the least known and often the largest term.", 8.5, ink)
	}
}

// small writes cautions one behind the other in small letters.
func (b Book) small(s *sheet, cautions ...[]string) {
	seen := map[string]bool{}
	var all []string
	for _, list := range cautions {
		for _, c := range list {
			if !seen[c] {
				seen[c] = true
				all = append(all, c)
			}
		}
	}
	if len(all) == 0 {
		return
	}
	s.head("Cautions", 20)
	s.text(strings.Join(all, "  ·  "), 7.5, false, warn, 0)
}
