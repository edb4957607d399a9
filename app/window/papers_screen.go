package window

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"lastroad/app/papers"
	"lastroad/app/trip"
)

// papersScreen chooses papers, shows what can be shown, and writes them into a folder.
type papersScreen struct {
	s       *shell
	root    fyne.CanvasObject
	checks  []*widget.Check
	folder  *focusEntry
	size    *widget.Select
	picture *widget.Select
	dots    *widget.Select
	preview *fyne.Container
	done    *fyne.Container
	write   *widget.Button
	shown   string
	ofDoc   *trip.Document
	rev     int
	lang    *widget.Select
	units   *widget.Select
	set     *papers.Set // what the papers of ofSet are made from
	ofSet   *trip.Document
	pages   *pageView // shown now, nil for other papers
}

// paperLanguages and paperUnits are the choices, in the order in which they are offered.
var (
	paperLanguages = []struct{ key, name string }{{"en", "English"}, {"de", "Deutsch"}, {"es", "Español"}, {"fr", "Français"}}
	paperUnits     = []string{"metric", "us", "imperial"}
	pictureDots    = []int{144, 300}
)

// pictureSizes are the sizes offered for pictures in millimetres, zeros for the usual one.
func pictureSizes() (names []string, mm [][2]float64) {
	names = []string{tr("As usual, 370 × 238 mm"), tr("A5 across, 210 × 148 mm"), tr("A4 across, 297 × 210 mm"), tr("A4 upright, 210 × 297 mm"),
		tr("A3 across, 420 × 297 mm"), tr("A2 across, 594 × 420 mm"), tr("Letter across, 279 × 216 mm")}
	return names, [][2]float64{{}, {210, 148}, {297, 210}, {210, 297}, {420, 297}, {594, 420}, {279, 216}}
}

func newPapersScreen(s *shell) *papersScreen {
	p := &papersScreen{s: s, preview: container.NewStack(), done: container.New(column{})}
	list := container.New(column{gap: 1})
	for _, pa := range papers.List {
		c := widget.NewCheck("", nil)
		c.Checked = true
		p.checks = append(p.checks, c)
		look := widget.NewButtonWithIcon("", theme.VisibilityIcon(), func() { p.show(pa.Key) })
		look.Importance = widget.LowImportance
		list.Add(container.NewBorder(nil, nil, look, nil, checkRow(c, tr(pa.Title)))) // a long title wraps and never pushes the eye out of sight
	}
	p.folder = newFocusEntry()
	p.folder.SetPlaceHolder(tr("Folder to write into"))
	if home, err := os.UserHomeDir(); err == nil {
		p.folder.SetText(filepath.Join(home, "lastroad-papers"))
	}
	browse := widget.NewButtonWithIcon(tr("Choose…"), theme.FolderOpenIcon(), func() {
		d := dialog.NewFolderOpen(func(l fyne.ListableURI, err error) {
			if err == nil && l != nil {
				p.folder.SetText(filepath.FromSlash(l.Path()))
			}
		}, s.win)
		d.Resize(fyne.NewSize(700, 460))
		s.p.present(s.win, d)
	})
	p.size = widget.NewSelect([]string{"A4", "letter"}, func(v string) {
		if s.p.doc != nil && s.p.plan.Papers.Size != v {
			s.p.Edit(tr("Paper size"), "", func(pl *trip.Plan) { pl.Papers.Size = v })
		}
	})
	var names []string
	for _, l := range paperLanguages {
		names = append(names, l.name)
	}
	p.lang = widget.NewSelect(names, func(string) {
		if k := paperLanguages[p.lang.SelectedIndex()].key; s.p.doc != nil && p.prefs(s.p.plan.Papers).Language != k {
			s.p.Edit(tr("Language of the papers"), "", func(pl *trip.Plan) { pl.Papers.Language = k })
		}
	})
	p.units = widget.NewSelect([]string{tr("Metric"), tr("US"), tr("Imperial")}, func(string) {
		if k := paperUnits[p.units.SelectedIndex()]; s.p.doc != nil && p.prefs(s.p.plan.Papers).Units != k {
			s.p.Edit(tr("Units of the papers"), "", func(pl *trip.Plan) { pl.Papers.Units = k })
		}
	})
	p.pictureChoices()
	p.choices()
	p.write = widget.NewButtonWithIcon(tr("Write the papers"), theme.DocumentSaveIcon(), p.writeAll)
	p.write.Importance = widget.HighImportance
	all := widget.NewButton(tr("All"), func() { p.setAll(true) })
	none := widget.NewButton(tr("None"), func() { p.setAll(false) })
	left := container.NewBorder(nil, container.NewPadded(container.New(column{gap: 2}, p.write, p.done)), nil, nil, container.NewVScroll(container.New(column{gap: 8},
		card(tr("Papers"), container.NewHBox(all, none), list),
		card(tr("Where to"), container.NewBorder(nil, nil, nil, browse, p.folder), container.New(pairRow{}, prose(tr("Paper size")), p.size),
			container.New(pairRow{}, prose(tr("Language")), p.lang), container.New(pairRow{}, plainText(tr("Units")), p.units)),
		card(tr("Pictures"), container.New(pairRow{}, prose(tr("Size of the map")), p.picture), container.New(pairRow{}, prose(tr("Dots")), p.dots),
			soft(tr("A strip is as wide as the map."))))))
	p.preview.Add(container.NewCenter(plainText(tr("Choose the eye beside a paper to see it here."))))
	split := container.NewHSplit(container.New(fixed{280, 120}, left), container.NewStack(newPanel(theme.ColorNameHeaderBackground, 0), container.NewPadded(p.preview)))
	split.Offset = 0.36
	p.root = split
	s.p.Watch(func(c Change) {
		if c&(DocChanged|ScreenChanged) != 0 && s.p.screen == 4 && p.ofDoc != s.p.doc {
			p.show(firstOf(p.shown, papers.List[0].Key))
		}
		if c&(PlanChanged|DocChanged|SettingsChanged) != 0 {
			p.choices()
		}
		if c&SettingsChanged != 0 {
			p.set = nil
		}
		if c&DocChanged != 0 {
			if s.p.doc == nil {
				p.write.Disable()
			} else {
				p.write.Enable()
			}
		}
	})
	return p
}

