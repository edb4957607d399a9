package papers

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// sheetStyle is how much room a leg's sheet takes.
type sheetStyle struct {
	mapH, stripH float64
	parts, lost  int
	full         bool     // with bands, sums and every fact
	steps        int      // of the working; the cards have all of them
	bands        []string // of the strip
}

// The styles, roomiest first: the first that fits on one page is used. The last is for legs on which little
// can happen; two of those share a page.
var (
	sheetStyles = []sheetStyle{{210, 136, 16, 6, true, 9, legBands}, {180, 120, 14, 5, true, 9, legBands}, {150, 104, 10, 4, true, 9, legBands[:4]}, {130, 80, 8, 3, true, 9, legBands[:3]},
		{120, 72, 8, 3, true, 4, legBands[:3]}, {110, 66, 7, 3, true, 2, legBands[:2]}, {100, 60, 6, 2, true, 0, legBands[:2]}, {90, 50, 5, 1, true, 0, legBands[:2]}, {76, 44, 4, 0, false, 0, legBands[:1]}}
	quietStyle = sheetStyle{76, 50, 1, 1, false, 0, []string{"height", "light"}}
	legBands   = []string{"height", "light", "ground", "grade", "road", "walk"}
)

// quiet legs have no stop, a verdict of ready and a chance below one in a hundred of not getting out.
func quiet(l risk.LegJudgement) bool {
	for _, f := range l.Findings {
		if f.Severity == risk.Stop {
			return false
		}
	}
	return l.Score.Word == "ready" && l.Score.NotUnaided.P < 0.01
}

// legs draws the sheets, one a page; two quiet legs behind each other share a page when it holds both.
func (b Book) legs(s *sheet, common []string) {
	page := s.h - bottom - margin
	n := len(b.Doc.Judgement.Legs)
	const gap = 20
	for i := 0; i < n; i++ {
		s.newPage()
		if i+1 < n && quiet(b.Doc.Judgement.Legs[i]) && quiet(b.Doc.Judgement.Legs[i+1]) {
			first := func(s *sheet) { b.legSheet(s, i, quietStyle, common) }
			second := func(s *sheet) { b.legSheet(s, i+1, quietStyle, common) }
			if h, k := s.height(first), s.height(second); h+gap+k <= page {
				first(s)
				s.y = math.Max(s.y+gap/2, math.Min(margin+page/2, s.h-bottom-k-gap/2))
				s.rule(soft, 1)
				s.y += gap / 2
				second(s)
				i++
				continue
			}
		}
		for k, st := range sheetStyles {
			draw := func(s *sheet) { b.legSheet(s, i, st, common) }
			if k == len(sheetStyles)-1 || s.height(draw) <= page {
				draw(s)
				break
			}
		}
	}
}

