package window

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
)

// partyScreen is who goes, in what, when, and who knows of it.
type partyScreen struct {
	p       *Presenter
	root    *fyne.Container
	people  [2]*fyne.Container
	shown   [2]int // people of own and second vehicle shown
	partner *fyne.Container
	hasTwo  bool
}

// which party a field edits.
type whose int

const (
	own whose = iota
	second
)

func (w whose) of(pl *trip.Plan) *risk.Party {
	if w == own {
		return &pl.Trip.Party
	}
	if pl.Trip.Partner == nil {
		return &risk.Party{}
	}
	return pl.Trip.Partner
}

func newPartyScreen(p *Presenter) *partyScreen {
	s := &partyScreen{p: p, shown: [2]int{-1, -1}}
	for i := range s.people {
		s.people[i] = container.New(column{gap: 6})
	}
	s.partner = container.New(column{gap: 8})
	left := container.New(column{gap: 8}, card(tr("People"), s.people[own], s.addButton(own)), s.days(), s.home())
	mid := container.New(column{gap: 8}, s.vehicle(own, tr("The vehicle")))
	s.root = container.NewStack(container.NewVScroll(container.New(&columns{gap: 10, least: 360}, left, mid, s.partner)))
	p.Watch(func(c Change) {
		if c&(PlanChanged|DocChanged) != 0 {
			s.update()
		}
	})
	s.update()
	return s
}

func (s *partyScreen) object() fyne.CanvasObject { return s.root }

// update rebuilds lists whose length changed; fields follow the plan by themselves.
func (s *partyScreen) update() {
	for _, w := range []whose{own, second} {
		if n := len(w.of(&s.p.plan).People); n != s.shown[w] {
			s.shown[w] = n
			s.people[w].Objects = nil
			for i := range n {
				s.people[w].Add(s.person(w, i))
			}
			s.people[w].Refresh()
		}
	}
	two := s.p.plan.Trip.Partner != nil
	if two != s.hasTwo || len(s.partner.Objects) == 0 {
		s.hasTwo = two
		s.partner.Objects = nil
		if two {
			remove := newAction(tr("Leave the second vehicle out"), theme.DeleteIcon(), func() {
				s.p.Edit(tr("Leave the second vehicle out"), "", func(pl *trip.Plan) { pl.Trip.Partner, pl.Trip.Together = nil, false })
			})
			s.partner.Add(s.vehicle(second, tr("The second vehicle")))
			s.partner.Add(card(tr("Its people"), s.people[second], s.addButton(second), remove))
		} else {
			add := newAction(tr("Add a second vehicle"), theme.ContentAddIcon(), func() {
				s.p.Edit(tr("Add a second vehicle"), "", func(pl *trip.Plan) {
					pl.Trip.Partner = &risk.Party{Vehicle: risk.Vehicle{Name: tr("Second vehicle"), Class: pl.Trip.Party.Vehicle.Class},
						People: []risk.Person{{Name: tr("Driver"), AgeY: 40, Driver: true}}}
				})
			})
			s.partner.Add(card(tr("A second vehicle"), prose(tr("With a second vehicle in question every leg can be judged alone and together.")), add))
		}
		s.partner.Refresh()
	}
}

func (s *partyScreen) addButton(w whose) fyne.CanvasObject {
	return newAction(tr("Add a person"), theme.ContentAddIcon(), func() {
		s.p.Edit(tr("Add a person"), "", func(pl *trip.Plan) {
			pt := w.of(pl)
			pt.People = append(pt.People, risk.Person{Name: tr("Person {{.N}}", with("N", len(pt.People)+1)), AgeY: 40})
		})
	})
}

