package window

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// drives is the user's own log: what was driven and what was met, and what that does to the rates.
type drives struct {
	s     *shell
	log   trip.UserLog
	list  *fyne.Container
	rates *fyne.Container
	use   *fyne.Container
	box   fyne.CanvasObject

	back, again *wrapButton
	sheet       fyne.CanvasObject // that shows it
	took        bool              // of tookRev: the trip was last told to be judged with the log or without
	tookRev     uint64
}

func newDrives(s *shell) (*drives, error) {
	d := &drives{s: s, list: container.New(column{gap: 3}), rates: container.New(column{gap: 1}), use: container.New(column{gap: 4})}
	var err error
	if d.log, err = trip.ReadLog(); err != nil {
		return nil, err
	}
	add := newAction(tr("Add a drive…"), theme.ContentAddIcon(), func() { d.form(trip.Drive{Date: time.Now().Format(time.DateOnly)}, -1) })
	route := newAction(tr("Add this route as driven…"), theme.NavigateNextIcon(), func() {
		d.form(trip.DriveOf(s.p.doc, time.Now().Format(time.DateOnly)), -1)
	})
	why := soft("")
	if s.p.doc == nil {
		route.Disable()
		why.SetText(tr("Open a route to add it as driven."))
	} else {
		why.Hide()
	}
	d.back, d.again = newAction(tr("Undo"), theme.ContentUndoIcon(), d.undo), newAction(tr("Redo"), theme.ContentRedoIcon(), d.redo)
	left := container.NewBorder(container.New(column{gap: 4}, prose(tr("Kilometres without a trouble count as much as a trouble does: write down both.")), container.New(&even{gap: 4}, add, route), why,
		container.New(&even{gap: 4}, d.back, d.again)), nil, nil, nil, container.NewVScroll(d.list))
	right := container.NewVScroll(container.New(column{gap: 6}, d.use, d.rates))
	split := container.NewHSplit(container.New(fixed{260, 120}, left), container.New(fixed{280, 120}, right))
	split.Offset = 0.42
	d.box = split
	d.show()
	return d, nil
}

func (d *drives) show() {
	d.list.Objects, d.rates.Objects, d.use.Objects = nil, nil, nil
	defer func() { d.list.Refresh(); d.rates.Refresh(); d.use.Refresh() }()
	f := d.s.p.format()
	for i, dr := range d.log.Drives {
		km := 0.0
		for _, v := range dr.Km {
			km += v
		}
		var met []string
		for _, t := range dr.Troubles {
			if t.Count > 0 {
				met = append(met, trim(t.Count)+" × "+d.hazard(t.Hazard))
			}
		}
		note := f.Format(units.Distance, km*1000)
		if len(met) > 0 {
			note += " · " + strings.Join(met, ", ")
		} else {
			note += " · " + tr("no trouble")
		}
		title := prose(strings.TrimSuffix(dr.Date+"  "+dr.Note, "  "))
		title.TextStyle.Bold = true
		edit := widget.NewButtonWithIcon("", theme.DocumentCreateIcon(), func() { d.form(dr, i) })
		drop := widget.NewButtonWithIcon("", theme.DeleteIcon(), func() {
			if err := d.change(func(l *trip.UserLog) error {
				if i < len(l.Drives) && l.Drives[i].Date == dr.Date && l.Drives[i].Note == dr.Note {
					l.Drives = slices.Delete(l.Drives, i, i+1)
				}
				return nil
			}); err != nil {
				d.s.showError(tr("Your log"), err)
			}
		})
		d.list.Add(container.NewBorder(nil, nil, nil, container.NewHBox(container.NewCenter(edit), container.NewCenter(drop)), container.New(tight{}, title, soft(note))))
	}
	if len(d.log.Drives) == 0 {
		d.list.Add(prose(tr("Nothing is in your log yet.")))
	} else {
		d.list.Add(newAction(tr("Empty the log…"), theme.DeleteIcon(), d.reset))
	}
	d.showUse()
	d.showRates()
	for b, can := range map[*wrapButton]bool{d.back: d.canUndo(), d.again: d.canRedo()} {
		if can {
			b.Enable()
		} else {
			b.Disable()
		}
	}
}

