package window

import (
	"bytes"
	"context"
	"errors"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/google/renameio/v2/maybe"

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
	preview *fyne.Container
	done    *fyne.Container
	write   *widget.Button
	shown   string
	ofDoc   *trip.Document
	rev     int
}

func newPapersScreen(s *shell) *papersScreen {
	p := &papersScreen{s: s, preview: container.NewStack(), done: container.New(column{})}
	list := container.New(column{gap: 1})
	for _, pa := range papers.List {
		c := widget.NewCheck(tr(pa.Title), nil)
		c.Checked = true
		p.checks = append(p.checks, c)
		look := widget.NewButtonWithIcon("", theme.VisibilityIcon(), func() { p.show(pa.Key) })
		look.Importance = widget.LowImportance
		row := container.NewBorder(nil, nil, nil, look, c)
		list.Add(row)
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
		d.Show()
	})
	p.size = widget.NewSelect([]string{"A4", "letter"}, func(v string) {
		if s.p.doc != nil && s.p.plan.Papers.Size != v {
			s.p.Edit(tr("Paper size"), "", func(pl *trip.Plan) { pl.Papers.Size = v })
		}
	})
	p.size.Selected = "A4"
	p.write = widget.NewButtonWithIcon(tr("Write the papers"), theme.DocumentSaveIcon(), p.writeAll)
	p.write.Importance = widget.HighImportance
	all := widget.NewButton(tr("All"), func() { p.setAll(true) })
	none := widget.NewButton(tr("None"), func() { p.setAll(false) })
	left := container.NewVScroll(container.New(column{gap: 8},
		card(tr("Papers"), container.NewHBox(all, none), list),
		card(tr("Where to"), container.NewBorder(nil, nil, nil, browse, p.folder), container.New(pairRow{}, plainText(tr("Paper size")), p.size), p.write, p.done)))
	p.preview.Add(container.NewCenter(plainText(tr("Choose the eye beside a paper to see it here."))))
	split := container.NewHSplit(container.New(fixed{280, 120}, left), container.NewStack(newPanel(theme.ColorNameHeaderBackground, 0), container.NewPadded(p.preview)))
	split.Offset = 0.36
	p.root = split
	s.p.Watch(func(c Change) {
		if c&(DocChanged|ScreenChanged) != 0 && s.p.screen == 4 && p.shown != "" && p.ofDoc != s.p.doc {
			p.show(p.shown)
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

// show makes a preview of a paper: pictures as pictures, texts as texts, the book by its map page.
func (p *papersScreen) show(key string) {
	d := p.s.p.doc
	if d == nil {
		return
	}
	p.shown, p.ofDoc = key, d
	p.rev++
	rev := p.rev
	p.preview.Objects = []fyne.CanvasObject{container.NewCenter(plainText(tr("Being made…")))}
	p.preview.Refresh()
	pick := key
	switch key {
	case "book", "map-svg":
		pick = "map-png"
	case "strip-svg":
		pick = "strip-png"
	case "home":
		pick = "home-text"
	case "workbook":
		pick = "markdown"
	}
	p.s.p.workers.Add(1)
	go func() {
		defer p.s.p.workers.Done()
		data, err := guarded(func() ([]byte, error) {
			list, err := papers.Pick([]string{pick})
			if err != nil {
				return nil, err
			}
			set, err := papers.Prepare(context.Background(), d, time.Now(), d.Plan.Papers.Size)
			if err != nil {
				return nil, err
			}
			var b bytes.Buffer
			err = list[0].Write(&b, set)
			return b.Bytes(), err
		})
		p.s.p.post(func() {
			if rev != p.rev {
				return
			}
			p.preview.Objects = []fyne.CanvasObject{previewOf(pick, data, err)}
			if pick != key && err == nil {
				note := soft(tr("The paper itself holds more than this view shows."))
				p.preview.Objects = []fyne.CanvasObject{container.NewBorder(nil, note, nil, nil, p.preview.Objects[0])}
			}
			p.preview.Refresh()
		})
	}()
}

func previewOf(key string, data []byte, err error) fyne.CanvasObject {
	if err != nil {
		return container.NewCenter(prose(err.Error()))
	}
	if strings.HasSuffix(key, "-png") {
		img, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			return container.NewCenter(plainText(err.Error()))
		}
		c := canvas.NewImageFromImage(img)
		c.FillMode = canvas.ImageFillContain
		return c
	}
	const most = 20000
	if len(data) > most {
		data = append(data[:most:most], "\n…"...)
	}
	l := widget.NewLabel(string(data))
	l.TextStyle.Monospace = true
	l.SizeName = theme.SizeNameCaptionText
	return container.NewScroll(l)
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
	p.s.p.workers.Add(1)
	go func() {
		defer p.s.p.workers.Done()
		names, err := guarded(func() ([]string, error) { return writePapers(d, list, dir) })
		p.s.p.post(func() {
			p.write.Enable()
			if err != nil {
				p.s.showError(title, err)
				return
			}
			p.done.Objects = []fyne.CanvasObject{prose(tr("{{.N}} papers are in {{.Dir}}.", map[string]any{"N": len(names), "Dir": dir}))}
			p.done.Refresh()
		})
	}()
}

// writePapers writes each paper whole or not at all.
func writePapers(d *trip.Document, list []papers.Paper, dir string) (names []string, err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	set, err := papers.Prepare(context.Background(), d, time.Now(), d.Plan.Papers.Size)
	if err != nil {
		return nil, err
	}
	for _, pa := range list {
		var b bytes.Buffer
		if err := pa.Write(&b, set); err != nil {
			return names, err
		}
		path := filepath.Join(dir, pa.File)
		if err := maybe.WriteFile(path, b.Bytes(), 0o644); err != nil {
			return names, err
		}
		names = append(names, path)
	}
	return names, nil
}
