package window

import (
	"errors"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// ownForm is the sheet of a thing of the user's own. Nothing of it reaches the trip before it is whole.
type ownForm struct {
	s      *loadScreen
	was    trip.OwnItem // the item edited; its key is "" for a new one
	name   *widget.Entry
	find   *widget.Entry
	stands *widget.Select
	keys   []string // of stands' options
	chosen string   // key of what it stands for
	place  *widget.Select
	lines  []*ownLine
	wll    *ownLine
	mbs    *ownLine
	length *ownLine
	trust  *widget.Label // what the ratings come to
	wrong  *widget.Label
	save   *widget.Button
	box    *fyne.Container
	done   func()
}

// ownLine is one figure of the form.
type ownLine struct {
	q         units.Quantity
	label     string
	low, high float64
	needed    bool
	entry     *widget.Entry
	put       func(*trip.OwnItem, float64)
	row       fyne.CanvasObject
}

func newOwnForm(s *loadScreen, was trip.OwnItem) *ownForm {
	f := &ownForm{s: s, was: was, chosen: was.StandsFor, name: widget.NewEntry(), find: widget.NewEntry(), trust: soft(""), wrong: soft("")}
	f.wrong.Importance = widget.DangerImportance
	f.name.SetText(was.Title)
	f.name.SetPlaceHolder(tr("What you call it"))
	f.find.SetPlaceHolder(tr("Search by name"))
	f.stands = widget.NewSelect(nil, nil)
	f.find.OnChanged = func(string) { f.options() }
	f.stands.OnChanged = func(string) {
		if i := f.stands.SelectedIndex(); i >= 0 && i < len(f.keys) {
			f.chosen = f.keys[i]
		}
		f.check()
	}
	keys, names := places()
	f.place = widget.NewSelect(names, nil)
	f.place.SetSelectedIndex(max(0, indexOf(keys, firstOf(was.Place, "rear"))))
	mass := f.line(tr("Mass of each"), units.Mass, 0.001, catalogue.MaxMassKg, true, was.MassKg, func(o *trip.OwnItem, v float64) { o.MassKg = v })
	volume := f.line(tr("Room it takes"), units.Volume, 0, 2000, false, was.VolumeL, func(o *trip.OwnItem, v float64) { o.VolumeL = v })
	f.wll = f.line(tr("Working load stamped on it (WLL)"), units.Force, 0.1, 1000, false, was.WLLKN, func(o *trip.OwnItem, v float64) { o.WLLKN = v })
	f.mbs = f.line(tr("Breaking strength stamped on it (MBS)"), units.Force, 0.1, 1000, false, was.MBSKN, func(o *trip.OwnItem, v float64) { o.MBSKN = v })
	f.length = f.line(tr("Length"), units.Length, 0.1, 500, false, was.LengthM, func(o *trip.OwnItem, v float64) { o.LengthM = v })
	pair := func(label string, o fyne.CanvasObject) fyne.CanvasObject {
		return container.New(pairRow{}, prose(label), o)
	}
	f.save = widget.NewButtonWithIcon(tr("Keep it"), theme.ConfirmIcon(), f.keep)
	f.save.Importance = widget.HighImportance
	f.name.OnChanged = func(string) { f.check() }
	f.box = container.New(column{gap: 3},
		pair(tr("Name"), f.name),
		pair(tr("Stands for"), container.NewBorder(nil, nil, nil, nil, container.NewVBox(f.find, f.stands))),
		soft(tr("Remedies use it in the place of what it stands for. A thing that stands for nothing counts for its mass alone.")),
		mass.row, volume.row, pair(tr("Where"), f.place), f.wll.row, f.mbs.row, f.length.row, f.trust, f.wrong)
	f.options()
	return f
}

func (f *ownForm) line(label string, q units.Quantity, low, high float64, needed bool, v float64, put func(*trip.OwnItem, float64)) *ownLine {
	l := &ownLine{q: q, label: label, low: low, high: high, needed: needed, entry: widget.NewEntry(), put: put}
	l.entry.SetPlaceHolder(f.s.p.format().Symbol(q))
	if v > 0 {
		l.entry.SetText(f.s.p.format().Edit(q, v))
	}
	l.entry.OnChanged = func(string) { f.check() }
	l.row = container.New(pairRow{}, prose(label), l.entry)
	f.lines = append(f.lines, l)
	return l
}

// options lists what it may stand for, by what is searched for.
func (f *ownForm) options() {
	want := strings.ToLower(strings.TrimSpace(f.find.Text))
	f.keys = []string{""}
	names := []string{tr("nothing: its mass alone")}
	for _, it := range f.s.p.desk.Catalogue().Items {
		name := spoken(it.Title)
		if want != "" && it.Key != f.chosen && !strings.Contains(strings.ToLower(name+" "+groupName(it.Group)), want) {
			continue
		}
		f.keys, names = append(f.keys, it.Key), append(names, said(groupName(it.Group), name))
	}
	f.stands.Options = names
	f.stands.SetSelectedIndex(max(0, indexOf(f.keys, f.chosen)))
	f.check()
}

// item reads the form; the error says in words what is missing or wrong.
func (f *ownForm) item() (trip.OwnItem, error) {
	o := trip.OwnItem{Key: f.was.Key, Title: strings.TrimSpace(f.name.Text), StandsFor: f.chosen}
	keys, _ := places()
	o.Place = keys[max(0, f.place.SelectedIndex())]
	if o.Title == "" {
		return o, errors.New(tr("Type what you call it."))
	}
	for _, l := range f.lines {
		text := strings.TrimSpace(l.entry.Text)
		if text == "" {
			if l.needed {
				return o, errors.New(tr("{{.What}}: type a figure.", with("What", l.label)))
			}
			continue
		}
		if !l.row.Visible() {
			continue
		}
		v, err := f.s.p.format().ParseIn(l.q, text, units.Range{Low: l.low, High: l.high})
		if err != nil {
			return o, errors.New(l.label + ": " + err.Error())
		}
		l.put(&o, v)
	}
	if o.Key == "" {
		o.Key = trip.OwnKey(o.Title, f.s.p.plan.Own)
	}
	for _, have := range f.s.p.plan.Own {
		if have.Key != o.Key && strings.EqualFold(have.Title, o.Title) {
			return o, errors.New(tr("You have a thing of that name already."))
		}
	}
	// The catalogue has the last word.
	pl := trip.Plan{Own: []trip.OwnItem{o}}
	if _, err := pl.Catalogue(f.s.p.desk.Catalogue()); err != nil {
		return o, err
	}
	return o, nil
}

// check shows what is wrong, and what the ratings come to.
func (f *ownForm) check() {
	if f.save == nil {
		return
	}
	force := false
	if it, ok := f.s.p.desk.Catalogue().Item(f.chosen); ok {
		force = it.Force
		show(f.length.row, it.LengthM > 0)
	} else {
		f.length.row.Hide()
	}
	show(f.wll.row, force)
	show(f.mbs.row, force)
	o, err := f.item()
	f.trust.SetText("")
	if force {
		kn, how := risk.WorkingKN(f.s.p.desk.Catalogue(), f.chosen, o.WLLKN, o.MBSKN)
		if kn > 0 {
			f.trust.SetText("⚠ " + tr("Counted with {{.F}}: {{.How}}. Only what is stamped on the piece itself counts; leave both empty when it cannot be read.",
				map[string]any{"F": f.s.p.format().Format(units.Force, kn), "How": spoken(how)}))
		} else {
			f.trust.SetText("⚠ " + tr("Without a readable rating it is carried and never used in a recovery."))
		}
	}
	if err != nil {
		f.wrong.SetText(err.Error())
		f.save.Disable()
	} else {
		f.wrong.SetText("")
		f.save.Enable()
	}
	f.box.Refresh()
}

func show(o fyne.CanvasObject, on bool) {
	if on == o.Visible() {
		return
	}
	if on {
		o.Show()
	} else {
		o.Hide()
	}
}

// keep puts the thing into the trip: a new one is carried at once.
func (f *ownForm) keep() {
	o, err := f.item()
	if err != nil {
		f.check()
		return
	}
	w, fresh := f.s.whose, f.was.Key == ""
	what := tr("Change {{.What}}", with("What", o.Title))
	if fresh {
		what = tr("Add {{.What}}", with("What", o.Title))
	}
	f.s.p.Edit(what, "", func(pl *trip.Plan) {
		if fresh {
			pl.Own = append(pl.Own, o)
			addItem(w.of(pl), risk.LoadItem{Item: o.Key, Count: 1})
			return
		}
		if have, ok := pl.OwnItem(o.Key); ok {
			*have = o
		}
	})
	if f.done != nil {
		f.done()
	}
}

// ownSheet opens the form in a sheet over the window.
func (s *loadScreen) ownSheet(was trip.OwnItem) {
	win := windowOf(s.root)
	if win == nil || s.p.doc == nil {
		return
	}
	f := newOwnForm(s, was)
	title := tr("A thing of your own")
	if was.Key != "" {
		title = was.Title
	}
	var d *dialog.CustomDialog
	buttons := []fyne.CanvasObject{widget.NewButtonWithIcon(tr("Cancel"), theme.CancelIcon(), func() { d.Hide() })}
	if was.Key != "" {
		buttons = append(buttons, widget.NewButtonWithIcon(tr("Forget this thing"), theme.DeleteIcon(), func() {
			s.forgetOwn(was)
			d.Hide()
		}))
	}
	d = dialog.NewCustomWithoutButtons(title, container.NewVScroll(f.box), win)
	d.SetButtons(append(buttons, f.save))
	f.done = func() { d.Hide() }
	z := win.Canvas().Size()
	d.Resize(fyne.NewSize(min(580, z.Width*0.9), min(560, z.Height*0.85)))
	s.p.present(win, d)
	win.Canvas().Focus(f.name)
}

// forgetOwn takes a thing of the user's own out of the list and out of both loads.
func (s *loadScreen) forgetOwn(o trip.OwnItem) {
	s.p.Edit(tr("Forget {{.What}}", with("What", o.Title)), "", func(pl *trip.Plan) {
		for i := range pl.Own {
			if pl.Own[i].Key == o.Key {
				pl.Own = append(pl.Own[:i:i], pl.Own[i+1:]...)
				break
			}
		}
		strip := func(p *risk.Party) {
			if p == nil {
				return
			}
			var kept []risk.LoadItem
			for _, l := range p.Load {
				if l.Item != o.Key {
					kept = append(kept, l)
				}
			}
			p.Load = kept
		}
		strip(&pl.Trip.Party)
		strip(pl.Trip.Partner)
		for i := range pl.Compare.Variants {
			strip(&pl.Compare.Variants[i].Trip.Party)
			strip(pl.Compare.Variants[i].Trip.Partner)
		}
	})
}
