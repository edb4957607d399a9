package window

import (
	"errors"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/risk"
)

// showPick lists what can be compared, and how variants are kept, renamed, taken up and forgotten.
func (s *togetherScreen) showPick() {
	s.pick.Objects = nil
	defer s.pick.Refresh()
	if s.p.doc == nil {
		return
	}
	pl := &s.p.plan
	full := pl.Compared() >= risk.MostVariants
	var rows []fyne.CanvasObject
	line := func(name, note string, on, can bool, why string, set func(*trip.Plan, bool), more ...fyne.CanvasObject) {
		c := widget.NewCheck(name, nil)
		c.Checked = on
		switch {
		case !can:
			c.Disable()
			note = why
		case !on && full:
			c.Disable()
			note = tr("Four are compared already; switch one off first.")
		}
		c.OnChanged = func(v bool) {
			what := tr("Compare “{{.Name}}”", with("Name", name))
			if !v {
				what = tr("Leave “{{.Name}}” out", with("Name", name))
			}
			s.p.Edit(what, "", func(pl *trip.Plan) { set(pl, v) })
		}
		rows = append(rows, container.NewBorder(nil, nil, nil, container.NewHBox(more...), c))
		if note != "" {
			rows = append(rows, soft(note))
		}
	}
	line(tr("alone"), "", !pl.Compare.NoAlone, true, "", func(pl *trip.Plan, v bool) { pl.Compare.NoAlone = !v })
	line(tr("together"), "", !pl.Compare.NoTogether && pl.Trip.Partner != nil, pl.Trip.Partner != nil, tr("Add a second vehicle on the Party screen first."),
		func(pl *trip.Plan, v bool) { pl.Compare.NoTogether = !v })
	for i, v := range pl.Compare.Variants {
		icon := func(res fyne.Resource, tip string, f func()) fyne.CanvasObject {
			return widget.NewButtonWithIcon(tip, res, f)
		}
		line(v.Name, s.differs(v.Trip), !v.Off, true, "", func(pl *trip.Plan, on bool) {
			if i < len(pl.Compare.Variants) {
				pl.Compare.Variants[i].Off = !on
			}
		}, icon(theme.DocumentCreateIcon(), tr("Name"), func() { s.rename(i) }),
			icon(theme.ConfirmIcon(), tr("Take"), func() { s.take(i) }),
			icon(theme.DeleteIcon(), tr("Forget"), func() { s.forget(i) }))
	}
	keep := newAction(tr("Keep the trip as it is now…"), theme.ContentAddIcon(), s.keep)
	from := newAction(tr("From a saved trip…"), theme.FolderOpenIcon(), s.openVariant)
	why := ""
	if len(pl.Compare.Variants) >= trip.MostKept {
		keep.Disable()
		from.Disable()
		why = tr("{{.N}} variants are kept, no more fit: forget one first.", with("N", trip.MostKept))
	}
	rows = append(rows, container.New(&even{gap: 4}, keep, from))
	if why != "" {
		rows = append(rows, soft(why))
	}
	if len(s.names) > 2 {
		sel := widget.NewSelect(s.names, nil)
		sel.SetSelectedIndex(min(s.base, len(s.names)-1))
		sel.OnChanged = func(string) {
			s.base = max(0, sel.SelectedIndex())
			s.show()
		}
		rows = append(rows, container.New(pairRow{}, prose(tr("Set against")), sel))
	}
	s.pick.Add(card(tr("What is compared"), rows...))
}

// ask for a name, then do it.
func (s *togetherScreen) named(title, name string, do func(string)) {
	win := windowOf(s.root)
	if win == nil {
		return
	}
	e := widget.NewEntry()
	e.SetText(name)
	d := dialog.NewForm(title, tr("Keep it"), tr("Cancel"), []*widget.FormItem{widget.NewFormItem(tr("Name"), e)}, func(ok bool) {
		if n := strings.TrimSpace(e.Text); ok && n != "" {
			do(n)
		}
	}, win)
	d.Resize(fyne.NewSize(420, 150))
	s.p.present(win, d)
	win.Canvas().Focus(e)
}

func (s *togetherScreen) keep() {
	s.named(tr("Keep the trip as it is now"), tr("as of now"), func(name string) {
		name = notFixed(name)
		s.p.Edit(tr("Keep the variant “{{.Name}}”", with("Name", name)), "", func(pl *trip.Plan) { pl.KeepVariant(name) })
	})
}

func (s *togetherScreen) rename(i int) {
	s.named(tr("Rename the variant"), s.p.plan.Compare.Variants[i].Name, func(name string) {
		for k, v := range s.p.plan.Compare.Variants {
			if k != i && v.Name == name || name == tr("alone") || name == tr("together") {
				s.p.tell(tr("Rename the variant"), errors.New(tr("Another one has this name already.")))
				return
			}
		}
		s.p.Edit(tr("Rename the variant"), "", func(pl *trip.Plan) {
			if i < len(pl.Compare.Variants) {
				pl.Compare.Variants[i].Name = name
			}
		})
	})
}

func (s *togetherScreen) forget(i int) {
	s.p.Edit(tr("Forget “{{.Name}}”", with("Name", s.p.plan.Compare.Variants[i].Name)), "", func(pl *trip.Plan) {
		if i < len(pl.Compare.Variants) {
			pl.Compare.Variants = append(pl.Compare.Variants[:i:i], pl.Compare.Variants[i+1:]...)
		}
	})
}

// take makes a variant the trip as it is; the trip as it was takes its place among the variants, so that
// nothing is lost.
func (s *togetherScreen) take(i int) {
	name := s.p.plan.Compare.Variants[i].Name
	s.p.Edit(tr("Take “{{.Name}}”", with("Name", name)), "", func(pl *trip.Plan) { pl.TakeUp(i, tr("before “{{.Name}}”", with("Name", name))) })
}

func (s *togetherScreen) openVariant() {
	win := windowOf(s.root)
	if win == nil {
		return
	}
	d := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
		switch {
		case err != nil:
			s.p.tell(tr("From a saved trip"), err)
		case r != nil:
			path := filepath.FromSlash(r.URI().Path())
			r.Close()
			s.takeFile(path)
		}
	}, win)
	d.SetFilter(storage.NewExtensionFileFilter([]string{".trip"}))
	d.SetTitleText(tr("A saved trip whose party, load and season are compared"))
	d.Resize(fyne.NewSize(760, 500))
	s.p.present(win, d)
}

// takeFile reads a saved trip in a worker and keeps its party, load and season as a variant.
func (s *togetherScreen) takeFile(path string) {
	d := s.p.doc
	s.p.workers.Add(1)
	go func() {
		defer s.p.workers.Done()
		saved, err := guarded(func() (trip.Saved, error) { return trip.ReadSaved(path) })
		s.p.post(func() {
			if err != nil {
				s.p.tell(tr("From a saved trip"), err)
				return
			}
			if s.p.doc == nil || d == nil {
				return
			}
			name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
			s.p.Edit(tr("Compare with {{.Name}}", with("Name", name)), "", func(pl *trip.Plan) {
				if v, err := pl.TakeVariant(saved.Plan, notFixed(name)); err == nil {
					pl.Compare.Variants = append(pl.Compare.Variants, v)
				}
			})
		})
	}()
}

// notFixed keeps a variant's name apart from those of the two columns that are always there.
func notFixed(name string) string {
	if name == tr("alone") || name == tr("together") {
		return name + " 2"
	}
	return name
}
