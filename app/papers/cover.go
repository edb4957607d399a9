package papers

import (
	"math"
	"strings"
	"time"

	"lastroad/app/plot"
	"lastroad/geo"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// cover is one page: what trip, what verdict and why, map, strip, alone against together, what was assumed.
func (b Book) cover(s *sheet) {
	d, j, w := b.Doc, b.Doc.Judgement, b.Words
	s.newPage()
	s.bookmark(w.T("cover"), 0)
	s.font(22, true, ink)
	s.y += 18
	for k, l := range s.lines(s.safe(shorten(d.Name(), 400)), s.right-s.left) {
		if k == 3 { // a name of a book's length is cut here; the note at home has it whole
			s.write(s.left, s.y, "…")
			s.y += 25
			break
		}
		s.write(s.left, s.y, l)
		s.y += 25
	}
	s.y -= 14
	s.text(b.subtitle(), 10, false, soft, 0)
	s.y += 6
	b.verdict(s, j.Trip, true)
	if j.Trip.Why != "" {
		s.text(w.say(j.Trip.Why), 9, false, ink, 0)
		s.y += 2
	}
	s.text(b.inHundred(j.Trip), 9, false, ink, 0)
	s.y += 6
	var stops []string
	for _, f := range b.stops() {
		stops = append(stops, f)
	}
	if len(stops) > 6 {
		stops = append(stops[:5], w.T("more_stops", len(stops)-5))
	}
	rest := func(s *sheet) {
		s.picture(0.58*float64(plot.StripUnits())+2, 0.58, func(c plot.Canvas) { b.drawStrip(c, plot.Whole(d.Survey), -1) })
		if len(stops) > 0 {
			s.panel(append([]string{w.T("stops_head")}, bullets(stops)...), 8.5, warnBed, warn)
		}
		s.columns(16, []float64{1.25, 1}, b.aloneOrTogether, b.assumptions)
		s.y += 3
		s.text(w.T("caution"), 7.5, false, warn, 0)
		if w.T("language_note") != "" {
			s.text(w.T("language_note"), 7.5, false, soft, 0)
		}
	}
	room := s.h - bottom - s.y - s.height(rest) - 6
	s.picture(math.Max(150, math.Min(room, 330)), 0.62, func(c plot.Canvas) { b.drawMap(c, b.Scene.Extent(), plot.NoStyle) })
	rest(s)
}

func bullets(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = "• " + t
	}
	return out
}

// subtitle is when, how far, in how many legs and days, and with whom.
func (b Book) subtitle() string {
	d, j, w := b.Doc, b.Doc.Judgement, b.Words
	var t []string
	start := d.Plan.Trip.Conditions.Start
	if !start.IsZero() {
		t = append(t, w.date(start)+start.Format(", 15:04 -07:00"))
	}
	km, legs := 0, w.T("n_legs", len(j.Legs))
	if d.Survey.LengthM() < 20e3 {
		km = 2
	}
	if len(j.Legs) == 1 {
		legs = w.T("one_leg")
	}
	t = append(t, w.road(d.Survey.LengthM(), km), legs)
	if last := j.Legs[len(j.Legs)-1].Needs.ArriveUnix; last > 0 && !start.IsZero() {
		end := time.Unix(last, 0).In(start.Location())
		day := func(t time.Time) int64 {
			return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC).Unix() / 86400
		}
		if n := day(end) - day(start) + 1; n > 1 {
			t = append(t, w.T("n_days", n))
		} else {
			t = append(t, w.T("one_day"))
		}
	}
	return strings.Join(append(t, w.variant(j.Variant)), " · ")
}

// verdict is the word with the number beside it and the odds, which stand larger than the number.
func (b Book) verdict(s *sheet, sc risk.Score, bands bool) {
	w := b.Words
	h := 56.0
	if !bands {
		h = 43
	}
	s.room(h)
	s.fill(s.left, s.y, s.right-s.left, h, pale)
	x, first := s.left+10, 0.29*(s.right-s.left)
	s.shrink(x, s.y+22, w.verdict(sc.Word), 15, first-16, true, ink)
	s.shrink(x, s.y+36, w.T("readiness_of", dec(sc.Readiness, 0)), 8.5, first-16, false, soft)
	if bands && !math.IsNaN(sc.Band[0]) {
		s.shrink(x, s.y+47, w.T("from_to", dec(sc.Band[0], 0), dec(sc.Band[2], 0)), 8.5, first-16, false, soft)
	}
	col := (s.right - s.left - first) / 3
	for i, o := range []struct {
		what string
		o    risk.Odds
	}{{w.T("stopped"), sc.Stopped}, {w.T("not_unaided"), sc.NotUnaided}, {w.T("no_help"), sc.NoHelp}} {
		x := s.left + first + float64(i)*col
		s.shrink(x, s.y+22, w.oneIn(o.o.P), 14, col-8, true, ink)
		s.shrink(x, s.y+36, o.what, 8.5, col-8, false, soft)
		if low, high := w.oneIn(o.o.High), w.oneIn(o.o.Low); bands && !math.IsNaN(o.o.Low) && low != high {
			s.shrink(x, s.y+47, w.T("from_to", low, high), 8, col-8, false, soft)
		}
	}
	s.y += h + 6
}

