package papers

import (
	"fmt"
	"io"
	"strings"
	"time"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// HomeNote is what the person at home gets: who, what, where, when, and what to do when nothing is heard.
type HomeNote struct {
	Doc  *trip.Document
	Made time.Time
	Size string // paper
	// Calls are the items carried that reach somebody ("satellite messenger", "two-way radio").
	Calls []string
}

// part is one part of the note: a heading, and rows or steps.
type part struct {
	head  string
	rows  [][2]string
	steps []string
}

// parts is the content of the note. It covers what public trip-plan forms ask for: people, vehicle,
// route with times and ways out, supplies, communications, the hour to worry, the hour to call, and whom
// (trip intentions forms of New South Wales Police and National Parks, New Zealand Mountain Safety
// Council and Western Australia's parks service, as public).
func (n HomeNote) parts() []part {
	d := n.Doc
	p, h, c := d.Plan.Trip.Party, d.Plan.Home, d.Plan.Trip.Conditions
	zone := time.UTC
	if !c.Start.IsZero() {
		zone = c.Start.Location()
	}
	at := func(unix int64) string {
		if unix == 0 {
			return "not planned"
		}
		t := time.Unix(unix, 0)
		return t.In(zone).Format("Mon 2 Jan 15:04 -07:00") + " (" + t.UTC().Format("2 Jan 15:04") + " UTC)"
	}
	var out []part
	var people [][2]string
	list := func(who string, ps []risk.Person) {
		for _, q := range ps {
			t := fmt.Sprintf("%s years", dec(q.AgeY, 0))
			if h.Medical && q.Conditions != "" {
				t += "; medical: " + q.Conditions
			}
			if len(q.Skills) > 0 {
				t += "; trained in " + strings.ReplaceAll(strings.Join(q.Skills, ", "), "_", " ")
			}
			people = append(people, [2]string{orUnknown(q.Name) + who, t})
		}
	}
	list("", p.People)
	if d.Plan.Trip.Together && d.Plan.Trip.Partner != nil {
		list(" (second vehicle)", d.Plan.Trip.Partner.People)
	}
	out = append(out, part{head: "Who travels", rows: append(people, [2]string{"Phones", orUnknown(h.OwnPhones)})})

	vehicle := [][2]string{{"Vehicle", orUnknown(p.Vehicle.Name)}, {"Looks", orUnknown(h.VehicleLook)}, {"Plate", orUnknown(h.Plate)}, {"Tyres", orUnknown(p.Vehicle.TyreSize)}}
	if d.Plan.Trip.Together && d.Plan.Trip.Partner != nil {
		vehicle = append(vehicle, [2]string{"Second vehicle", orUnknown(d.Plan.Trip.Partner.Vehicle.Name)})
	}
	vehicle = append(vehicle, [2]string{"Carried", fmt.Sprintf("water %s L, fuel %s L at the start", dec(d.Judgement.Load.WaterL, 0), dec(d.Judgement.Load.FuelL, 0))})
	out = append(out, part{head: "Vehicle and supplies", rows: vehicle})

	calls := "none: they cannot call for help from the route"
	if len(n.Calls) > 0 {
		calls = strings.Join(n.Calls, ", ")
	}
	out = append(out, part{head: "How they can be reached", rows: [][2]string{{"Carried", calls}, {"Device numbers", orUnknown(h.DeviceIDs)}}})

	route := [][2]string{{"Route", fmt.Sprintf("%s, %s km", d.Name(), dec(d.Survey.LengthM()/1000, 0))}, {"Leaves", startText(c.Start)}}
	for i, l := range d.Judgement.Legs {
		f := facts.Of(d.Survey, l.Leg)
		end := d.Survey.Samples[d.Survey.Legs[l.Leg].To]
		t := fmt.Sprintf("km %s to %s, %s; ends at %.5f, %.5f", dec(f.FromM/1000, 0), dec(f.ToM/1000, 0), groundWords(f), end.Lat, end.Lon)
		if l.Needs.ArriveUnix != 0 {
			t += "; there about " + at(l.Needs.ArriveUnix)
		}
		route = append(route, [2]string{fmt.Sprintf("Leg %d %s", i+1, f.Name), t})
	}
	for _, s := range d.Plan.Stops {
		what := "stop"
		if s.Night {
			what = "camp for the night"
		}
		route = append(route, [2]string{s.Name, fmt.Sprintf("%s at km %s", what, dec(s.AtM/1000, 0))})
	}
	out = append(out, part{head: "Where they go", rows: route})

	checks := [][2]string{}
	for _, k := range d.Judgement.CheckIns {
		checks = append(checks, [2]string{k.Title, at(k.Unix)})
	}
	if d.Judgement.OverdueUnix != 0 {
		checks = append(checks, [2]string{"Worry from", at(d.Judgement.WorryUnix)}, [2]string{"CALL AT THE LATEST", at(d.Judgement.OverdueUnix)})
	} else {
		checks = append(checks, [2]string{"Overdue hour", "no start time was given: agree on an hour and write it here: ____________"})
	}
	out = append(out, part{head: "When you should hear from them", rows: checks})

	out = append(out, part{head: "What to do", steps: []string{
		"A check-in is missed: try to reach them by every means above, then the other people they may have spoken to. A missed message alone is common and no emergency.",
		"Nobody knows anything: wait one hour, and try everything again.",
		"The hour to call has come, or a distress signal has reached you: call " + orUnknown(h.CallFirst) + ", then " + orUnknown(h.CallSecond) + ". Say that a party in a vehicle is overdue, and read this note to them from the top.",
		"Do not drive in yourself to look for them. Stay where you can be reached, and write down who you spoke to and when.",
		"When they report that they are out, tell everybody you called.",
	}})
	if h.Remarks != "" {
		out = append(out, part{head: "Remarks", steps: []string{h.Remarks}})
	}
	return out
}

func startText(t time.Time) string {
	if t.IsZero() {
		return "not given"
	}
	return t.Format("Mon 2 Jan 2006 15:04 -07:00") + " (" + t.UTC().Format("2 Jan 15:04") + " UTC)"
}

func orUnknown(t string) string {
	if strings.TrimSpace(t) == "" {
		return "not given"
	}
	return t
}

// Text writes the note as plain text.
func (n HomeNote) Text(w io.Writer) error {
	p := &printer{w: w}
	p.f("%s\nNote for the contact at home%s. Made %s.\n", flat(n.Doc.Name()), contactName(n.Doc), n.Made.UTC().Format("2 Jan 2006 15:04 UTC"))
	for _, q := range n.parts() {
		p.f("\n%s\n", strings.ToUpper(q.head))
		for _, r := range q.rows {
			p.f("  %s: %s\n", flat(r[0]), flat(r[1]))
		}
		for i, s := range q.steps {
			p.f("  %d. %s\n", i+1, flat(s))
		}
	}
	p.f("\n%s\n", report.Caution)
	return p.err
}

func contactName(d *trip.Document) string {
	if d.Plan.Home.Contact == "" {
		return ""
	}
	return ", " + flat(d.Plan.Home.Contact)
}

// flat keeps user text on one line.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// PDF writes the note as a PDF.
func (n HomeNote) PDF(w io.Writer) error {
	s, err := newSheet(n.Size, "Note for the contact at home: "+n.Doc.Name(), "Made "+n.Made.UTC().Format("2 Jan 2006 15:04 UTC")+" · keep it by the phone until they are back", n.Made)
	if err != nil {
		return err
	}
	s.newPage()
	s.title(0, "Note for the contact at home"+contactName(n.Doc), 0)
	s.text(n.Doc.Name(), 11, false, soft, 0)
	for _, q := range n.parts() {
		s.head(q.head, 30)
		var rows [][]cell
		for _, r := range q.rows {
			rows = append(rows, []cell{{text: r[0], bold: r[0] == strings.ToUpper(r[0])}, {text: r[1], bold: r[0] == strings.ToUpper(r[0])}})
		}
		if len(rows) > 0 {
			s.table([]tableColumn{{"", 1.2, false}, {"", 4, false}}, rows, 9)
		}
		for i, t := range q.steps {
			s.item(fmt.Sprintf("%d.", i+1), t, 9.5, ink)
		}
	}
	s.y += 6
	s.text(report.Caution, 8, false, soft, 0)
	if s.unprintable {
		s.text("Some letters cannot be written with the built-in typeface (Latin, Greek and Cyrillic) and stand here as a question mark; the plain-text note has them all.", 8, false, warn, 0)
	}
	return s.pdf.Output(w)
}
