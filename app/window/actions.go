package window

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// action is something the user can do. Menu, toolbar, shortcuts and the help page are all made from the one
// table of actions.
type action struct {
	id       string
	menu     string // title of its menu
	label    string
	icon     fyne.Resource
	shortcut fyne.Shortcut
	extra    []fyne.Shortcut
	tool     bool // stands in the toolbar
	gap      bool // a separator comes before it in the menu
	checked  func() bool
	// why says why the action cannot be done now, "" when it can.
	why func() string
	run func()

	item *fyne.MenuItem
}

func key(k fyne.KeyName, mods ...fyne.KeyModifier) fyne.Shortcut {
	m := fyne.KeyModifierShortcutDefault
	for _, x := range mods {
		m |= x
	}
	return &desktop.CustomShortcut{KeyName: k, Modifier: m}
}

func (s *shell) actionTable() []*action {
	p := s.p
	needDoc := func() string {
		if p.doc == nil {
			return tr("Open a route first.")
		}
		return ""
	}
	needLeg := func() string {
		if p.chosen < 0 {
			return tr("Choose a leg first.")
		}
		return ""
	}
	file, edit, view, tripMenu, help := tr("File"), tr("Edit"), tr("View"), tr("Trip"), tr("Help")
	list := []*action{
		{id: "open", menu: file, label: tr("Open…"), icon: theme.FolderOpenIcon(), shortcut: key(fyne.KeyO), tool: true, run: s.openDialog},
		{id: "demo", menu: file, label: tr("Open the demo trip"), run: s.openDemo},
		{id: "save", menu: file, label: tr("Save"), icon: theme.DocumentSaveIcon(), shortcut: key(fyne.KeyS), tool: true, gap: true, why: needDoc, run: s.save},
		{id: "save_as", menu: file, label: tr("Save as…"), shortcut: key(fyne.KeyS, fyne.KeyModifierShift), why: needDoc, run: s.saveAs},
		{id: "papers", menu: file, label: tr("Papers…"), icon: theme.DocumentPrintIcon(), shortcut: key(fyne.KeyP), gap: true, why: needDoc, run: func() { p.Show(4) }},
		{id: "quit", menu: file, label: tr("Quit"), shortcut: key(fyne.KeyQ), gap: true, run: s.quit},

		{id: "undo", menu: edit, label: tr("Undo"), icon: theme.ContentUndoIcon(), shortcut: &fyne.ShortcutUndo{}, tool: true, run: s.undo, why: func() string {
			if d := s.logOnTop(); focusedEntry(s.win.Canvas()) != nil || d != nil && d.canUndo() || d == nil && p.CanUndo() != "" {
				return ""
			}
			return tr("Nothing to undo.")
		}},
		{id: "redo", menu: edit, label: tr("Redo"), icon: theme.ContentRedoIcon(), shortcut: &fyne.ShortcutRedo{}, extra: []fyne.Shortcut{key(fyne.KeyZ, fyne.KeyModifierShift)}, tool: true, run: s.redo, why: func() string {
			if d := s.logOnTop(); focusedEntry(s.win.Canvas()) != nil || d != nil && d.canRedo() || d == nil && p.CanRedo() != "" {
				return ""
			}
			return tr("Nothing to do again.")
		}},
		{id: "cut", menu: edit, label: tr("Cut"), shortcut: &fyne.ShortcutCut{Clipboard: nil}, gap: true, run: s.toEntry(func(e *widget.Entry, c fyne.Clipboard) { e.TypedShortcut(&fyne.ShortcutCut{Clipboard: c}) })},
		{id: "copy", menu: edit, label: tr("Copy"), shortcut: &fyne.ShortcutCopy{Clipboard: nil}, run: s.toEntry(func(e *widget.Entry, c fyne.Clipboard) { e.TypedShortcut(&fyne.ShortcutCopy{Clipboard: c}) })},
		{id: "paste", menu: edit, label: tr("Paste"), shortcut: &fyne.ShortcutPaste{Clipboard: nil}, run: s.toEntry(func(e *widget.Entry, c fyne.Clipboard) { e.TypedShortcut(&fyne.ShortcutPaste{Clipboard: c}) })},
		{id: "settings", menu: edit, label: tr("Settings…"), icon: theme.SettingsIcon(), shortcut: key(fyne.KeyComma), gap: true, run: s.showSettings},

		{id: "screen1", menu: view, label: tr("Route"), shortcut: key(fyne.Key1), run: func() { p.Show(0) }},
		{id: "screen2", menu: view, label: tr("Party"), shortcut: key(fyne.Key2), run: func() { p.Show(1) }},
		{id: "screen3", menu: view, label: tr("Load"), shortcut: key(fyne.Key3), run: func() { p.Show(2) }},
		{id: "screen4", menu: view, label: tr("Alone or together"), shortcut: key(fyne.Key4), run: func() { p.Show(3) }},
		{id: "screen5", menu: view, label: tr("Papers"), shortcut: key(fyne.Key5), run: func() { p.Show(4) }},
		{id: "screen6", menu: view, label: tr("Recovery bench"), shortcut: key(fyne.Key6), run: func() { p.Show(screenBench) }},
		{id: "zoom_in", menu: view, label: tr("Zoom in"), icon: theme.ZoomInIcon(), shortcut: key(fyne.KeyEqual), gap: true, run: func() { s.mapv.ZoomIn() }},
		{id: "zoom_out", menu: view, label: tr("Zoom out"), icon: theme.ZoomOutIcon(), shortcut: key(fyne.KeyMinus), run: func() { s.mapv.ZoomOut() }},
		{id: "fit_all", menu: view, label: tr("Show the whole route"), icon: theme.ZoomFitIcon(), shortcut: key(fyne.Key0), why: needDoc, run: func() { s.mapv.FitAll() }},
		{id: "fit_leg", menu: view, label: tr("Show the chosen leg"), icon: theme.SearchIcon(), shortcut: key(fyne.KeyL), why: needLeg, run: func() { s.mapv.FitLeg() }},
		{id: "dark", menu: view, label: tr("Dark colours"), gap: true, shortcut: key(fyne.KeyD), run: s.toggleDark, checked: func() bool { return palette().Dark }},

		{id: "next", menu: tripMenu, label: tr("Next leg"), shortcut: key(fyne.KeyDown), why: needDoc, run: func() { p.Step(1) }},
		{id: "previous", menu: tripMenu, label: tr("Previous leg"), shortcut: key(fyne.KeyUp), why: needDoc, run: func() { p.Step(-1) }},
		{id: "no_leg", menu: tripMenu, label: tr("The whole trip"), shortcut: key(fyne.KeyBackspace), why: needLeg, run: func() { p.Choose(-1) }},
		{id: "together", menu: tripMenu, label: tr("With the second vehicle"), shortcut: key(fyne.KeyT), gap: true, run: func() { p.SetTogether(!p.plan.Trip.Together) },
			checked: func() bool { return p.plan.Trip.Together }, why: func() string {
				if p.doc == nil {
					return tr("Open a route first.")
				}
				if p.plan.Trip.Partner == nil {
					return tr("Add a second vehicle on the Party screen first.")
				}
				return ""
			}},
		{id: "draw", menu: tripMenu, label: tr("Draw a new route"), icon: theme.DocumentCreateIcon(), gap: true, shortcut: key(fyne.KeyR), why: needDoc, run: func() { s.draw(false) }},
		{id: "detour", menu: tripMenu, label: tr("Draw a detour"), shortcut: key(fyne.KeyE), why: needDoc, run: func() { s.draw(true) }},
		{id: "reverse", menu: tripMenu, label: tr("Drive the route the other way"), gap: true, why: needDoc, run: s.reverse},
		{id: "bench_leg", menu: tripMenu, label: tr("Put the chosen leg's recovery on the bench"), shortcut: key(fyne.KeyB), run: func() { p.toBench(p.chosen) }, why: func() string {
			if _, ok := p.pullOf(p.chosen); !ok {
				return tr("Choose a leg first.")
			}
			return ""
		}},
		{id: "rename", menu: tripMenu, label: tr("Rename the chosen leg…"), why: needLeg, run: s.renameLeg},
		{id: "lock", menu: tripMenu, label: tr("Lock the chosen leg, or unlock it"), why: needLeg, run: func() { p.lockLeg(p.chosen) }},
		{id: "clear_stretch", menu: tripMenu, label: tr("Unmark the stretch"), run: func() { p.SetStretch(math.NaN(), math.NaN()) }, why: func() string {
			if p.stretch[0] != p.stretch[0] {
				return tr("Drag along the strip to mark a stretch.")
			}
			return ""
		}},

		{id: "drives", menu: tripMenu, label: tr("Your log of drives…"), gap: true, shortcut: key(fyne.KeyG), run: s.showDrives},
		{id: "simulate", menu: tripMenu, label: tr("Check the readiness by playing trips…"), shortcut: key(fyne.KeyM), why: needDoc, run: s.showSimulation},
		{id: "register", menu: tripMenu, label: tr("What the program rests on…"), shortcut: key(fyne.KeyI), run: s.showRegister},

		{id: "keys", menu: help, label: tr("Keys and what they do"), icon: theme.HelpIcon(), shortcut: &desktop.CustomShortcut{KeyName: fyne.KeyF1}, tool: true, run: s.showKeys},
		{id: "legend", menu: help, label: tr("Signs and colours"), run: s.showLegend},
		{id: "tour", menu: help, label: tr("Show me round"), run: func() { s.tour.show(0) }},
		{id: "about", menu: help, label: tr("About"), run: s.showAbout},
		{id: "licences", menu: help, label: tr("Licences of what is built in"), run: s.showLicences},
	}
	return list
}