func (p *papersScreen) object() fyne.CanvasObject { return p.root }

// pictureChoices makes the choices for pictures. They belong to the person and not to the trip.
func (p *papersScreen) pictureChoices() {
	changed := func(pref string, at int) {
		if p.s.pref != nil {
			p.s.pref.SetInt(pref, at)
		}
		p.set = nil
		if strings.HasPrefix(p.shown, "map-") || strings.HasPrefix(p.shown, "strip-") {
			p.show(p.shown)
		}
	}
	at := func(pref string, n int) int {
		if p.s.pref == nil {
			return 0
		}
		return max(0, min(n-1, p.s.pref.Int(pref)))
	}
	names, _ := pictureSizes()
	p.picture = widget.NewSelect(names, nil)
	p.picture.SetSelectedIndex(at(prefPicture, len(names)))
	p.picture.OnChanged = func(string) { changed(prefPicture, p.picture.SelectedIndex()) }
	dots := []string{tr("144 an inch, for a screen"), tr("300 an inch, for print")}
	p.dots = widget.NewSelect(dots, nil)
	p.dots.SetSelectedIndex(at(prefDots, len(dots)))
	p.dots.OnChanged = func(string) { changed(prefDots, p.dots.SelectedIndex()) }
}

// pictures are the size and the resolution that were chosen for pictures.
func (p *papersScreen) pictures() (mm [2]float64, dpi int) {
	_, sizes := pictureSizes()
	return sizes[max(0, p.picture.SelectedIndex())], pictureDots[max(0, p.dots.SelectedIndex())]
}

func (p *papersScreen) setAll(on bool) {
	for _, c := range p.checks {
		c.SetChecked(on)
	}
}

// chosen are the ticked papers.
func (p *papersScreen) chosen() (out []papers.Paper) {
	for i, c := range p.checks {
		if c.Checked {
			out = append(out, papers.List[i])
		}
	}
	return out
}

// prefs are the choices for the papers; what the trip does not say is as in the window.
func (p *papersScreen) prefs(given trip.PaperPrefs) trip.PaperPrefs {
	if given.Size == "" {
		given.Size = "A4"
	}
	if given.Language == "" {
		given.Language, _, _ = strings.Cut(lang.SystemLocale().LanguageString(), "-")
	}
	if _, ok := papers.Language(given.Language); !ok {
		given.Language = "en"
	}
	if given.Units == "" {
		given.Units = p.s.p.settings.Units
	}
	return given
}

// choices shows what the trip says about its papers.
func (p *papersScreen) choices() {
	c := p.prefs(p.s.p.plan.Papers)
	p.size.Selected = c.Size
	for i, l := range paperLanguages {
		if l.key == c.Language {
			p.lang.Selected = p.lang.Options[i]
		}
	}
	for i, u := range paperUnits {
		if u == c.Units {
			p.units.Selected = p.units.Options[i]
		}
	}
	for _, s := range []*widget.Select{p.size, p.lang, p.units} {
		s.Refresh()
	}
}

// printed is the document with the choices for its papers filled in.
func (p *papersScreen) printed(d *trip.Document) *trip.Document {
	c := *d
	c.Plan.Papers = p.prefs(d.Plan.Papers)
	return &c
}

// preview is a paper as it is shown: pages, a picture or a text.
type preview struct {
	set     *papers.Set
	pages   *papers.Pages
	picture image.Image
	text    string
}