// person is the fields of one person.
func (s *partyScreen) person(w whose, i int) fyne.CanvasObject {
	at := func(pl *trip.Plan) *risk.Person {
		if people := w.of(pl).People; i < len(people) {
			return &people[i]
		}
		return &risk.Person{}
	}
	id := fmt.Sprintf("person%d.%d.", w, i)
	name := textField(s.p, id+"name", tr("Name"), "", func(pl *trip.Plan) string { return at(pl).Name }, func(pl *trip.Plan, t string) { at(pl).Name = t })
	age := newQuantityField(s.p, fieldSpec{id: id + "age", label: tr("Age, years"), quantity: units.Number, low: 0, high: 110,
		get: func(pl *trip.Plan) float64 { return at(pl).AgeY }, set: func(pl *trip.Plan, v float64) { at(pl).AgeY = v }})
	mass := newQuantityField(s.p, fieldSpec{id: id + "mass", label: tr("Mass"), quantity: units.Mass, low: 2, high: 250,
		get: func(pl *trip.Plan) float64 { return at(pl).MassKg }, set: func(pl *trip.Plan, v float64) { at(pl).MassKg = v },
		standard: func(pl *trip.Plan) float64 {
			return s.filled(w, func(pt *risk.Party) float64 { return personMass(pt, i) })
		}})
	driver := checkField(s.p, tr("Drives"), func(pl *trip.Plan) bool { return at(pl).Driver }, func(pl *trip.Plan, v bool) { at(pl).Driver = v })
	used := checkField(s.p, tr("Used to the heat"), func(pl *trip.Plan) bool { return at(pl).Acclimatised }, func(pl *trip.Plan, v bool) { at(pl).Acclimatised = v })
	skills := widget.NewButtonWithIcon("", theme.AccountIcon(), nil)
	skills.Alignment = widget.ButtonAlignLeading
	label := func() {
		t := tr("Trained for: nothing yet")
		if k := at(&s.p.plan).Skills; len(k) > 0 {
			t = tr("Trained for {{.N}} things", with("N", len(k)))
		}
		if skills.Text != t {
			skills.SetText(t)
		}
	}
	s.p.Watch(func(c Change) {
		if c&(PlanChanged|DocChanged) != 0 {
			label()
		}
	})
	label()
	skills.OnTapped = func() { s.skillSheet(at, skills) }
	notes := textField(s.p, id+"notes", tr("Medical notes"), tr("for the papers only, never judged"), func(pl *trip.Plan) string { return at(pl).Conditions }, func(pl *trip.Plan, t string) { at(pl).Conditions = t })
	remove := widget.NewButtonWithIcon("", theme.DeleteIcon(), func() {
		s.p.Edit(tr("Leave a person out"), "", func(pl *trip.Plan) {
			pt := w.of(pl)
			if i < len(pt.People) {
				pt.People = append(pt.People[:i:i], pt.People[i+1:]...)
			}
		})
	})
	remove.Importance = widget.LowImportance
	return container.NewStack(newPanel(theme.ColorNameBackground, 4), container.NewPadded(container.New(column{gap: 1},
		name, age, mass, container.NewBorder(nil, nil, nil, remove, container.NewHBox(driver, used)), skills, notes)))
}

func personMass(pt *risk.Party, i int) float64 {
	if i < len(pt.People) {
		return pt.People[i].MassKg
	}
	return math.NaN()
}

// filled reads a value from the plan with the defaults put in where nothing is given.
func (s *partyScreen) filled(w whose, get func(*risk.Party) float64) float64 {
	t, ok := s.p.filledTrip()
	if !ok {
		return math.NaN()
	}
	if w == own {
		return get(&t.Party)
	}
	if t.Partner == nil {
		return math.NaN()
	}
	return get(t.Partner)
}

// filledTrip is the plan's trip with every field that the user gave left out of nothing: the defaults
// where nothing is given. It is worked out once for each plan.
func (p *Presenter) filledTrip() (risk.Trip, bool) {
	if s := p.Survey(); p.fillRev != p.rev || p.fillOf != s || !p.fillOK {
		t, _, err := p.plan.Trip.FillAt(p.desk.Catalogue(), risk.SiteOf(s))
		p.fill, p.fillRev, p.fillOf, p.fillOK = t, p.rev, s, err == nil
	}
	return p.fill, p.fillOK
}

// skillSheet lets the skills of a person be ticked.
func (s *partyScreen) skillSheet(at func(*trip.Plan) *risk.Person, near fyne.CanvasObject) {
	box := container.New(column{})
	for _, k := range s.p.desk.Catalogue().Skills {
		key := k.Key
		c := widget.NewCheck(capital(tr(k.Title)), nil)
		c.Checked = indexOf(at(&s.p.plan).Skills, key) >= 0
		c.OnChanged = func(on bool) {
			s.p.Edit(tr("Change what a person is trained for"), "", func(pl *trip.Plan) {
				pe := at(pl)
				i := indexOf(pe.Skills, key)
				switch {
				case on && i < 0:
					pe.Skills = append(pe.Skills, key)
				case !on && i >= 0:
					pe.Skills = append(pe.Skills[:i:i], pe.Skills[i+1:]...)
				}
			})
		}
		box.Add(c)
	}
	win := windowOf(near)
	if win == nil {
		return
	}
	d := dialog.NewCustom(tr("Trained for"), tr("Close"), box, win)
	d.Resize(fyne.NewSize(460, 380))
	s.p.present(win, d)
}