// do runs an action if it can be done now. A shortcut of a disabled menu item still arrives, so every way
// to an action goes through here.
func (s *shell) do(a *action) {
	if a.why != nil && a.why() != "" {
		s.status.SetText(a.why())
		return
	}
	a.run()
}

func (s *shell) action(id string) *action {
	for _, a := range s.actions {
		if a.id == id {
			return a
		}
	}
	panic("window: no action " + id)
}

// tip is an action's label with its keys, and why it cannot be done.
func (a *action) tip() string {
	t := a.label
	if k := keyText(a.shortcut); k != "" {
		t += "  (" + k + ")"
	}
	if a.why != nil {
		if w := a.why(); w != "" {
			t += " – " + w
		}
	}
	return t
}

func (s *shell) toolButton(id string) *toolButton {
	a := s.action(id)
	b := newToolButton(a.icon, s.tips, a.tip, func() { s.do(a) })
	s.tools[id] = b
	return b
}

func (s *shell) toolbar() fyne.CanvasObject {
	box := container.NewHBox()
	for _, a := range s.actions {
		if a.tool {
			b := s.toolButton(a.id)
			b.Importance = widget.LowImportance
			box.Add(b)
		}
	}
	return box
}

func (s *shell) buildMenu() {
	var menus []*fyne.Menu
	byTitle := map[string]*fyne.Menu{}
	for _, a := range s.actions {
		m := byTitle[a.menu]
		if m == nil {
			m = fyne.NewMenu(a.menu)
			byTitle[a.menu] = m
			menus = append(menus, m)
		}
		if a.gap {
			m.Items = append(m.Items, fyne.NewMenuItemSeparator())
		}
		a.item = fyne.NewMenuItem(a.label, func() { s.do(a) })
		a.item.Shortcut = a.shortcut
		a.item.Icon = a.icon
		if a.id == "quit" {
			a.item.IsQuit = true
		}
		m.Items = append(m.Items, a.item)
		if a.id == "open" {
			m.Items = append(m.Items, s.recentItem())
		}
		for _, e := range a.extra {
			s.win.Canvas().AddShortcut(e, func(fyne.Shortcut) { s.do(a) })
		}
	}
	s.menu = fyne.NewMainMenu(menus...)
	s.win.SetMainMenu(s.menu)
	s.refreshActions()
}