func (d *drives) hazard(key string) string {
	for _, h := range d.s.p.desk.Catalogue().Hazards {
		if h.Key == key {
			return spoken(h.Title)
		}
	}
	return key
}

// showUse says whether the open trip is judged with the log.
func (d *drives) showUse() {
	p := d.s.p
	lines := d.log.Lines(p.desk.Catalogue())
	if p.doc == nil {
		d.use.Add(soft(tr("Open a route to judge it with your log.")))
		return
	}
	switch {
	case len(p.plan.Log) == 0 && len(lines) == 0:
		d.use.Add(soft(tr("This trip is judged with the rates of the tables.")))
	case len(p.plan.Log) == 0:
		d.use.Add(prose(tr("This trip is judged with the rates of the tables.")))
		d.use.Add(newAction(tr("Judge this trip with my log"), theme.ConfirmIcon(), func() { d.take(lines) }))
	case !slices.Equal(p.plan.Log, lines):
		d.use.Add(prose(tr("This trip is judged with a log other than yours is now.")))
		if len(lines) > 0 {
			d.use.Add(newAction(tr("Take over my log as it is now"), theme.ViewRefreshIcon(), func() { d.take(lines) }))
		}
		d.use.Add(newAction(tr("Back to the rates of the tables"), theme.ContentUndoIcon(), func() { d.take(nil) }))
	default:
		d.use.Add(prose(tr("This trip is judged with your log.")))
		d.use.Add(newAction(tr("Back to the rates of the tables"), theme.ContentUndoIcon(), func() { d.take(nil) }))
	}
	d.use.Add(soft(tr("The sums of the log travel in the saved trip, so that it is judged alike on every computer.")))
}

func (d *drives) take(lines []trip.LogLine) {
	what := tr("Judge with my log")
	if len(lines) == 0 {
		what = tr("Judge with the rates of the tables")
	}
	d.s.p.Edit(what, "", func(pl *trip.Plan) { pl.Log = slices.Clone(lines) })
	d.took, d.tookRev = true, d.s.p.rev
	d.show()
}

// showRates sets the rates before and after side by side.
func (d *drives) showRates() {
	cat := d.s.p.desk.Catalogue()
	var entries []catalogue.LogEntry
	for _, l := range d.log.Lines(cat) {
		entries = append(entries, catalogue.LogEntry(l))
	}
	d.rates.Add(heading(tr("What your log does to the rates")))
	if len(entries) == 0 {
		d.rates.Add(soft(tr("Nothing yet. Rates are in troubles per 1000 km, per crossing, or per person and day.")))
		return
	}
	_, changes, err := cat.Learn(entries)
	if err != nil {
		d.rates.Add(prose(err.Error()))
		return
	}
	sh := shares{0.4, 0.3, 0.3}
	d.rates.Add(container.New(sh, caption(tr("mean, with 5 to 95 % of the median")), caption(tr("before")), caption(tr("after"))))
	g := func(v float64) string { return point(fmt.Sprintf("%.3g", v)) }
	for _, c := range changes {
		d.rates.Add(container.New(sh, prose(capital(spoken(c.Title))), prose(g(c.MeanBefore)+"  ("+g(c.Before.Low)+" – "+g(c.Before.High)+")"), prose(g(c.MeanAfter)+"  ("+g(c.After.Low)+" – "+g(c.After.High)+")")))
	}
	d.rates.Add(soft(tr("A rate of the tables is read as what is known before (gamma); troubles met and distance driven are added to it (Poisson). A few drives move it little: that is as it should be.")))
}

func (d *drives) reset() {
	c := dialog.NewConfirm(tr("Empty the log"), tr("All {{.N}} drives are taken out of your log. Undo brings them back, and the log as it is now stays beside it as log.toml.previous. Trips keep what they took over.", with("N", len(d.log.Drives))), func(yes bool) {
		if yes {
			if err := d.change(func(l *trip.UserLog) error { l.Drives = nil; return nil }); err != nil {
				d.s.showError(tr("Your log"), err)
			}
		}
	}, d.s.win)
	c.SetConfirmText(tr("Empty it"))
	c.SetDismissText(tr("Cancel"))
	d.s.p.present(d.s.win, c)
}

