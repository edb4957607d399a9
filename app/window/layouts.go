package window

import "fyne.io/fyne/v2"

// column lays objects one under the other at their least height for the width given. Unlike the usual box
// it asks again after setting the width, so that wrapped texts have the room they need.
type column struct{ gap float32 }

func (c column) Layout(o []fyne.CanvasObject, s fyne.Size) {
	y := float32(0)
	for _, x := range o {
		if !x.Visible() {
			continue
		}
		x.Resize(fyne.NewSize(s.Width, x.MinSize().Height))
		h := x.MinSize().Height
		x.Resize(fyne.NewSize(s.Width, h))
		x.Move(fyne.NewPos(0, y))
		y += h + c.gap
	}
}

func (c column) MinSize(o []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	n := 0
	for _, x := range o {
		if !x.Visible() {
			continue
		}
		m := x.MinSize()
		s.Width = max(s.Width, m.Width)
		s.Height += m.Height
		n++
	}
	if n > 1 {
		s.Height += c.gap * float32(n-1)
	}
	return s
}

// even gives each object the same width side by side.
type even struct{ gap float32 }

func (e *even) Layout(o []fyne.CanvasObject, s fyne.Size) {
	n := float32(len(o))
	w := (s.Width - e.gap*(n-1)) / n
	for i, x := range o {
		x.Resize(fyne.NewSize(w, s.Height))
		x.Move(fyne.NewPos(float32(i)*(w+e.gap), 0))
	}
}

func (e *even) MinSize(o []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for _, x := range o {
		m := x.MinSize()
		s.Width = max(s.Width, m.Width)
		s.Height = max(s.Height, m.Height)
	}
	s.Width = s.Width*float32(len(o)) + e.gap*float32(len(o)-1)
	return s
}

// needGrid is a table of three columns (what, wanted, carried), or of two, with wrapped cells.
type needGrid struct {
	two    bool
	cols   []float32 // other shares, for more columns
	width  float32
	height float32
}

func (g *needGrid) shares() []float32 {
	if g.cols != nil {
		return g.cols
	}
	if g.two {
		return []float32{0.44, 0.56}
	}
	return []float32{0.3, 0.3, 0.4}
}

func (g *needGrid) Layout(o []fyne.CanvasObject, s fyne.Size) {
	sh := g.shares()
	y := float32(0)
	for i := 0; i < len(o); i += len(sh) {
		row := float32(0)
		for k, f := range sh {
			if i+k < len(o) {
				o[i+k].Resize(fyne.NewSize(s.Width*f, o[i+k].MinSize().Height))
				row = max(row, o[i+k].MinSize().Height)
			}
		}
		x := float32(0)
		for k, f := range sh {
			if i+k < len(o) {
				o[i+k].Resize(fyne.NewSize(s.Width*f, row))
				o[i+k].Move(fyne.NewPos(x, y))
				x += s.Width * f
			}
		}
		y += row - rowOverlap
	}
	g.width, g.height = s.Width, y+rowOverlap
}

// rowOverlap takes back some of the padding of labels, so that a table reads as one.
const rowOverlap = 5

func (g *needGrid) MinSize(o []fyne.CanvasObject) fyne.Size {
	sh := g.shares()
	h := float32(rowOverlap)
	for i := 0; i < len(o); i += len(sh) {
		row := float32(0)
		for k := range sh {
			if i+k < len(o) {
				row = max(row, o[i+k].MinSize().Height)
			}
		}
		h += row - rowOverlap
	}
	return fyne.NewSize(220, h)
}

// columns puts objects side by side, as many as fit at their least width, and the rest under the shortest.
type columns struct {
	gap, least float32
	width      float32
}

func (c *columns) count(n int, width float32) int {
	return max(1, min(n, int((width+c.gap)/(c.least+c.gap))))
}

func (c *columns) Layout(o []fyne.CanvasObject, s fyne.Size) {
	c.width = s.Width
	c.place(o, s.Width, func(x fyne.CanvasObject, pos fyne.Position, size fyne.Size) {
		x.Resize(size)
		x.Move(pos)
	})
}

