//go:build watched

package window

import (
	"fmt"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

// Built with the tag watched, the window also says which words can be read on it, and where: a line for each
// text, button and field with its middle in pixels, whenever something has changed. A driver outside then finds
// a button by its words wherever it was laid out. The program that is handed out is built without.
func init() {
	tellPlaces = func(s *shell) {
		if !outside {
			return
		}
		last := ""
		go func() {
			for range time.Tick(250 * time.Millisecond) {
				fyne.DoAndWait(func() {
					if now := s.places(); now != last {
						last = now
						fmt.Print("places\n" + now + "placed\n")
					}
				})
			}
		}()
	}
}

// box is what can be seen of a part of the window, in units.
type box struct{ x0, y0, x1, y1 float32 }

func (b box) meet(c box) box {
	return box{max(b.x0, c.x0), max(b.y0, c.y0), min(b.x1, c.x1), min(b.y1, c.y1)}
}

// places are the words of the window with their middles. Under a dialog nothing else can be reached.
func (s *shell) places() string {
	var out strings.Builder
	c := s.win.Canvas()
	size := c.Size()
	whole := box{0, 0, size.Width, size.Height}
	if top := c.Overlays().Top(); top != nil {
		s.walkPlaces(&out, top, whole)
	} else {
		s.walkPlaces(&out, s.win.Content(), whole)
	}
	return out.String()
}

func (s *shell) walkPlaces(out *strings.Builder, o fyne.CanvasObject, seen box) {
	if o == nil || !o.Visible() {
		return
	}
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(o)
	own := box{at.X, at.Y, at.X + o.Size().Width, at.Y + o.Size().Height}
	say := func(kind, text string) {
		x, y := (own.x0+own.x1)/2, (own.y0+own.y1)/2
		if text != "" && x > seen.x0 && x < seen.x1 && y > seen.y0 && y < seen.y1 {
			k := s.win.Canvas().Scale()
			fmt.Fprintf(out, "%s %.0f %.0f %q\n", kind, x*k, y*k, text)
		}
	}
	button := func(b *widget.Button, text string) {
		if b.Visible() {
			at := fyne.CurrentApp().Driver().AbsolutePositionForObject(b)
			own = box{at.X, at.Y, at.X + b.Size().Width, at.Y + b.Size().Height}
			if b.Disabled() {
				say("off", text)
			} else {
				say("button", text)
			}
		}
	}
	switch x := o.(type) {
	case *loadLine: // its buttons bear signs and no words
		if x.row.item != nil {
			button(x.add, "add "+x.title.Text)
			button(x.more, "more "+x.title.Text)
			button(x.less, "less "+x.title.Text)
		}
	case *widget.Button:
		button(x, x.Text)
	case *widget.Label:
		say("text", x.Text)
	case *canvas.Text:
		say("text", x.Text)
	case *widget.Check:
		say("check", x.Text)
	case *widget.Entry:
		say("field", x.PlaceHolder+"="+x.Text)
	case *focusEntry:
		say("field", x.PlaceHolder+"="+x.Text)
	case *container.AppTabs:
		s.walkPlaces(out, x.Selected().Content, seen)
	case *container.Split:
		s.walkPlaces(out, x.Leading, seen.meet(own))
		s.walkPlaces(out, x.Trailing, seen.meet(own))
	case *container.Scroll:
		s.walkPlaces(out, x.Content, seen.meet(own))
	case *fyne.Container:
		for _, c := range x.Objects {
			s.walkPlaces(out, c, seen)
		}
	case fyne.Widget:
		for _, c := range test.WidgetRenderer(x).Objects() {
			s.walkPlaces(out, c, seen)
		}
	}
}