// driveForm is the sheet of one drive.
type driveForm struct {
	d        *drives
	at       int // index of the drive edited, -1 for a new one
	was      trip.Drive
	date     *widget.Entry
	note     *widget.Entry
	km       [geo.NumGrounds]*widget.Entry
	fords    *widget.Entry
	days     *widget.Entry
	troubles *fyne.Container
	rows     []*troubleRow
	wrong    *widget.Label
	box      *fyne.Container
}

type troubleRow struct {
	hazard, ground *widget.Select
	count          *widget.Entry
}

func newDriveForm(d *drives, dr trip.Drive, at int) *driveForm {
	f := &driveForm{d: d, at: at, was: dr, date: widget.NewEntry(), note: widget.NewEntry(), fords: widget.NewEntry(), days: widget.NewEntry(), troubles: container.New(column{gap: 3}), wrong: soft("")}
	f.wrong.Importance = widget.DangerImportance
	f.date.SetText(dr.Date)
	f.note.SetText(dr.Note)
	f.note.SetPlaceHolder(tr("Where, with whom"))
	fm := d.s.p.format()
	pair := func(label string, o fyne.CanvasObject) fyne.CanvasObject {
		return container.New(pairRow{}, prose(label), o)
	}
	grounds := container.New(&columns{gap: 6, least: 230})
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		f.km[g] = widget.NewEntry()
		f.km[g].SetPlaceHolder(fm.Symbol(units.Distance))
		if v := dr.Km[g.Key()]; v > 0 {
			f.km[g].SetText(fm.Edit(units.Distance, v*1000))
		}
		if g == geo.Ford {
			continue // crossings are counted, not measured
		}
		grounds.Add(pair(groundText(g), f.km[g]))
	}
	number := func(e *widget.Entry, v float64) {
		if v > 0 {
			e.SetText(trim(v))
		}
	}
	number(f.fords, dr.Crossings)
	number(f.days, dr.PersonDays)
	f.box = container.New(column{gap: 4}, pair(tr("Date, as 2026-03-01"), f.date), pair(tr("Note"), f.note),
		bold(tr("Driven, by ground")), grounds, pair(tr("Water crossings"), f.fords), pair(tr("People times days"), f.days),
		bold(tr("Troubles met")), soft(tr("Only what stopped you or would have, had you not ended it.")), f.troubles,
		newAction(tr("One more trouble"), theme.ContentAddIcon(), func() { f.addTrouble(trip.Trouble{Count: 1}) }), f.wrong)
	for _, t := range dr.Troubles {
		f.addTrouble(t)
	}
	return f
}

// hazards are those with a rate.
func (d *drives) hazards() (keys, names []string) {
	for _, h := range d.s.p.desk.Catalogue().Hazards {
		if h.Per != "trip" {
			keys, names = append(keys, h.Key), append(names, capital(spoken(h.Title)))
		}
	}
	return keys, names
}

func (f *driveForm) addTrouble(t trip.Trouble) {
	keys, names := f.d.hazards()
	var grounds []string
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		grounds = append(grounds, groundText(g))
	}
	r := &troubleRow{hazard: widget.NewSelect(names, nil), ground: widget.NewSelect(grounds, nil), count: widget.NewEntry()}
	r.hazard.SetSelectedIndex(max(0, indexOf(keys, t.Hazard)))
	if g, ok := geo.ParseGround(t.Ground); ok && g > geo.Unknown {
		r.ground.SetSelectedIndex(int(g - geo.Sealed))
	} else {
		r.ground.SetSelectedIndex(0)
	}
	r.count.SetText(trim(t.Count))
	var line fyne.CanvasObject
	drop := widget.NewButtonWithIcon("", theme.DeleteIcon(), func() {
		f.rows = slices.DeleteFunc(f.rows, func(x *troubleRow) bool { return x == r })
		f.troubles.Remove(line)
	})
	line = container.NewBorder(nil, nil, nil, drop, container.New(shares{0.42, 0.36, 0.22}, r.hazard, r.ground, r.count))
	f.rows = append(f.rows, r)
	f.troubles.Add(line)
}

