package papers

import (
	"image/color"
	"strings"
)

// panel writes paragraphs on a coloured bed with a bar at its left; it is kept whole where a page holds it.
func (s *sheet) panel(paras []string, size float64, bed, bar color.NRGBA) {
	s.font(size, false, ink)
	type row struct {
		text string
		h    float64
	}
	step := size * 1.32
	var all []row
	for k, p := range paras {
		for i, l := range s.lines(s.safe(p), s.right-s.left-20) {
			h := step
			if i == 0 && k > 0 {
				h += 0.3 * step
			}
			all = append(all, row{l, h})
		}
	}
	for len(all) > 0 {
		room, n, h := s.h-bottom-s.y-16, 0, 10.0
		for n < len(all) && h-10+all[n].h <= room {
			h += all[n].h
			n++
		}
		if n < min(len(all), 4) && s.y > margin {
			s.newPage()
			continue
		}
		n = max(n, 1)
		s.fill(s.left, s.y+2, s.right-s.left, h, bed)
		s.fill(s.left, s.y+2, 3, h, bar)
		s.font(size, false, ink)
		y := s.y + 4
		for _, l := range all[:n] {
			y += l.h
			s.write(s.left+11, y, l.text)
		}
		s.y += h + 6
		all = all[n:]
	}
}

// cell is one field of a table.
type cell struct {
	text string
	bold bool
	tick bool // an empty check box instead of text
}

// tableColumn is a column of a table: its share of the width, and whether numbers stand at its right.
type tableColumn struct {
	head  string
	share float64
	right bool
}

// table draws rows under a repeated head. Cells wrap; a row is never parted between pages unless it is
// taller than one.
func (s *sheet) table(cols []tableColumn, rows [][]cell, size float64) {
	total := 0.0
	for _, c := range cols {
		total += c.share
	}
	width := make([]float64, len(cols))
	for i, c := range cols {
		width[i] = c.share / total * (s.right - s.left)
	}
	const pad = 2.5
	step := size * 1.25
	wrapRow := func(texts []string, bold []bool) ([][]string, float64) {
		n := 1
		out := make([][]string, len(texts))
		for i, t := range texts {
			s.font(size, bold[i], ink)
			out[i] = s.lines(s.safe(t), width[i]-2*pad)
			n = max(n, len(out[i]))
		}
		return out, float64(n)*step + 4
	}
	put := func(ls [][]string, bold []bool, tick []bool, h float64) {
		x := s.left
		for i := range ls {
			if tick[i] {
				s.box(x+pad, s.y+3, size*0.9)
			}
			s.font(size, bold[i], ink)
			for k, l := range ls[i] {
				tx := x + pad
				if cols[i].right {
					tx = x + width[i] - pad - s.width(l)
				}
				s.write(tx, s.y+float64(k+1)*step, l)
			}
			x += width[i]
		}
		s.y += h
	}
	heads, hb, ht := make([]string, len(cols)), make([]bool, len(cols)), make([]bool, len(cols))
	for i, c := range cols {
		heads[i], hb[i] = capital(c.head), true
	}
	headLines, headH := wrapRow(heads, hb)
	bare := strings.Join(heads, "") == ""
	if bare {
		headH = 0
	}
	header := func() {
		if bare {
			return
		}
		s.fill(s.left, s.y, s.right-s.left, headH, pale)
		put(headLines, hb, ht, headH)
		s.rule(soft, 0.6)
	}
	s.room(headH + 3*step)
	header()
	for _, r := range rows {
		texts, bold, tick := make([]string, len(cols)), make([]bool, len(cols)), make([]bool, len(cols))
		for i := range cols {
			texts[i], bold[i], tick[i] = r[i].text, r[i].bold, r[i].tick
		}
		ls, h := wrapRow(texts, bold)
		// A row taller than a page is cut to what a page holds; its last line says so.
		if most := int((s.h - margin - bottom - headH - 8) / step); h > float64(most)*step {
			for i := range ls {
				if len(ls[i]) > most {
					ls[i] = append(ls[i][:most-1], "… (too long to print)")
				}
			}
			h = float64(most)*step + 4
		}
		if s.y+h > s.h-bottom {
			s.newPage()
			header()
		}
		put(ls, bold, tick, h)
		s.rule(hair, 0.3)
	}
	s.y += 4
}

// cells is plain texts as cells.
func cells(texts ...string) []cell {
	out := make([]cell, len(texts))
	for i, t := range texts {
		out[i].text = t
	}
	return out
}
