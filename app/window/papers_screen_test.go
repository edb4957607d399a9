package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"lastroad/app/papers"
)

// TestThePreviewLeafsThroughTheBook: the pages are those of the paper, each can be reached, and the width is
// filled until another zoom is chosen.
func TestThePreviewLeafsThroughTheBook(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen5")
	p := u.shell.papers
	p.show("book")
	u.settle()
	v := p.pages
	if v == nil {
		t.Fatal("the book is shown without pages")
	}
	n := v.pages.Len()
	if n < len(u.p.Doc().Judgement.Legs)/2 || v.page != 0 {
		t.Fatalf("the book has %d pages and begins on page %d", n, v.page+1)
	}
	wide := func() {
		t.Helper()
		w, _ := v.pages.Size()
		if have, room := v.sheet.Size().Width, v.scroll.Size().Width; have > room || have < room-20 {
			t.Errorf("the page is %.0f wide, the room %.0f", have, room)
		}
		if img := v.sheet.picture.Image.Bounds(); float32(img.Dx()) < v.units()*float32(w)-2 {
			t.Errorf("the picture has %d dots across on %.0f units", img.Dx(), v.units()*float32(w))
		}
	}
	wide()
	test.Tap(v.next)
	u.settle()
	if v.page != 1 || !strings.Contains(v.count.Text, "2") || v.back.Disabled() {
		t.Errorf("after one page forward it is page %d: %q", v.page+1, v.count.Text)
	}
	v.sheet.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEnd})
	u.settle()
	if v.page != n-1 || !v.next.Disabled() {
		t.Errorf("End shows page %d of %d", v.page+1, n)
	}
	v.sheet.TypedKey(&fyne.KeyEvent{Name: fyne.KeyPageUp})
	u.settle()
	if v.page != n-2 {
		t.Errorf("Page Up from the last of %d pages shows page %d", n, v.page+1)
	}
	v.parts.SetSelectedIndex(1) // legs at a glance
	u.settle()
	if v.page != v.starts[1] {
		t.Errorf("the second part shows page %d, it begins on %d", v.page+1, v.starts[1]+1)
	}
	before := v.units()
	v.sheet.TypedRune('+')
	u.settle()
	if v.units() <= before {
		t.Errorf("plus made the page %.2f from %.2f", v.units(), before)
	}
	v.setZoom(0)
	u.win.Resize(fyne.NewSize(1024, 700))
	u.settle()
	wide()
	// An edit leaves the reader on his page.
	v.turn(3)
	u.p.SetTogether(true)
	u.settle()
	if p.pages == v || p.pages.page != 3 {
		t.Error("after an edit the preview is not the new book on the same page")
	}
}

// TestEveryPaperHasAPreview: none fails, and the printed ones are shown by their pages.
func TestEveryPaperHasAPreview(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	d := u.shell.papers.printed(u.p.Doc())
	set, err := paperPreview(d, nil, "home", [2]float64{})
	if err != nil {
		t.Fatal(err)
	}
	for _, pa := range papers.List {
		v, err := paperPreview(d, set.set, pa.Key, [2]float64{})
		if err != nil || v.pages == nil && v.picture == nil && len(v.text) < 200 {
			t.Errorf("%s: %v, nothing to see", pa.Key, err)
		}
		if (pa.Pages != nil) != (v.pages != nil) {
			t.Errorf("%s is a paper of pages: %v, shown as pages: %v", pa.Key, pa.Pages != nil, v.pages != nil)
		}
	}
}