// drive reads the form; the error says what is wrong in words.
func (f *driveForm) drive() (trip.Drive, error) {
	fm := f.d.s.p.format()
	dr := trip.Drive{Date: strings.TrimSpace(f.date.Text), Note: strings.TrimSpace(f.note.Text), Km: map[string]float64{}}
	read := func(e *widget.Entry, q units.Quantity, what string, most float64) (float64, error) {
		if strings.TrimSpace(e.Text) == "" {
			return 0, nil
		}
		v, err := fm.ParseIn(q, e.Text, units.Range{Low: 0, High: most})
		if err != nil {
			return 0, errors.New(what + ": " + err.Error())
		}
		return v, nil
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		v, err := read(f.km[g], units.Distance, groundText(g), 1e9)
		if err != nil {
			return dr, err
		}
		if v > 0 {
			dr.Km[g.Key()] = v / 1000
		}
	}
	var err error
	if dr.Crossings, err = read(f.fords, units.Number, tr("Water crossings"), 1e5); err != nil {
		return dr, err
	}
	if dr.PersonDays, err = read(f.days, units.Number, tr("People times days"), 1e5); err != nil {
		return dr, err
	}
	keys, _ := f.d.hazards()
	for _, r := range f.rows {
		n, err := read(r.count, units.Number, tr("Troubles met"), 1e4)
		if err != nil {
			return dr, err
		}
		if n == 0 {
			continue
		}
		t := trip.Trouble{Hazard: keys[max(0, r.hazard.SelectedIndex())], Count: n}
		for _, h := range f.d.s.p.desk.Catalogue().Hazards {
			if h.Key == t.Hazard && h.Per == "1000km" {
				t.Ground = (geo.Sealed + geo.Ground(max(0, r.ground.SelectedIndex()))).Key()
			}
		}
		dr.Troubles = append(dr.Troubles, t)
	}
	return dr, dr.Check(f.d.s.p.desk.Catalogue())
}

// keep writes the drive into the log.
func (f *driveForm) keep() bool {
	dr, err := f.drive()
	if err == nil {
		err = f.d.change(func(l *trip.UserLog) error {
			if f.at >= 0 && f.at < len(l.Drives) && l.Drives[f.at].Date == f.was.Date && l.Drives[f.at].Note == f.was.Note {
				l.Drives[f.at] = dr
			} else {
				l.Drives = append(l.Drives, dr)
			}
			return nil
		})
	}
	if err != nil {
		f.wrong.SetText(err.Error())
		f.box.Refresh()
		return false
	}
	return true
}

func (d *drives) form(dr trip.Drive, at int) {
	f := newDriveForm(d, dr, at)
	var dl *dialog.CustomDialog
	dl = dialog.NewCustomWithoutButtons(tr("A drive"), container.NewVScroll(f.box), d.s.win)
	ok := widget.NewButtonWithIcon(tr("Keep it"), theme.ConfirmIcon(), func() {
		if f.keep() {
			dl.Hide()
		}
	})
	ok.Importance = widget.HighImportance
	dl.SetButtons([]fyne.CanvasObject{widget.NewButtonWithIcon(tr("Cancel"), theme.CancelIcon(), func() { dl.Hide() }), ok})
	z := d.s.win.Canvas().Size()
	dl.Resize(fyne.NewSize(min(640, z.Width*0.9), min(620, z.Height*0.88)))
	d.s.p.present(d.s.win, dl)
}

func (s *shell) showDrives() {
	d, err := newDrives(s)
	if err != nil {
		s.showError(tr("Your log"), err)
		return
	}
	dl := dialog.NewCustom(tr("Your log of drives"), tr("Close"), d.box, s.win)
	z := s.win.Canvas().Size()
	dl.Resize(fyne.NewSize(min(1080, z.Width*0.94), z.Height*0.88))
	dl.SetOnClosed(func() { s.drives = nil })
	s.p.present(s.win, dl)
	s.drives, d.sheet = d, s.win.Canvas().Overlays().Top()
}
