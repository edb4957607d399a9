package window

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
)

// filePaths keeps what lies on this computer: the program opens nothing from elsewhere.
func filePaths(uris []fyne.URI) (paths []string) {
	for _, u := range uris {
		if u.Scheme() == "file" {
			paths = append(paths, filepath.FromSlash(u.Path()))
		}
	}
	return paths
}

// wanted are the ends of the names of files that may be opened.
var wanted = []string{".gpx", ".geojson", ".json", ".trip", ".pbf", ".osm", ".gz", ".bz2", ".hgt", ".zip", ".tif", ".tiff"}

func (s *shell) openDialog() {
	d := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
		switch {
		case err != nil:
			s.showError(tr("Open"), err)
		case r == nil: // cancelled
		default:
			path := filepath.FromSlash(r.URI().Path())
			r.Close()
			s.rememberFolder(path)
			s.openPaths([]string{path})
		}
	}, s.win)
	d.SetFilter(storage.NewExtensionFileFilter(wanted))
	d.SetTitleText(tr("Open a route, a trip, a region or heights"))
	s.startIn(d)
	d.Resize(fyne.NewSize(760, 500))
	s.p.present(s.win, d)
}

// startIn shows the folder last used.
func (s *shell) startIn(d *dialog.FileDialog) {
	if s.pref == nil {
		return
	}
	if dir := s.pref.String(prefFolder); dir != "" {
		if l, err := storage.ListerForURI(storage.NewFileURI(dir)); err == nil {
			d.SetLocation(l)
		}
	}
}

func (s *shell) rememberFolder(path string) {
	if s.pref != nil {
		s.pref.SetString(prefFolder, filepath.Dir(path))
	}
}

// openPaths opens files, asking first when edits would be lost.
func (s *shell) openPaths(paths []string) {
	replaces := false
	for _, p := range paths {
		if k, err := trip.KindOf(p); err == nil && (k == trip.KindRoute || k == trip.KindTrip) {
			replaces = true
		}
	}
	open := func() {
		for _, p := range paths {
			s.remember(p)
		}
		s.p.OpenFiles(paths)
	}
	if replaces {
		s.unlessUnsaved(tr("Open another trip?"), open)
		return
	}
	open()
}

// drop opens files that were dropped on the window.
func (s *shell) drop(paths []string) {
	if len(paths) > 0 {
		s.openPaths(paths)
	}
}

func (s *shell) openDemo() { s.unlessUnsaved(tr("Open the demo trip?"), s.p.OpenDemo) }

// unlessUnsaved runs f at once, or after asking when there are edits that no file holds.
func (s *shell) unlessUnsaved(title string, f func()) {
	if !s.p.Unsaved() {
		f()
		return
	}
	d := dialog.NewConfirm(title, tr("The changes to “{{.Name}}” are not saved. Undo brings them back as long as this window is open.", with("Name", s.p.doc.Name())), func(yes bool) {
		if yes {
			f()
		}
	}, s.win)
	d.SetConfirmText(tr("Go on"))
	d.SetDismissText(tr("Stay here"))
	s.p.present(s.win, d)
}

// --- recent files ---

const maxRecent = 9

func (s *shell) recents() []string {
	if s.pref == nil {
		return nil
	}
	return s.pref.StringList(prefRecents)
}

func (s *shell) remember(path string) {
	if s.pref == nil {
		return
	}
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	list := []string{path}
	for _, r := range s.recents() {
		if r != path && len(list) < maxRecent {
			list = append(list, r)
		}
	}
	s.pref.SetStringList(prefRecents, list)
	if s.recentMenu != nil {
		s.fillRecent()
		s.menu.Refresh()
	}
}

func (s *shell) recentItem() *fyne.MenuItem {
	s.recentMenu = fyne.NewMenuItem(tr("Open recent"), nil)
	s.recentMenu.ChildMenu = fyne.NewMenu("")
	s.fillRecent()
	return s.recentMenu
}

func (s *shell) fillRecent() {
	var items []*fyne.MenuItem
	for _, r := range s.recents() {
		items = append(items, fyne.NewMenuItem(shortPath(r), func() { s.openPaths([]string{r}) }))
	}
	s.recentMenu.Disabled = len(items) == 0
	if len(items) == 0 {
		items = append(items, fyne.NewMenuItem(tr("Nothing opened yet"), nil))
	}
	s.recentMenu.ChildMenu.Items = items
}

// shortPath is a file's name with its folder, short enough for a menu.
func shortPath(path string) string {
	dir := filepath.Base(filepath.Dir(path))
	return filepath.Base(path) + "  –  " + dir
}

// --- saving ---

func (s *shell) save() {
	d := s.p.doc
	if d == nil {
		return
	}
	if d.Path == "" || d.Demo {
		s.saveAs()
		return
	}
	s.saveTo(d.Path)
}