func (c *columns) place(o []fyne.CanvasObject, width float32, put func(fyne.CanvasObject, fyne.Position, fyne.Size)) (height float32) {
	n := c.count(len(o), width)
	w := (width - c.gap*float32(n-1)) / float32(n)
	tops := make([]float32, n)
	for i, x := range o {
		k := i
		if i >= n {
			k = 0
			for j := range tops {
				if tops[j] < tops[k] {
					k = j
				}
			}
		}
		x.Resize(fyne.NewSize(w, x.MinSize().Height))
		h := x.MinSize().Height
		put(x, fyne.NewPos(float32(k)*(w+c.gap), tops[k]), fyne.NewSize(w, h))
		tops[k] += h + c.gap
		height = max(height, tops[k])
	}
	return height
}

func (c *columns) MinSize(o []fyne.CanvasObject) fyne.Size {
	if len(o) == 0 {
		return fyne.Size{}
	}
	width := c.width
	if width == 0 {
		width = c.least
	}
	return fyne.NewSize(c.least, c.place(o, width, func(fyne.CanvasObject, fyne.Position, fyne.Size) {}))
}

// narrow lets its object be made narrower than its texts ask for, so that a long figure does not push the
// panes about.
type narrow struct{}

func (narrow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		x.Resize(s)
		x.Move(fyne.Position{})
	}
}

func (narrow) MinSize(o []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for _, x := range o {
		s.Height = max(s.Height, x.MinSize().Height)
	}
	s.Width = 40
	return s
}

// fixed gives its only object all the room there is and asks for a least size of its own. The toolkit asks
// every visible object for its least size on every frame, and boxes ask all they hold: without such stops
// a long sheet is measured several times a frame.
type fixed struct{ w, h float32 }

func (fixed) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		x.Resize(s)
		x.Move(fyne.Position{})
	}
}

func (f fixed) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(f.w, f.h) }

// shares2 gives the first object its share of the line and the second the rest.
type shares2 struct{ first float32 }

func (c shares2) Layout(o []fyne.CanvasObject, s fyne.Size) {
	a := s.Width * c.first
	for i, x := range o {
		w, at := a, float32(0)
		if i > 0 {
			w, at = s.Width-a, a
		}
		x.Resize(fyne.NewSize(w, s.Height))
		x.Move(fyne.NewPos(at, 0))
	}
}

func (c shares2) MinSize(o []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for _, x := range o {
		h = max(h, x.MinSize().Height)
	}
	return fyne.NewSize(160, h)
}

// sideOrFoot puts its second object at the side of the first, or under it where the width is too small.
// side and foot are its shares of width and height; narrow is the width below which it goes under.
type sideOrFoot struct{ side, foot, narrow float32 }

func (c *sideOrFoot) Layout(o []fyne.CanvasObject, s fyne.Size) {
	if s.Width < c.narrow {
		h := s.Height * c.foot
		o[0].Resize(fyne.NewSize(s.Width, s.Height-h))
		o[0].Move(fyne.Position{})
		o[1].Resize(fyne.NewSize(s.Width, h))
		o[1].Move(fyne.NewPos(0, s.Height-h))
		return
	}
	w := s.Width * c.side
	o[0].Resize(fyne.NewSize(s.Width-w, s.Height))
	o[0].Move(fyne.Position{})
	o[1].Resize(fyne.NewSize(w, s.Height))
	o[1].Move(fyne.NewPos(s.Width-w, 0))
}

func (c *sideOrFoot) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 200) }

// atWidth gives its only object so much width, if there is so much, and the height it then asks for.
type atWidth float32

func (w atWidth) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		x.Resize(s)
		x.Move(fyne.Position{})
	}
}

func (w atWidth) MinSize(o []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for _, x := range o {
		if x.Size().Width < 1 {
			x.Resize(fyne.NewSize(float32(w), x.MinSize().Height))
		}
		h = max(h, x.MinSize().Height)
	}
	return fyne.NewSize(float32(w), h)
}