// windowOf is the window that shows o, nil when none does.
func windowOf(o fyne.CanvasObject) fyne.Window {
	d := fyne.CurrentApp().Driver()
	c := d.CanvasForObject(o)
	for _, w := range d.AllWindows() {
		if w.Canvas() == c {
			return w
		}
	}
	return nil
}

// vehicleFigure is one figure of a vehicle that can be edited.
type vehicleFigure struct {
	name      string // field of risk.Vehicle, as Fill lists it
	label     string
	quantity  units.Quantity
	low, high float64
	at        func(*risk.Vehicle) *float64
}

// vehicleFigures in groups as they are shown. The ranges are what can be typed, wide enough for anything on
// four wheels from a light two-seater to a loaded expedition lorry: judgement.
func vehicleFigures() []struct {
	title string
	list  []vehicleFigure
} {
	return []struct {
		title string
		list  []vehicleFigure
	}{
		{tr("Masses and limits"), []vehicleFigure{
			{"KerbKg", tr("Kerb mass, tank full"), units.Mass, 500, 12000, func(v *risk.Vehicle) *float64 { return &v.KerbKg }},
			{"GVMKg", tr("Permitted mass"), units.Mass, 700, 20000, func(v *risk.Vehicle) *float64 { return &v.GVMKg }},
			{"FrontAxleKg", tr("Permitted front axle"), units.Mass, 300, 10000, func(v *risk.Vehicle) *float64 { return &v.FrontAxleKg }},
			{"RearAxleKg", tr("Permitted rear axle"), units.Mass, 300, 12000, func(v *risk.Vehicle) *float64 { return &v.RearAxleKg }},
			{"RoofKg", tr("Permitted roof load"), units.Mass, 0, 1000, func(v *risk.Vehicle) *float64 { return &v.RoofKg }},
		}},
		{tr("Recovery"), []vehicleFigure{
			{"FrontPointKN", tr("Front point, rating"), units.Force, 1, 500, func(v *risk.Vehicle) *float64 { return &v.FrontPointKN }},
			{"RearPointKN", tr("Rear point, rating"), units.Force, 1, 500, func(v *risk.Vehicle) *float64 { return &v.RearPointKN }},
		}},
		{tr("Fuel and cooling"), []vehicleFigure{
			{"TankL", tr("Tank"), units.Volume, 10, 800, func(v *risk.Vehicle) *float64 { return &v.TankL }},
			{"SealedLPer100", tr("Use on sealed road, loaded"), units.Consumption, 3, 60, func(v *risk.Vehicle) *float64 { return &v.SealedLPer100 }},
			{"CoolantL", tr("Coolant"), units.Volume, 2, 60, func(v *risk.Vehicle) *float64 { return &v.CoolantL }},
		}},
		{tr("Tyres"), []vehicleFigure{
			{"FrontKPa", tr("Placard front, cold"), units.Pressure, 80, 700, func(v *risk.Vehicle) *float64 { return &v.FrontKPa }},
			{"RearKPa", tr("Placard rear, cold"), units.Pressure, 80, 800, func(v *risk.Vehicle) *float64 { return &v.RearKPa }},
		}},
		{tr("Size and shape"), []vehicleFigure{
			{"ClearanceM", tr("Clearance"), units.Small, 0.08, 0.7, func(v *risk.Vehicle) *float64 { return &v.ClearanceM }},
			{"WheelbaseM", tr("Wheelbase"), units.Length, 1.5, 6, func(v *risk.Vehicle) *float64 { return &v.WheelbaseM }},
			{"TrackM", tr("Track width"), units.Length, 1, 2.6, func(v *risk.Vehicle) *float64 { return &v.TrackM }},
			{"CGHeightM", tr("Centre of gravity, height"), units.Length, 0.3, 2, func(v *risk.Vehicle) *float64 { return &v.CGHeightM }},
			{"ApproachDeg", tr("Approach angle"), units.Angle, 5, 70, func(v *risk.Vehicle) *float64 { return &v.ApproachDeg }},
			{"BreakoverDeg", tr("Breakover angle"), units.Angle, 5, 60, func(v *risk.Vehicle) *float64 { return &v.BreakoverDeg }},
			{"DepartureDeg", tr("Departure angle"), units.Angle, 5, 70, func(v *risk.Vehicle) *float64 { return &v.DepartureDeg }},
			{"WadingM", tr("Wading depth"), units.Small, 0.1, 2, func(v *risk.Vehicle) *float64 { return &v.WadingM }},
			{"AgeY", tr("Age, years"), units.Number, 0, 80, func(v *risk.Vehicle) *float64 { return &v.AgeY }},
		}},
	}
}

