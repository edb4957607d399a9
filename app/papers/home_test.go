package papers

import (
	"archive/zip"
	"bytes"
	"io"
	"os/exec"
	"strings"
	"testing"
	"time"

	"lastroad/app/trip"
	"lastroad/risk"
)

func noteText(t *testing.T, s *Set) string {
	t.Helper()
	var b bytes.Buffer
	if err := s.home().Text(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Medical notes go out only when the user ticked it; on every paper, not the note alone.
func TestMedicalNotesOnlyWhenTicked(t *testing.T) {
	const secret = "xylophone-allergy"
	for _, ticked := range []bool{false, true} {
		s := with(t, func(p *trip.Plan) {
			p.Home.Medical = ticked
			p.Trip.Party.People[0].Conditions = secret
		})
		s.Scene = bare(s)
		for _, p := range List {
			if strings.HasSuffix(p.File, ".png") {
				continue // pixels
			}
			var b bytes.Buffer
			if err := p.Write(&b, s); err != nil {
				t.Fatal(err)
			}
			text := b.String()
			if strings.HasSuffix(p.File, ".xlsx") {
				text = unzipped(t, b.Bytes())
			}
			if strings.HasSuffix(p.File, ".pdf") {
				if _, err := exec.LookPath("pdftotext"); err != nil {
					continue
				}
				text = run(t, "pdftotext", write(t, s, p.Key), "-")
			}
			has := strings.Contains(text, secret)
			if want := ticked && strings.HasPrefix(p.Key, "home"); has != want {
				t.Errorf("ticked %v: %s holds the medical note: %v, want %v", ticked, p.Key, has, want)
			}
		}
	}
}

// What public trip-plan forms ask for stands in the note (the lists named at [HomeNote.parts]).
func TestTheNoteHoldsWhatTripPlanFormsAskFor(t *testing.T) {
	s := with(t, func(p *trip.Plan) {
		p.Home = trip.Home{Contact: "Aunt Wren", ContactPhone: "555 0101", CallFirst: "Ombrel police 555 0199", CallSecond: "rescue centre 555 0198", VehicleLook: "sand-coloured, green awning",
			Plate: "AB 123", OwnPhones: "555 0100", DeviceIDs: "beacon 1D0E", Remarks: "Back for Jory's birthday", Medical: true}
		p.Trip.Party.People[0].Conditions = "bee stings"
		p.Trip.Party.Vehicle.TyreSize = "265/70R16"
	})
	text := noteText(t, s)
	for _, want := range []struct{ what, text string }{
		{"names", "Mara"}, {"ages", "41 years"}, {"experience", "changing a wheel"}, {"who drives", "driver"}, {"medical", "bee stings"}, {"phones", "555 0100"},
		{"vehicle", "Mid-size wagon"}, {"looks", "green awning"}, {"plate", "AB 123"}, {"tyres", "265/70R16"}, {"fuel range", "enough fuel for about"},
		{"route", "Isker and Hollin Gap loop, 228 km"}, {"start", "Sat 20 Mar 2027 07:30 -07:00 (14:30 UTC)"}, {"end of the route", "Planned end"}, {"ways out", "way out: maintained road"},
		{"nights", "Thistle Camp: camp for the night"}, {"legs with ground", "salt crust"}, {"leg ends", "ends at -31."},
		{"food", "trail food"}, {"water", "70 L of water"}, {"shelter", "shade"}, {"cold gear", "sleeping bag"}, {"first aid", "first aid"},
		{"communications", "satellite messenger"}, {"device numbers", "beacon 1D0E"}, {"whom to call first", "Ombrel police 555 0199, then rescue centre 555 0198"},
		{"steps when a check-in is missed", "wait one hour"}, {"do not search yourself", "Do not drive in yourself"}, {"tell when back", "report that they are out"},
		{"hour to worry", "Worry from"}, {"hour to call", "CALL AT THE LATEST"}, {"remarks", "birthday"}, {"the contact", "Aunt Wren"},
	} {
		if !strings.Contains(text, want.text) {
			t.Errorf("the note lacks %s (%q)", want.what, want.text)
		}
	}
}

// With check-ins and hours worked out they stand in the note, at the route's time and in UTC; without, there are
// lines to fill in by hand.
func TestCheckInsAndOverdueHour(t *testing.T) {
	s := demoSet(t)
	d, j := *s.Doc, *s.Doc.Judgement
	zone := time.FixedZone("", -7*3600)
	j.CheckIns = []risk.CheckIn{{Title: "evening of day 1, Thistle Camp", Unix: time.Date(2027, 3, 20, 19, 0, 0, 0, zone).Unix()}}
	j.WorryUnix = time.Date(2027, 3, 22, 18, 0, 0, 0, zone).Unix()
	j.OverdueUnix = time.Date(2027, 3, 22, 21, 30, 0, 0, zone).Unix()
	d.Judgement = &j
	s.Doc = &d
	text := noteText(t, s)
	for _, want := range []string{
		"evening of day 1, Thistle Camp: Sat 20 Mar 2027 19:00 -07:00 (Sun 02:00 UTC)",
		"Worry from: Mon 22 Mar 2027 18:00 -07:00 (Tue 01:00 UTC)",
		"CALL AT THE LATEST: Mon 22 Mar 2027 21:30 -07:00 (Tue 04:30 UTC)",
		"If you have not heard from them by Mon 22 Mar 2027 21:30 -07:00 (Tue 04:30 UTC), call Ombrel police",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the note lacks %q:\n%s", want, text)
		}
	}
	j.CheckIns, j.WorryUnix, j.OverdueUnix = nil, 0, 0
	text = noteText(t, s)
	if !strings.Contains(text, "____") || !strings.Contains(text, "agree on an hour") {
		t.Error("without an overdue hour the note has no line to fill in")
	}
	if strings.Contains(text, "1970") || strings.Contains(text, "0001") {
		t.Error("a time that was not planned is printed as a date")
	}
}

func TestTheNoteReadsWellWithoutAnything(t *testing.T) {
	s := with(t, func(p *trip.Plan) {
		p.Home = trip.Home{}
		p.Stops = nil
		p.Trip.Conditions.Start = time.Time{}
		p.Trip.Party.People = nil
	})
	d, j := *s.Doc, *s.Doc.Judgement
	j.Legs = append([]risk.LegJudgement(nil), j.Legs...)
	for i := range j.Legs {
		j.Legs[i].Needs.ArriveUnix = 0
	}
	j.CheckIns, j.WorryUnix, j.OverdueUnix = nil, 0, 0
	d.Judgement, s.Doc, s.Calls, s.Care = &j, &d, nil, nil
	text := noteText(t, s)
	for _, bad := range []string{"NaN", "%!", "1970", "0001", ": \n", ":  "} {
		if strings.Contains(text, bad) {
			t.Errorf("the empty note holds %q:\n%s", bad, text)
		}
	}
	for _, want := range []string{"not given", "they cannot call for help"} {
		if !strings.Contains(text, want) {
			t.Errorf("the empty note lacks %q", want)
		}
	}
	write(t, s, "home")
	write(t, s, "book")
}

// unzipped is all text of a zip, one part after the other.
func unzipped(t *testing.T, data []byte) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		io.Copy(&out, r)
		r.Close()
	}
	return out.String()
}