// paperPreview makes the preview of a paper, its pictures of a size in millimetres and as fine as a screen shows.
func paperPreview(d *trip.Document, set *papers.Set, key string, mm [2]float64) (v preview, err error) {
	if v.set = set; set == nil {
		if v.set, err = papers.Prepare(context.Background(), d, time.Now(), ""); err != nil {
			return v, err
		}
		v.set.Picture = mm
	}
	pick := key
	switch key { // drawn by the same code
	case "map-svg":
		pick = "map-png"
	case "strip-svg":
		pick = "strip-png"
	}
	list, err := papers.Pick([]string{pick})
	if err != nil {
		return v, err
	}
	if list[0].Pages != nil {
		v.pages, err = list[0].Pages(v.set)
		return v, err
	}
	var b bytes.Buffer
	if err := list[0].Write(&b, v.set); err != nil {
		return v, err
	}
	switch {
	case strings.HasSuffix(pick, "-png"):
		v.picture, err = png.Decode(&b)
		return v, err
	case pick == "workbook":
		v.text, err = papers.WorkbookText(b.Bytes())
		return v, err
	}
	v.text = b.String()
	return v, nil
}

// show makes a preview of a paper: pages as they will be printed, pictures as pictures, texts as texts.
func (p *papersScreen) show(key string) {
	d := p.s.p.doc
	if d == nil {
		return
	}
	page := 0
	if p.shown == key && p.pages != nil {
		page = p.pages.page // an edit leaves the reader where he was
	}
	p.shown, p.ofDoc = key, d
	p.rev++
	rev := p.rev
	p.preview.Objects = []fyne.CanvasObject{container.NewCenter(plainText(tr("Being made…")))}
	p.preview.Refresh()
	var set *papers.Set
	if p.ofSet == d {
		set = p.set
	}
	printed := p.printed(d)
	mm, _ := p.pictures()
	p.s.p.workers.Add(1)
	go func() {
		defer p.s.p.workers.Done()
		made, err := guarded(func() (preview, error) { return paperPreview(printed, set, key, mm) })
		p.s.p.post(func() {
			if rev != p.rev {
				return
			}
			p.set, p.ofSet, p.pages = made.set, d, nil
			o := fyne.CanvasObject(nil)
			switch {
			case err != nil:
				o = container.NewCenter(prose(err.Error()))
			case made.pages != nil:
				p.pages = newPageView(p.s, made.pages, page)
				o = p.pages.root
			case made.picture != nil:
				c := canvas.NewImageFromImage(made.picture)
				c.FillMode = canvas.ImageFillContain
				o = c
			default:
				o = textPreview(made.text)
			}
			p.preview.Objects = []fyne.CanvasObject{o}
			p.preview.Refresh()
		})
	}()
}

// textPreview shows the beginning of a text.
func textPreview(text string) fyne.CanvasObject {
	const most = 20000
	cut := len(text) > most
	if cut {
		text = strings.ToValidUTF8(text[:most], "") + "\n…"
	}
	l := widget.NewLabel(text)
	l.TextStyle.Monospace = true
	l.SizeName = theme.SizeNameCaptionText
	o := fyne.CanvasObject(container.NewScroll(l))
	if cut {
		o = container.NewBorder(nil, soft(tr("The paper itself holds more than this view shows.")), nil, nil, o)
	}
	return o
}

func (p *papersScreen) writeAll() {
	d, list := p.s.p.doc, p.chosen()
	dir := strings.TrimSpace(p.folder.Text)
	title := tr("Write the papers")
	switch {
	case d == nil:
		return
	case len(list) == 0:
		p.s.showError(title, errors.New(tr("no paper is ticked")))
		return
	case dir == "":
		p.s.showError(title, errors.New(tr("name a folder to write into")))
		return
	}
	p.write.Disable()
	d = p.printed(d)
	mm, dpi := p.pictures()
	p.s.p.workers.Add(1)
	go func() {
		defer p.s.p.workers.Done()
		out, err := guarded(func() (written, error) { return writePapers(d, list, dir, mm, dpi) })
		p.s.p.post(func() {
			p.write.Enable()
			if err != nil {
				p.s.showError(title, err)
				return
			}
			p.done.Objects = []fyne.CanvasObject{prose(tr("{{.N}} papers are in {{.Dir}}.", map[string]any{"N": out.n, "Dir": dir}))}
			if len(out.replaced) > 0 {
				p.done.Add(soft(tr("The typeface lacks some letters; ? stands for them in {{.Files}}.", with("Files", strings.Join(out.replaced, ", ")))))
			}
			p.done.Refresh()
		})
	}()
}

// written is what came of writing papers: how many, and the files in which letters were replaced.
type written struct {
	n        int
	replaced []string
}

// writePapers writes each paper whole or not at all, its pictures of a size in millimetres and with so many dots to
// the inch.
func writePapers(d *trip.Document, list []papers.Paper, dir string, mm [2]float64, dpi int) (written, error) {
	set, err := papers.Prepare(context.Background(), d, time.Now(), "")
	if err != nil {
		return written{}, err
	}
	set.Picture, set.DPI = mm, dpi
	names, err := set.WriteTo(dir, list, nil)
	return written{len(names), set.Replaced}, err
}
