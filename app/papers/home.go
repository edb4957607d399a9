package papers

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// HomeNote is what the person at home gets: what to do when nothing is heard, when to be heard, who
// travels in what, and where.
type HomeNote struct {
	Doc  *trip.Document
	Made time.Time
	Size string // paper
	// Calls are the items carried that reach somebody ("satellite messenger", "two-way radio"), Care those
	// that keep people alive while they wait (water, food, shelter, first aid).
	Calls, Care []string
	Words       Words
	lost        *bool // set when the note printed has letters replaced; nil for nobody to tell
}

// part is one part of the note: a heading, and rows or steps.
type part struct {
	head  string
	rows  [][2]string
	steps []string
	loud  bool // stands out on the printed note
}

// parts is the content of the note. It covers what public trip-plan forms ask for: people and their
// experience, vehicle and its looks, route with times, nights and ways out, supplies, communications, the
// hour to worry, the hour to call, and whom (trip intentions forms of New South Wales Police and National
// Parks, New Zealand Mountain Safety Council and Western Australia's parks service, as public; the steps
// after a missed check-in follow the New Zealand advice to contacts).
func (n HomeNote) parts() []part {
	w := n.Words
	return []part{n.whatToDo(), n.whenHeard(), {head: w.T("home_who"), rows: n.people()}, {head: w.T("home_vehicle"), rows: n.vehicle()},
		{head: w.T("home_reach"), rows: n.reach()}, {head: w.T("home_where"), rows: n.where()}, n.remarks()}
}

func (n HomeNote) zone() *time.Location {
	if c := n.Doc.Plan.Trip.Conditions; !c.Start.IsZero() {
		return c.Start.Location()
	}
	return time.UTC
}

func (n HomeNote) at(unix int64) string {
	if unix <= 0 {
		return n.Words.T("not_planned")
	}
	return n.Words.moment(unix, n.zone())
}

func (n HomeNote) given(t string) string {
	if t = flat(t); t == "" {
		return n.Words.T("not_given")
	}
	return t
}

func (n HomeNote) whatToDo() part {
	w, h := n.Words, n.Doc.Plan.Home
	blank := func(t string) string {
		if flat(t) == "" {
			return "____________________"
		}
		return flat(t)
	}
	p := part{head: w.T("home_do"), loud: true}
	if o := n.Doc.Judgement.OverdueUnix; o > 0 {
		p.steps = append(p.steps, w.T("do_overdue", n.at(o), blank(h.CallFirst)))
	} else {
		p.steps = append(p.steps, w.T("do_overdue_blank", blank(h.CallFirst)))
	}
	p.steps = append(p.steps, w.T("do_missed"), w.T("do_nobody"), w.T("do_call", blank(h.CallFirst), blank(h.CallSecond)), w.T("do_stay"), w.T("do_back"))
	return p
}

func (n HomeNote) whenHeard() part {
	w, j := n.Words, n.Doc.Judgement
	p := part{head: w.T("home_when")}
	p.rows = append(p.rows, [2]string{w.T("leaves"), n.startText()})
	for _, k := range j.CheckIns {
		t := n.at(k.Unix)
		if k.OverdueUnix > 0 {
			t = w.T("check_row", t, n.at(k.OverdueUnix))
		}
		p.rows = append(p.rows, [2]string{w.say(k.Title), t})
	}
	if end := j.Legs[len(j.Legs)-1].Needs.ArriveUnix; end > 0 {
		p.rows = append(p.rows, [2]string{w.T("planned_end"), n.at(end)})
	}
	if j.WorryUnix > 0 {
		p.rows = append(p.rows, [2]string{w.T("worry_from"), n.at(j.WorryUnix)})
	}
	if j.OverdueUnix > 0 {
		p.rows = append(p.rows, [2]string{w.T("call_latest"), n.at(j.OverdueUnix)})
	} else {
		p.rows = append(p.rows, [2]string{w.T("worry_from"), "____________________"}, [2]string{w.T("call_latest"), w.T("agree_hour")})
	}
	return p
}