func (s *partyScreen) vehicle(w whose, title string) fyne.CanvasObject {
	at := func(pl *trip.Plan) *risk.Vehicle { return &w.of(pl).Vehicle }
	id := fmt.Sprintf("vehicle%d.", w)
	var keys, names []string
	for _, c := range s.p.desk.Catalogue().Vehicles.Classes {
		keys, names = append(keys, c.Key), append(names, capital(tr(c.Title)))
	}
	rows := []fyne.CanvasObject{
		textField(s.p, id+"name", tr("Name"), "", func(pl *trip.Plan) string { return at(pl).Name }, func(pl *trip.Plan, t string) { at(pl).Name = t }),
		choiceField(s.p, tr("Kind"), keys, names, func(pl *trip.Plan) string { return firstOf(at(pl).Class, keys[0]) }, func(pl *trip.Plan, k string) { at(pl).Class = k }),
		soft(tr("Grey figures are typical of the kind. The plate and the handbook know better: type what they say.")),
		textField(s.p, id+"tyres", tr("Tyre size"), s.tyreHint(w), func(pl *trip.Plan) string { return at(pl).TyreSize }, func(pl *trip.Plan, t string) { at(pl).TyreSize = t }),
	}
	for _, g := range vehicleFigures() {
		t := plainText(g.title)
		t.TextStyle.Bold = true
		rows = append(rows, t)
		if g.list[0].name == "FrontPointKN" {
			rows = append(rows,
				checkField(s.p, tr("Has a front point made for recovery"), func(pl *trip.Plan) bool { return at(pl).HasFrontPoint }, func(pl *trip.Plan, v bool) { at(pl).HasFrontPoint = v }),
				checkField(s.p, tr("Has a rear point made for recovery"), func(pl *trip.Plan) bool { return at(pl).HasRearPoint }, func(pl *trip.Plan, v bool) { at(pl).HasRearPoint = v }),
				soft("⚠ "+tr("Tie-down eyes and tow balls are no recovery points. Only what the maker says is made for it counts.")))
		}
		for _, f := range g.list {
			rows = append(rows, newQuantityField(s.p, fieldSpec{id: id + f.name, label: f.label, quantity: f.quantity, low: f.low, high: f.high,
				get: func(pl *trip.Plan) float64 { return *f.at(at(pl)) }, set: func(pl *trip.Plan, v float64) { *f.at(at(pl)) = v },
				standard: func(*trip.Plan) float64 {
					return s.filled(w, func(pt *risk.Party) float64 { return *f.at(&pt.Vehicle) })
				}}))
		}
	}
	rows = append(rows, checkField(s.p, tr("Service is overdue"), func(pl *trip.Plan) bool { return at(pl).ServiceOverdue }, func(pl *trip.Plan, v bool) { at(pl).ServiceOverdue = v }))
	return card(title, rows...)
}

func (s *partyScreen) tyreHint(w whose) string {
	if t, ok := s.p.filledTrip(); ok {
		if w == own {
			return t.Party.Vehicle.TyreSize
		}
		if t.Partner != nil {
			return t.Partner.Vehicle.TyreSize
		}
	}
	return ""
}