func (s *shell) saveTo(path string) {
	s.p.save(path, func(err error) {
		if err != nil {
			s.showError(tr("Save"), err)
			return
		}
		s.remember(s.p.doc.Path)
		s.status.SetText(tr("Saved as {{.Name}}", with("Name", s.p.doc.Path)))
	})
}

// saveAs is a sheet of our own: the toolkit's save dialog empties an existing file before it hands it over,
// so that a failed save would lose the old one.
func (s *shell) saveAs() {
	d := s.p.doc
	if d == nil {
		return
	}
	folder := ""
	if s.pref != nil {
		folder = s.pref.String(prefFolder)
	}
	if d.Path != "" {
		folder = filepath.Dir(d.Path)
	}
	if folder == "" {
		folder, _ = os.UserHomeDir()
	}
	s.saveSheet(tr("Save the trip"), folder, fileName(d.Name()), ".trip", s.saveTo)
}

// saveSheet asks for folder and name and calls write with the whole path, after asking about overwriting.
func (s *shell) saveSheet(title, folder, name, ext string, write func(path string)) {
	dir, file := widget.NewEntry(), widget.NewEntry()
	dir.SetText(folder)
	file.SetText(strings.TrimSuffix(name, ext) + ext)
	file.Validator = func(t string) error {
		if strings.TrimSpace(strings.TrimSuffix(t, ext)) == "" {
			return errors.New(tr("give the file a name"))
		}
		if strings.ContainsAny(t, `/\:*?"<>|`) {
			return errors.New(tr(`a name has none of / \ : * ? " < > |`))
		}
		return nil
	}
	dir.Validator = func(t string) error {
		if st, err := os.Stat(t); err != nil || !st.IsDir() {
			return errors.New(tr("this folder is not there"))
		}
		return nil
	}
	browse := widget.NewButtonWithIcon(tr("Choose…"), theme.FolderOpenIcon(), func() {
		fd := dialog.NewFolderOpen(func(l fyne.ListableURI, err error) {
			if err == nil && l != nil {
				dir.SetText(filepath.FromSlash(l.Path()))
			}
		}, s.win)
		fd.Resize(fyne.NewSize(700, 460))
		s.p.present(s.win, fd)
	})
	form := dialog.NewForm(title, tr("Save"), tr("Cancel"), []*widget.FormItem{
		widget.NewFormItem(tr("Folder"), container.NewBorder(nil, nil, nil, browse, dir)),
		widget.NewFormItem(tr("Name"), file),
	}, func(ok bool) {
		if !ok {
			return
		}
		path := filepath.Join(dir.Text, file.Text)
		if !strings.HasSuffix(strings.ToLower(path), ext) {
			path += ext
		}
		s.rememberFolder(path)
		if _, err := os.Stat(path); err != nil {
			write(path)
			return
		}
		c := dialog.NewConfirm(tr("Replace the file?"), tr("{{.Name}} is there already. Its old content will be lost.", with("Name", filepath.Base(path))), func(yes bool) {
			if yes {
				write(path)
			}
		}, s.win)
		c.SetConfirmText(tr("Replace"))
		c.SetDismissText(tr("Keep"))
		s.p.present(s.win, c)
	}, s.win)
	form.Resize(fyne.NewSize(620, 220))
	s.p.present(s.win, form)
}

// fileName makes a name of a file from a name of a trip.
func fileName(name string) string {
	out := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || r < ' ' {
			return '-'
		}
		return r
	}, strings.TrimSpace(name))
	out = strings.Trim(out, ". ")
	if len(out) > 80 {
		out = out[:80]
	}
	if out == "" {
		return "trip"
	}
	return strings.TrimSuffix(strings.TrimSuffix(out, ".gpx"), ".GPX")
}

// save writes the document in a worker; then runs on the window's goroutine.
func (p *Presenter) save(path string, then func(error)) {
	base, rev := p.doc, p.rev
	plan := p.plan.Clone()
	p.workers.Add(1)
	go func() {
		defer p.workers.Done()
		doc, err := guarded(func() (*trip.Document, error) {
			d := *base
			d.Plan = plan
			return p.desk.Save(context.Background(), &d, path)
		})
		p.post(func() {
			if err == nil {
				// Edits and judgements made meanwhile stay; only the path and the saved state are new.
				switch {
				case p.doc == base:
					doc.Plan = plan
					p.doc, p.kept = doc, doc
				case p.doc.SameRoute(base):
					d := p.doc.InFileOf(doc)
					p.doc, p.kept = d, d
				}
				p.savedRev = rev
				p.changed(DocChanged)
			}
			then(err)
		})
	}()
}

// quit leaves by the same door as the window's own button: it asks about edits that no file holds.
func (s *shell) quit() {
	if s.leave != nil {
		s.leave()
		return
	}
	s.win.Close()
}