func (b Book) legSheet(s *sheet, i int, st sheetStyle, common []string) {
	d, w := b.Doc, b.Words
	l := d.Judgement.Legs[i]
	f := facts.Of(d.Survey, l.Leg)
	s.title(1, w.legTitle(i, f), 0)
	s.y -= 3
	why := ""
	if t := d.Survey.Legs[l.Leg].Why; t != "" {
		why = " · " + w.say(t)
	}
	s.text(fmt.Sprintf("%s (%s)%s%s", w.stretch(f.FromM, f.ToM, 1), w.road(f.LengthM, 1), b.times(l.Needs), why), 8.5, false, soft, 0)
	for _, t := range trip.TurnBacks(d.Survey) {
		if t.AtM >= f.FromM && t.AtM < f.ToM {
			s.text(w.T("no_return_here", w.at(t.AtM, 1), w.at(t.ToM, 0), w.at(t.FromM, 0), w.hours(t.AheadS/60, false)), 8.5, true, ink, 0)
		}
	}
	for _, r := range trip.NoReturns(d.Judgement) {
		if r.AtM >= f.FromM && r.AtM < f.ToM {
			s.text(w.noReturn(r), 8.5, r.Kind == risk.ReturnBoth, ink, 0)
		}
	}
	s.y += 5
	b.verdict(s, l.Score, st.full)
	if l.Score.Why != "" {
		s.text(w.say(l.Score.Why), 8, false, ink, 0)
		s.y += 7
	}
	rs := plot.NoStyle
	rs.Chosen = l.Leg
	shares := []float64{0.95, 1.05}
	if !st.full {
		shares = []float64{0.62, 1.38}
	}
	s.columns(12, shares, func(s *sheet) {
		s.picture(st.mapH, 0.62, func(c plot.Canvas) { b.drawMap(c, b.Scene.LegExtent(l.Leg), rs) })
	}, func(s *sheet) { b.groundTable(s, f, l.Needs, st.full) })
	s.picture(st.stripH, 0.56, func(c plot.Canvas) {
		b.drawStrip(c, plot.Range{FromM: f.FromM, ToM: math.Max(f.ToM, f.FromM+1)}, l.Leg, st.bands...)
	})
	var stops, other []string
	for _, x := range l.Findings {
		if x.Severity == risk.Stop {
			stops = append(stops, w.T("stop")+": "+w.say(x.Text))
		} else {
			other = append(other, w.say(x.Text))
		}
	}
	if len(stops) > 0 {
		s.panel(stops, 8.5, warnBed, warn)
	}
	for _, t := range other {
		s.item("•", t, 8.5, ink)
	}
	s.columns(16, []float64{1.1, 1}, func(s *sheet) { b.needTable(s, l.Needs, st.parts) }, func(s *sheet) { b.working(s, l.Needs, st.full, st.steps) })
	if st.lost > 0 && len(l.Score.Lost) > 0 && l.Score.Lost[0].Points >= 0.05 {
		s.head(w.T("points_lost"), 20)
		for k, x := range l.Score.Lost {
			if k >= st.lost || x.Points < 0.05 {
				break
			}
			s.item("•", w.say(x.Text), 8, ink)
		}
	}
	var own []string
	shared := false
	for _, c := range b.legCautions(i) {
		if slices.Contains(common, c) {
			shared = true
		} else {
			own = append(own, w.say(c))
		}
	}
	s.y += 4
	if shared {
		own = append(own, w.T("cautions_there", w.T("cautions_all")))
	}
	if len(own) > 0 {
		s.text(w.T("cautions")+": "+strings.Join(own, "  ·  "), 7.2, false, warn, 0)
	}
}

// times tells driving time, arrival and light.
func (b Book) times(n risk.Needs) string {
	w := b.Words
	t := " · " + w.T("driving_time", w.hours(n.MoveMin.Central, false))
	if n.ArriveUnix <= 0 {
		return t
	}
	at := time.Unix(n.ArriveUnix, 0).In(b.zone())
	t += " · " + w.T("there_at", w.weekday(at)+" "+at.Format("15:04"))
	clock := func(unix int64) string {
		t := time.Unix(unix, 0).In(b.zone())
		c := t.Format("15:04")
		if t.YearDay() != at.YearDay() {
			c = w.weekday(t) + nbsp + c
		}
		return c
	}
	if q := n.Supply; q.SlowUnix > n.ArriveUnix {
		t += " (" + w.T("slow_there", clock(q.SlowUnix)) + ")"
	}
	if q := n.Supply; q.TurnByUnix > 0 {
		t += ", " + w.T("turn_by", clock(q.TurnByUnix))
	}
	switch {
	case math.IsNaN(n.DaylightMin):
	case n.DaylightMin < 0:
		t += ", " + w.T("after_dark", w.hours(-n.DaylightMin, false))
	default:
		t += ", " + w.T("daylight_left", w.hours(n.DaylightMin, false))
	}
	return t
}