// days is the season and the day.
func (s *partyScreen) days() fyne.CanvasObject {
	temp := func(id, label string, at func(*risk.Conditions) *float64) fyne.CanvasObject {
		return newQuantityField(s.p, fieldSpec{id: id, label: label, quantity: units.Temperature, low: -45, high: 58,
			get: func(pl *trip.Plan) float64 { return *at(&pl.Trip.Conditions) }, set: func(pl *trip.Plan, v float64) { *at(&pl.Trip.Conditions) = v },
			standard: func(*trip.Plan) float64 {
				if t, ok := s.p.filledTrip(); ok {
					return *at(&t.Conditions)
				}
				return math.NaN()
			}})
	}
	water := choiceField(s.p, tr("Fords"), []string{"0", "0.5", "1", "1.5", "2"}, []string{tr("dry"), tr("low"), tr("as usual"), tr("high"), tr("in flood")},
		func(pl *trip.Plan) string { return nearestKey(pl.Trip.Conditions.WaterLevel, 0, 0.5, 1, 1.5, 2) },
		func(pl *trip.Plan, k string) { fmt.Sscan(k, &pl.Trip.Conditions.WaterLevel) })
	wet := choiceField(s.p, tr("Ground"), []string{"0", "0.2", "0.5", "0.8", "1"}, []string{tr("dry"), tr("mostly dry"), tr("damp"), tr("wet"), tr("soaked")},
		func(pl *trip.Plan) string { return nearestKey(pl.Trip.Conditions.Wetness, 0, 0.2, 0.5, 0.8, 1) },
		func(pl *trip.Plan, k string) { fmt.Sscan(k, &pl.Trip.Conditions.Wetness) })
	keys, names := []string{""}, []string{tr("the one usual at this latitude")}
	for _, c := range s.p.desk.Catalogue().Climates.List {
		keys, names = append(keys, c.Key), append(names, capital(tr(c.Title)))
	}
	climate := choiceField(s.p, tr("Climate"), keys, names, func(pl *trip.Plan) string { return pl.Trip.Conditions.Climate }, func(pl *trip.Plan, k string) { pl.Trip.Conditions.Climate = k })
	return card(tr("When and in what weather"),
		s.startField(),
		newQuantityField(s.p, fieldSpec{id: "cond.month", label: tr("Month, 1 to 12, while no start is set"), quantity: units.Number, low: 1, high: 12,
			get: func(pl *trip.Plan) float64 { return float64(pl.Trip.Conditions.Month) }, set: func(pl *trip.Plan, v float64) { pl.Trip.Conditions.Month = int(math.Round(v)) }}),
		climate,
		temp("cond.mean", tr("Mean of day and night"), func(c *risk.Conditions) *float64 { return &c.DayMeanC }),
		temp("cond.max", tr("Highest by day"), func(c *risk.Conditions) *float64 { return &c.DayMaxC }),
		temp("cond.min", tr("Lowest by night"), func(c *risk.Conditions) *float64 { return &c.NightMinC }),
		temp("cond.adverse", tr("Worst of the season"), func(c *risk.Conditions) *float64 { return &c.AdverseC }),
		wet, water,
		checkField(s.p, tr("Humid air"), func(pl *trip.Plan) bool { return pl.Trip.Conditions.Humid }, func(pl *trip.Plan, v bool) { pl.Trip.Conditions.Humid = v }),
		checkField(s.p, tr("Repairs may run into the night"), func(pl *trip.Plan) bool { return pl.Trip.Policy.AcceptNight }, func(pl *trip.Plan, v bool) { pl.Trip.Policy.AcceptNight = v }),
	)
}

func nearestKey(v float64, keys ...float64) string {
	best := keys[0]
	for _, k := range keys {
		if math.Abs(k-v) < math.Abs(best-v) {
			best = k
		}
	}
	return strconv.FormatFloat(best, 'f', -1, 64)
}

// startLayouts are the ways a start may be typed.
var startLayouts = []string{"2006-01-02 15:04", "2006-01-02 15.04", "2006-01-02"}

// startField is the planned departure in the route's own time.
func (s *partyScreen) startField() fyne.CanvasObject {
	e := newFocusEntry()
	e.SetPlaceHolder(tr("2027-03-20 07:30"))
	applying := false
	show := func() {
		if s.p.doc == nil || e.focused {
			return
		}
		t := ""
		if st := s.p.plan.Trip.Conditions.Start; !st.IsZero() {
			t = st.Format(startLayouts[0])
		}
		if t != e.Text {
			applying = true
			e.SetText(t)
			applying = false
		}
	}
	e.OnChanged = func(text string) {
		if applying || s.p.doc == nil {
			return
		}
		c := s.p.plan.Trip.Conditions
		var at time.Time
		if text = strings.TrimSpace(text); text != "" {
			zone := time.FixedZone("", int(c.Utcoffset*3600))
			if !c.Start.IsZero() {
				zone = c.Start.Location()
			}
			var err error
			for _, l := range startLayouts {
				if at, err = time.ParseInLocation(l, text, zone); err == nil {
					break
				}
			}
			if err != nil {
				e.SetValidationError(errors.New(tr("write year-month-day hours:minutes")))
				return
			}
		}
		e.SetValidationError(nil)
		if !at.Equal(c.Start) {
			s.p.Edit(tr("Start"), "field:start", func(pl *trip.Plan) { pl.Trip.Conditions.Start = at })
		}
	}
	e.onLost = show
	s.p.Watch(func(c Change) {
		if c&(PlanChanged|DocChanged) != 0 {
			show()
		}
	})
	show()
	return container.New(pairRow{}, prose(tr("Start, local time there")), e)
}