// refreshActions brings menus and buttons in line with what can be done.
func (s *shell) refreshActions() {
	changed := false
	for _, a := range s.actions {
		off := a.why != nil && a.why() != ""
		on := a.checked != nil && a.checked()
		if a.item != nil && (a.item.Disabled != off || a.item.Checked != on) {
			a.item.Disabled, a.item.Checked = off, on
			changed = true
		}
		if b := s.tools[a.id]; b != nil {
			if off && !b.Disabled() {
				b.Disable()
			} else if !off && b.Disabled() {
				b.Enable()
			}
		}
	}
	if changed && s.menu != nil {
		s.menu.Refresh()
	}
}

// undo and redo go to the entry that is being edited, to the log while its sheet is open, else to the trip.
func (s *shell) undo() {
	if e := focusedEntry(s.win.Canvas()); e != nil {
		e.Undo()
	} else if d := s.logOnTop(); d != nil {
		d.undo()
	} else {
		s.p.Undo()
	}
}

func (s *shell) redo() {
	if e := focusedEntry(s.win.Canvas()); e != nil {
		e.Redo()
	} else if d := s.logOnTop(); d != nil {
		d.redo()
	} else {
		s.p.Redo()
	}
}

// toEntry hands an editing command to the entry that has the focus.
func (s *shell) toEntry(f func(*widget.Entry, fyne.Clipboard)) func() {
	return func() {
		if e := focusedEntry(s.win.Canvas()); e != nil {
			f(e, fyne.CurrentApp().Clipboard())
		}
	}
}

// keyText is a shortcut as people read it.
func keyText(s fyne.Shortcut) string {
	switch k := s.(type) {
	case *desktop.CustomShortcut:
		t := ""
		if k.Modifier&fyne.KeyModifierControl != 0 {
			t += tr("Ctrl") + "+"
		}
		if k.Modifier&fyne.KeyModifierSuper != 0 {
			t += tr("Cmd") + "+"
		}
		if k.Modifier&fyne.KeyModifierAlt != 0 {
			t += tr("Alt") + "+"
		}
		if k.Modifier&fyne.KeyModifierShift != 0 {
			t += tr("Shift") + "+"
		}
		name := string(k.KeyName)
		if n, ok := map[fyne.KeyName]string{fyne.KeyEqual: "+", fyne.KeyMinus: "−", fyne.KeyComma: ",", fyne.KeyBackspace: "⌫", fyne.KeyUp: "↑", fyne.KeyDown: "↓"}[k.KeyName]; ok {
			name = n
		}
		return t + name
	case *fyne.ShortcutUndo:
		return tr("Ctrl") + "+Z"
	case *fyne.ShortcutRedo:
		return tr("Ctrl") + "+Y"
	case *fyne.ShortcutCut:
		return tr("Ctrl") + "+X"
	case *fyne.ShortcutCopy:
		return tr("Ctrl") + "+C"
	case *fyne.ShortcutPaste:
		return tr("Ctrl") + "+V"
	}
	return ""
}