// people lists names, ages and training; medical notes only when the user said that they may be handed on.
func (n HomeNote) people() [][2]string {
	w, d := n.Words, n.Doc
	var out [][2]string
	list := func(who string, ps []risk.Person) {
		for _, q := range ps {
			var t []string
			if q.AgeY > 0 {
				t = append(t, w.T("years", dec(q.AgeY, 0)))
			}
			if q.Driver {
				t = append(t, w.T("driver"))
			}
			if len(q.Skills) > 0 {
				t = append(t, w.T("trained", strings.Join(n.skills(q.Skills), ", ")))
			}
			if d.Plan.Home.Medical && flat(q.Conditions) != "" {
				t = append(t, w.T("medical", flat(q.Conditions)))
			}
			out = append(out, [2]string{n.given(q.Name) + who, n.given(strings.Join(t, "; "))})
		}
	}
	list("", d.Plan.Trip.Party.People)
	if d.Plan.Trip.Together && d.Plan.Trip.Partner != nil {
		list(" ("+w.T("second_vehicle")+")", d.Plan.Trip.Partner.People)
	}
	return append(out, [2]string{w.T("phones"), n.given(d.Plan.Home.OwnPhones)})
}

// skills are the names of skills; one that the catalogue does not know stands by its key.
func (n HomeNote) skills(keys []string) []string {
	cat, err := n.Doc.Catalogue()
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = strings.ReplaceAll(k, "_", " ")
		if err == nil {
			if at, ok := cat.SkillIndex(k); ok {
				out[i] = n.Words.say(cat.Skills[at].Title)
			}
		}
	}
	return out
}

func (n HomeNote) vehicle() [][2]string {
	w, d := n.Words, n.Doc
	v, h, l := d.Plan.Trip.Party.Vehicle, d.Plan.Home, d.Judgement.Load
	rows := [][2]string{{w.T("vehicle"), n.given(v.Name)}, {w.T("looks"), n.given(h.VehicleLook)}, {w.T("plate"), n.given(h.Plate)}, {w.T("tyres"), n.given(v.TyreSize)}}
	if d.Plan.Trip.Together && d.Plan.Trip.Partner != nil {
		rows = append(rows, [2]string{w.T("second_vehicle"), n.given(d.Plan.Trip.Partner.Vehicle.Name)})
	}
	t := w.T("water_fuel", w.litres(l.WaterL), w.litres(l.FuelL))
	used := 0.0
	for _, g := range d.Judgement.Legs {
		used += g.Needs.FuelL.Central
	}
	if used > 0 && l.FuelL > 0 && !math.IsInf(used, 0) {
		t += "; " + w.T("fuel_range", w.most(units.Distance, l.FuelL/used*d.Survey.LengthM(), -1)+nbsp+w.unit(units.Distance))
	}
	rows = append(rows, [2]string{capital(w.T("carried")), t})
	if len(n.Care) > 0 {
		rows = append(rows, [2]string{w.T("to_wait_with"), strings.Join(n.Care, ", ")})
	}
	return rows
}

func (n HomeNote) reach() [][2]string {
	w := n.Words
	calls := w.T("no_calls")
	if len(n.Calls) > 0 {
		calls = strings.Join(n.Calls, ", ")
	}
	return [][2]string{{capital(w.T("carried")), calls}, {w.T("device_numbers"), n.given(n.Doc.Plan.Home.DeviceIDs)}}
}