func (b Book) groundTable(s *sheet, f facts.Facts, n risk.Needs, full bool) {
	w := b.Words
	row := func(title, text string) []cell { return []cell{{text: title, bold: true}, {text: text}} }
	walk := w.hours(f.WalkMin, f.WalkEst)
	road := w.T("road_text", w.road(f.RoadM, 1), w.road(f.DriveM, 1), w.hours(f.DriveMin, false))
	if f.RoadM < 100 {
		road = w.T("road_here")
	} else if math.IsNaN(f.RoadM) {
		road = w.T("road_unknown")
	}
	rows := [][]cell{
		row(w.T("ground"), w.groundShares(f)),
		row(w.T("climb"), w.T("climb_text", w.metres(f.AscentM, 0), w.metres(f.DescentM, 0), pct(f.UpGrade), pct(f.DownGrade), pct(f.GradeBand))),
	}
	if full {
		rows = append(rows, row(w.T("side_slope"), pct(f.SideSlope)))
	}
	if full || f.Fords+f.Gates > 0 {
		rows = append(rows, row(w.T("fords_gates"), fmt.Sprintf("%d, %d", f.Fords, f.Gates)))
	}
	if len(f.Crossings) > 0 {
		where := make([]string, len(f.Crossings))
		for i, m := range f.Crossings {
			where[i] = w.at(m, 1)
		}
		rows = append(rows, row(w.T("possible_fords"), w.T("possible_fords_text", len(where), strings.Join(where, ", "))))
	}
	rows = append(rows, row(w.T("way_out"), road))
	if f.RoadM >= 100 {
		rows = append(rows, row(w.T("on_foot"), w.T("on_foot_text", walk)))
	}
	rows = append(rows, row(w.T("help_after"), w.band(units.Duration, risk.Band{Low: 3600 * n.StrandedH.Low, Central: 3600 * n.StrandedH.Central, High: 3600 * n.StrandedH.High}, 0)))
	if full {
		rows = append(rows, row(w.T("driving"), w.T("driving_text", w.hours(n.MoveMin.Central, false), w.hours(n.MoveMin.Low, false), w.hours(n.MoveMin.High, false))))
	}
	s.table([]tableColumn{{"", 1, false}, {"", 2.7, false}}, rows, 8)
}

func pct(v float64) string {
	if math.IsNaN(v) {
		return "?"
	}
	return fmt.Sprintf("%.0f\u00a0%%", 100*v) // the blank does not break
}

// needTable is what the leg asks for against what is carried, the likeliest first.
func (b Book) needTable(s *sheet, n risk.Needs, most int) {
	w := b.Words
	s.head(w.T("needs_head"), 30)
	band := func(v risk.Band) string {
		if v.Low == v.High || math.IsNaN(v.Low) {
			return ""
		}
		return w.number(units.Volume, v.Low, 0) + "–" + w.number(units.Volume, v.High, 0)
	}
	rows := [][]cell{
		cells(w.T("drinking_water"), w.litres(n.WaterL.Central), band(n.WaterL), w.litres(n.WaterHaveL)),
		cells(w.T("cooling_water"), w.litres(n.CoolingL), "", w.T("apart")),
		cells(w.T("fuel_leg"), w.litres(n.FuelL.Central), band(n.FuelL), w.litres(n.FuelHaveL.Central)),
		cells(w.T("fuel_next"), w.litres(n.FuelReachL.Central), band(n.FuelReachL), w.litres(n.FuelHaveL.Central)),
	}
	if most < 2 {
		rows = slices.Delete(rows, 1, 2)
	}
	rows[0][3].bold = n.WaterL.Central > n.WaterHaveL
	rows[len(rows)-1][3].bold = n.FuelReachL.Central > n.FuelHaveL.Central
	// The likeliest first; what is hardly ever asked for is left to the workbook.
	parts := append([]risk.PartNeed(nil), n.Parts...)
	sort.SliceStable(parts, func(i, j int) bool { return parts[i].Chance > parts[j].Chance })
	shown := 0
	for _, p := range parts {
		if shown == most || p.Chance < 0.001 {
			break
		}
		if p.Item == "water" {
			continue // it stands above
		}
		shown++
		have := cell{text: dec(p.Have, 0)}
		if p.Missing {
			have = cell{text: w.T("missing"), bold: true}
			if p.Have > 0 {
				have.text = w.T("have_only", dec(p.Have, 0))
			}
		}
		rows = append(rows, []cell{{text: w.say(p.Title)}, {text: dec(p.Want, 0)}, {text: w.oneIn(p.Chance)}, have})
	}
	shares := []float64{2.1, 0.85, 1.25, 0.85}
	if w.units.System != units.Metric { // "US gal" takes more room than "L"
		shares = []float64{1.75, 1.1, 1.2, 1.1}
	}
	s.table([]tableColumn{{w.T("thing"), shares[0], false}, {w.T("wanted"), shares[1], true}, {w.T("range_chance"), shares[2], true}, {w.T("carried"), shares[3], true}}, rows, 7.8)
}