// home is who is left at home.
func (s *partyScreen) home() fyne.CanvasObject {
	field := func(id, label, hint string, at func(*trip.Home) *string) fyne.CanvasObject {
		return textField(s.p, "home."+id, label, hint, func(pl *trip.Plan) string { return *at(&pl.Home) }, func(pl *trip.Plan, t string) { *at(&pl.Home) = t })
	}
	rules := s.p.desk.Catalogue().Supply.ReserveRules()
	var keys, names []string
	standard := ""
	for _, r := range rules {
		keys, names = append(keys, r.Key), append(names, capital(tr(r.Title)))
		if r.Default {
			standard = r.Key
			names[len(names)-1] += " (" + tr("default") + ")"
		}
	}
	return card(tr("Who raises the alarm"),
		newQuantityField(s.p, fieldSpec{id: "fuel.detour", label: tr("Detours to allow for between fuel"), quantity: units.Distance, low: 0, high: 5e6,
			get: func(pl *trip.Plan) float64 { return pl.Trip.Policy.DetourKm * 1000 }, set: func(pl *trip.Plan, v float64) { pl.Trip.Policy.DetourKm = v / 1000 }}),
		choiceField(s.p, tr("Spare fuel"), keys, names, func(pl *trip.Plan) string { return firstOf(pl.Trip.Policy.ReserveRule, standard) }, func(pl *trip.Plan, k string) { pl.Trip.Policy.ReserveRule = k }),
		checkField(s.p, tr("Somebody at home knows the plan"), func(pl *trip.Plan) bool { return pl.Trip.Policy.ContactAtHome }, func(pl *trip.Plan, v bool) { pl.Trip.Policy.ContactAtHome = v }),
		checkField(s.p, tr("A phone works along the whole route"), func(pl *trip.Plan) bool { return pl.Trip.Policy.PhoneCoverage }, func(pl *trip.Plan, v bool) { pl.Trip.Policy.PhoneCoverage = v }),
		newQuantityField(s.p, fieldSpec{id: "home.wait", label: tr("Waits after the planned end"), quantity: units.Duration, low: 900, high: 14 * 86400,
			get: func(pl *trip.Plan) float64 { return pl.Trip.Policy.AgreedWaitH * 3600 }, set: func(pl *trip.Plan, v float64) { pl.Trip.Policy.AgreedWaitH = v / 3600 },
			standard: func(*trip.Plan) float64 {
				if t, ok := s.p.filledTrip(); ok {
					return t.Policy.AgreedWaitH * 3600
				}
				return math.NaN()
			}}),
		field("contact", tr("Contact"), "", func(h *trip.Home) *string { return &h.Contact }),
		field("phone", tr("Their phone"), "", func(h *trip.Home) *string { return &h.ContactPhone }),
		field("first", tr("They call first"), tr("police, rescue centre"), func(h *trip.Home) *string { return &h.CallFirst }),
		field("second", tr("and then"), "", func(h *trip.Home) *string { return &h.CallSecond }),
		field("look", tr("The vehicle looks like"), tr("colour, rack, trailer"), func(h *trip.Home) *string { return &h.VehicleLook }),
		field("plate", tr("Plate"), "", func(h *trip.Home) *string { return &h.Plate }),
		field("own", tr("Own phones"), "", func(h *trip.Home) *string { return &h.OwnPhones }),
		field("devices", tr("Beacon and messenger numbers"), "", func(h *trip.Home) *string { return &h.DeviceIDs }),
		field("remarks", tr("Remarks"), "", func(h *trip.Home) *string { return &h.Remarks }),
	)
}
