package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// A long sheet is made of many hundred labels. The toolkit walks through all that is visible for each frame and each
// motion of the pointer, out of sight or not, and a map beside the sheet cannot move smoothly then. So a long sheet
// holds only what is in sight or near it; the rest keeps its place and comes when the sheet is scrolled.

// culled lays all parts out as another layout does, while the container holds only those in sight.
type culled struct {
	of    fyne.Layout
	all   []fyne.CanvasObject
	after func() // runs when they were laid out anew; may be nil
	least fyne.Size
	known bool // least, until they are laid out anew; the toolkit asks for it in every frame
}

// Layout implements fyne.Layout.
func (c *culled) Layout(_ []fyne.CanvasObject, s fyne.Size) {
	c.known = false
	if c.of.Layout(c.all, s); c.after != nil {
		c.after()
	}
}

// MinSize implements fyne.Layout.
func (c *culled) MinSize([]fyne.CanvasObject) fyne.Size {
	if !c.known {
		c.least, c.known = c.of.MinSize(c.all), true
	}
	return c.least
}

// beyondSight is how far beyond its edges a sheet holds its parts, in units: what comes into sight is there already.
const beyondSight = 60

// cullSheet makes the containers of a sheet hold what is in sight only.
func cullSheet(o fyne.CanvasObject) {
	c, ok := o.(*fyne.Container)
	if !ok {
		return
	}
	for _, x := range c.Objects {
		cullSheet(x)
	}
	switch c.Layout.(type) {
	case nil, *culled:
	default:
		c.Layout = &culled{of: c.Layout, all: c.Objects}
	}
}

// showSight has the culled containers in o hold what lies between two heights, in o's own units. Things that can have
// the focus stay, so that one can walk to them by keys.
func showSight(o fyne.CanvasObject, from, to float32) {
	c, ok := o.(*fyne.Container)
	if !ok {
		return
	}
	if l, ok := c.Layout.(*culled); ok {
		seen := make([]fyne.CanvasObject, 0, len(l.all))
		for _, x := range l.all {
			y := x.Position().Y
			inSight := y < to && y+x.Size().Height > from
			if b, ok := x.(*wrapButton); ok {
				b.away = !inSight
			}
			if inSight || takesFocus(x) {
				seen = append(seen, x)
			}
		}
		c.Objects = seen
	}
	for _, x := range c.Objects {
		showSight(x, from-x.Position().Y, to-x.Position().Y)
	}
}

// takesFocus reports whether something in o can have the focus.
func takesFocus(o fyne.CanvasObject) bool {
	switch x := o.(type) {
	case fyne.Focusable:
		return true
	case *fyne.Container:
		for _, y := range partsOf(x) {
			if takesFocus(y) {
				return true
			}
		}
	case *container.Split, *container.Scroll, *widget.List:
		return true // nobody has looked inside
	}
	return false
}

// partsOf are the parts of a container, in sight or not.
func partsOf(c *fyne.Container) []fyne.CanvasObject {
	if l, ok := c.Layout.(*culled); ok {
		return l.all
	}
	return c.Objects
}

// lookAt has a sheet hold what its scroll shows now.
func lookAt(s *container.Scroll) {
	showSight(s.Content, s.Offset.Y-beyondSight, s.Offset.Y+s.Size().Height+beyondSight)
}
