package window

import (
	"runtime/debug"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/assets"
)

// version is what the program was built from, as the build wrote it in.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	v, rev, dirty := info.Main.Version, "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			rev = s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			dirty = "+"
		}
	}
	if v == "" || v == "(devel)" {
		v = fyne.CurrentApp().Metadata().Version
	}
	return strings.TrimSpace(v + " " + rev + dirty)
}

func (s *shell) showAbout() {
	box := container.New(column{gap: 4},
		heading("Lastroad"),
		prose(tr("Lastroad judges whether this vehicle, these people and this load can get themselves out of what the route is likely to do to them, leg by leg.")),
		prose(tr("It is a model: it weighs what can be known beforehand and shows how sure it is. It does not know the weather, the driver's day or what the track looks like this week. It says ready, thin or not ready; it never says safe.")),
		prose(tr("Every figure of force, pressure, water or tilt gives way to the maker's ratings, the local rules and people trained for it.")),
		prose(tr("The program opens no network connection. Nothing leaves this computer.")))
	if v := version(); v != "" {
		box.Add(soft(tr("Version {{.V}}", with("V", v))))
	}
	box.Add(bold(tr("Whose data are shown")))
	if d := s.p.doc; d != nil && d.Region != nil && len(d.Region.Credit) > 0 {
		for _, c := range d.Region.Credit {
			box.Add(prose(c))
		}
	}
	box.Add(soft(tr("Region files of OpenStreetMap: © OpenStreetMap contributors, under the Open Database License. Height tiles and routes belong to those who made them; their terms travel with the files.")))
	list := newAction(tr("Licences of what is built in…"), theme.DocumentIcon(), s.showLicences)
	box.Add(list)
	s.page(tr("About"), box)
}

// licence is one block of the built-in list: the modules it covers, and its text.
type licence struct {
	modules []string
	text    string
}

// licences takes the built-in list apart.
func licences() (out []licence) {
	for _, block := range strings.Split(string(assets.Licences()), "\n=== ")[1:] {
		head, text, _ := strings.Cut(block, "\n")
		out = append(out, licence{strings.Split(head, ", "), strings.TrimSpace(text)})
	}
	return out
}

// showLicences lists the modules that are linked, with the text of the licence of the chosen one.
func (s *shell) showLicences() {
	all := licences()
	type row struct {
		name string
		of   int
	}
	var rows []row
	for i, l := range all {
		for _, m := range l.modules {
			rows = append(rows, row{m, i})
		}
	}
	text := widget.NewLabel("")
	text.Wrapping = fyne.TextWrapWord
	text.TextStyle.Monospace = true
	text.SizeName = theme.SizeNameCaptionText
	scroll := container.NewVScroll(text)
	list := widget.NewList(func() int { return len(rows) }, func() fyne.CanvasObject {
		l := widget.NewLabel("")
		l.Truncation = fyne.TextTruncateEllipsis
		return l
	}, func(i widget.ListItemID, o fyne.CanvasObject) { o.(*widget.Label).SetText(rows[i].name) })
	list.OnSelected = func(i widget.ListItemID) {
		text.SetText(all[rows[i].of].text)
		scroll.ScrollToTop()
	}
	split := container.NewHSplit(list, scroll)
	split.Offset = 0.42
	s.wide(tr("Licences of what is built in"), split)
	list.Select(0)
}

// wide is a sheet that uses most of the window and scrolls by itself.
func (s *shell) wide(title string, o fyne.CanvasObject) {
	d := dialog.NewCustom(title, tr("Close"), o, s.win)
	z := s.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(1000, z.Width*0.94), z.Height*0.86))
	s.p.present(s.win, d)
}