func (n HomeNote) where() [][2]string {
	w, d := n.Words, n.Doc
	rows := [][2]string{{w.T("route"), flat(d.Name()) + ", " + w.road(d.Survey.LengthM(), 0)}}
	a, z := d.Survey.Samples[0], d.Survey.Samples[len(d.Survey.Samples)-1]
	rows = append(rows, [2]string{w.T("starts_ends"), fmt.Sprintf("%.5f, %.5f; %.5f, %.5f", a.Lat, a.Lon, z.Lat, z.Lon)})
	for _, s := range d.Plan.Stops {
		what := w.T("stop_at", w.at(s.AtM, 0))
		if s.Night {
			what = w.T("camp_at", w.at(s.AtM, 0))
		}
		rows = append(rows, [2]string{n.given(s.Name), what})
	}
	for _, r := range w.dayRows(d.Judgement.Supplies.Days, n.zone()) {
		rows = append(rows, [2]string{capital(w.T("day")) + " " + r[0].text, w.unit(units.Distance) + nbsp + r[1].text + ", " + r[2].text + "–" + r[3].text + "; " + w.T("day_night") + ": " + r[8].text})
	}
	for i, l := range d.Judgement.Legs {
		f := facts.Of(d.Survey, l.Leg)
		end := d.Survey.Samples[d.Survey.Legs[l.Leg].To]
		t := fmt.Sprintf("%s, %s; %s", w.stretch(f.FromM, f.ToM, 0), w.groundShares(f), w.T("ends_at", end.Lat, end.Lon))
		if l.Needs.ArriveUnix > 0 {
			at := time.Unix(l.Needs.ArriveUnix, 0).In(n.zone())
			t += "; " + w.T("there_about", w.weekday(at)+" "+at.Format("15:04"))
		}
		if f.WorstRoadIndex >= 0 && f.RoadM >= 5000 {
			p := d.Survey.Samples[f.WorstRoadIndex]
			t += "; " + w.T("way_out_at", w.road(f.RoadM, 0), p.RoadAt[1], p.RoadAt[0])
		}
		rows = append(rows, [2]string{w.legTitle(i, f), t})
	}
	return rows
}

func (n HomeNote) remarks() part {
	if r := flat(n.Doc.Plan.Home.Remarks); r != "" {
		return part{head: n.Words.T("remarks"), rows: [][2]string{{"", r}}}
	}
	return part{}
}

func (n HomeNote) startText() string {
	t := n.Doc.Plan.Trip.Conditions.Start
	if t.IsZero() {
		return n.Words.T("not_given")
	}
	return n.Words.moment(t.Unix(), t.Location())
}

// flat keeps user text on one line.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func (n HomeNote) title() string {
	t := n.Words.T("home_title")
	if c := flat(n.Doc.Plan.Home.Contact); c != "" {
		t += ": " + c
	}
	return t
}

func (n HomeNote) made() string {
	return n.Words.T("made", n.Words.date(n.Made.UTC())+n.Made.UTC().Format(", 15:04 UTC"))
}

// Text writes the note as plain text.
func (n HomeNote) Text(w io.Writer) error {
	p := &printer{w: w}
	p.f("%s\n%s. %s.\n", flat(n.Doc.Name()), n.title(), n.made())
	for _, q := range n.parts() {
		if q.head == "" {
			continue
		}
		p.f("\n%s\n", strings.ToUpper(q.head))
		for _, r := range q.rows {
			if r[0] == "" {
				p.f("  %s\n", flat(r[1]))
				continue
			}
			p.f("  %s: %s\n", flat(r[0]), flat(r[1]))
		}
		for i, s := range q.steps {
			p.f("  %d. %s\n", i+1, flat(s))
		}
	}
	p.f("\n%s\n", n.Words.T("caution"))
	return p.err
}

// PDF writes the note as a PDF.
func (n HomeNote) PDF(w io.Writer) error {
	p, err := n.Pages()
	if err != nil {
		return err
	}
	_, err = p.WriteTo(w)
	return err
}

// Pages lays out the printed note.
func (n HomeNote) Pages() (*Pages, error) {
	w := n.Words
	s, err := newSheet(n.Size, w.T("home_title")+": "+n.Doc.Name(), n.made()+" · "+w.T("home_foot"), n.Made, w)
	if err != nil {
		return nil, err
	}
	s.lost = n.lost
	s.newPage()
	s.title(0, n.title(), 0)
	s.text(n.Doc.Name(), 11, false, soft, 0)
	s.y += 4
	for _, q := range n.parts() {
		switch {
		case q.head == "":
		case q.loud:
			var t []string
			for i, x := range q.steps {
				t = append(t, fmt.Sprintf("%d. %s", i+1, x))
			}
			s.head(q.head, 100)
			s.panel(t, 10, warnBed, warn)
		default:
			s.head(q.head, 30)
			var rows [][]cell
			for _, r := range q.rows {
				loud := r[0] == w.T("call_latest")
				rows = append(rows, []cell{{text: r[0], bold: loud}, {text: r[1], bold: loud}})
			}
			s.table([]tableColumn{{"", 1.2, false}, {"", 4, false}}, rows, 9)
		}
	}
	s.y += 6
	s.text(w.T("caution"), 8, false, warn, 0)
	s.confess()
	return s.finish(), nil
}