// groundChance says with what chance the design recovery's ground is there, "" where it is known.
func (b Book) groundChance(p *risk.PullNeed) string {
	if p.GroundNote == "" {
		return ""
	}
	return b.Words.T("ground_chance", b.Words.ground(p.Ground), 100*p.GroundChance)
}

// working is the tyres and the design recovery with its sums.
func (b Book) working(s *sheet, n risk.Needs, full bool, steps int) {
	w := b.Words
	if n.PressureKPa[0] > 0 {
		s.head(w.T("tyres"), 20)
		s.text(b.tyreText(n), 8, false, ink, 0)
	}
	p := n.Pull
	if p == nil {
		return
	}
	s.head(w.T("if_bogged"), 40)
	if full {
		s.text(w.say(p.State)+b.groundChance(p)+":", 8, false, ink, 0)
	}
	s.text(w.T("pull_asked", w.band(units.Force, p.RequiredKN, 1)), 8.5, true, ink, 0)
	if p.Rig != "" {
		s.text(w.T("pull_rig", capital(w.say(p.RigTitle)), w.kN(p.FallLineKN, 1), w.kN(p.DeadLineKN, 1), w.metres(p.LineM, 0), w.metres(p.HaveLineM, 0), w.kN(p.AnchorKN, 1), w.say(p.WeakLink), w.dec(p.Margin, 2)), 8, false, ink, 0)
	} else {
		t := w.T("pull_none", w.say(p.Fails))
		if full && p.Cure != "" && len(p.Cure) < 160 {
			t += " " + w.T("pull_cure", w.say(p.Cure))
		}
		s.text(t, 8, false, warn, 0)
	}
	if !full {
		return // the cautions stand at the foot of the sheet
	}
	// What is asked for is worked out here, the rig on its card.
	for k, st := range p.Steps {
		if k == 6 && len(p.Steps) > 8 || k == steps {
			break
		}
		s.item(fmt.Sprintf("%d.", k+1), w.say(st), 7.5, ink)
	}
	if p.Working != nil {
		s.text(w.T("see_card"), 7.5, false, ink, 0)
	}
	s.text(w.T("pull_caution"), 7.5, false, warn, 0)
}

func (b Book) tyreText(n risk.Needs) string {
	w := b.Words
	t := w.T("tyre_text", w.pressure(n.PressureKPa[0]), w.pressure(n.PressureKPa[1]))
	if n.PressureKPa == n.RoadKPa {
		return w.T("tyre_road", w.pressure(n.RoadKPa[0]), w.pressure(n.RoadKPa[1]))
	}
	if !math.IsNaN(n.SpeedCapKmh) {
		t += " " + w.T("tyre_speed", w.most(units.Speed, n.SpeedCapKmh, 0)+nbsp+w.unit(units.Speed))
	}
	t += " " + w.T("tyre_back", w.measure(units.Pressure, n.RoadKPa[0], 0), w.measure(units.Pressure, n.RoadKPa[1], 0))
	if !math.IsNaN(n.CompressorMin) {
		t += " " + w.T("tyre_pump", dec(n.CompressorMin, 0))
	} else {
		t += " " + w.T("tyre_no_pump")
	}
	return t
}