// inHundred puts the odds into plain words.
func (b Book) inHundred(sc risk.Score) string {
	n := func(p float64) string {
		switch v := 100 * p; {
		case math.IsNaN(v):
			return "?"
		case v < 1:
			return b.Words.T("fewer_than_one")
		default:
			return b.Words.T("about_n", v)
		}
	}
	return b.Words.T("in_hundred", n(sc.Stopped.P), n(sc.NotUnaided.P), n(sc.NoHelp.P))
}

// stops are the findings that take the word "ready" away: each once, with the legs it stands on.
func (b Book) stops() []string {
	j := b.Doc.Judgement
	var out []string
	for _, f := range j.Findings {
		if f.Severity == risk.Stop {
			out = append(out, b.Words.say(f.Text))
		}
	}
	at := map[string][]int{}
	text, differ := map[string]string{}, map[string]bool{}
	var order []string
	for i, l := range j.Legs {
		for _, f := range l.Findings {
			if f.Severity != risk.Stop {
				continue
			}
			if len(at[f.Key]) == 0 {
				order = append(order, f.Key)
				text[f.Key] = f.Text
			}
			differ[f.Key] = differ[f.Key] || text[f.Key] != f.Text
			if n := at[f.Key]; len(n) == 0 || n[len(n)-1] != i+1 {
				at[f.Key] = append(n, i+1)
			}
		}
	}
	for _, k := range order {
		t := b.Words.legs(at[k]) + ": " + b.Words.say(text[k])
		if differ[k] {
			t += " " + b.Words.T("stop_alike", at[k][0])
		}
		out = append(out, t)
	}
	return out
}

// aloneOrTogether sets the two ways to go beside each other.
func (b Book) aloneOrTogether(s *sheet) {
	w, j := b.Words, b.Doc.Judgement
	s.head(w.T("alone_or_together"), 30)
	alone, together := j, b.Other
	if b.Doc.Plan.Trip.Together {
		alone, together = b.Other, j
	}
	cols := []tableColumn{{"", 1.5, false}, {w.T("alone"), 1.2, false}, {w.T("with_second"), 1.4, false}}
	row := func(title string, get func(j *risk.Judgement) string) []cell {
		r := []cell{{text: capital(title)}}
		for _, v := range []*risk.Judgement{alone, together} {
			t := "–"
			if v != nil {
				t = get(v)
			}
			r = append(r, cell{text: t, bold: v == j})
		}
		return r
	}
	rows := [][]cell{
		row(w.T("verdict"), func(j *risk.Judgement) string { return w.verdict(j.Trip.Word) }),
		row(w.T("readiness"), func(j *risk.Judgement) string { return dec(j.Trip.Readiness, 0) }),
		row(w.T("stopped"), func(j *risk.Judgement) string { return w.oneIn(j.Trip.Stopped.P) }),
		row(w.T("not_unaided"), func(j *risk.Judgement) string { return w.oneIn(j.Trip.NotUnaided.P) }),
		row(w.T("no_help"), func(j *risk.Judgement) string { return w.oneIn(j.Trip.NoHelp.P) }),
	}
	if together == nil {
		s.table([]tableColumn{cols[0], cols[1]}, onlyFirst(rows), 8.5)
		s.text(w.T("no_partner"), 8, false, soft, 0)
		return
	}
	s.table(cols, rows, 8.5)
	if p := together.Partner; p != nil {
		s.text(w.T("together_note", p.SeatsNeeded, p.SeatsHave, w.oneIn(p.PartyDelayed.P)), 8, false, soft, 0)
	}
}

func onlyFirst(rows [][]cell) [][]cell {
	for i := range rows {
		rows[i] = rows[i][:2]
	}
	return rows
}

// assumptions are the main things that the figures rest on.
func (b Book) assumptions(s *sheet) {
	w, d := b.Words, b.Doc
	s.head(w.T("reckoned_with"), 30)
	for k, n := range d.Notes { // what opening the files told: invented people, a region that is missing
		if k == 2 {
			break
		}
		s.item("!", shorten(w.say(n), 200), 8.5, warn)
	}
	c, p := d.Plan.Trip.Conditions, d.Plan.Trip.Party
	people := len(p.People)
	s.item("•", w.T("assume_load", people, w.kg(d.Judgement.Load.TotalKg), w.kg(d.Judgement.Load.GVMKg), w.litres(d.Judgement.Load.WaterL), w.litres(d.Judgement.Load.FuelL)), 8.5, ink)
	if c.DayMeanC != 0 || c.DayMaxC != 0 {
		s.item("•", w.T("assume_weather", w.celsius(c.NightMinC), w.celsius(c.DayMaxC), dec(100*c.Wetness, 0), dec(100*c.WaterLevel, 0)), 8.5, ink)
	} else {
		s.item("•", w.T("assume_no_weather"), 8.5, ink)
	}
	if d.Plan.Trip.Policy.ContactAtHome {
		s.item("•", w.T("assume_contact"), 8.5, ink)
	} else {
		s.item("•", w.T("assume_no_contact"), 8.5, warn)
	}
	unknown, whole := 0.0, d.Survey.LengthM()
	for i := range d.Survey.Legs {
		f := facts.Of(d.Survey, i)
		for _, g := range f.Ground {
			if g.Ground == geo.Unknown {
				unknown += g.Share * f.LengthM
			}
		}
	}
	if unknown > 0 && whole > 0 {
		s.item("•", w.T("assume_unknown", w.road(unknown, 0), dec(100*unknown/whole, 0)), 8.5, ink)
	}
	if n := len(d.Judgement.Load.DefaultsUsed); n > 0 {
		s.item("•", w.T("assume_class", n), 8.5, ink)
	}
}
