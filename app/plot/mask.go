package plot

import (
	"encoding/binary"
	"image/color"
	"math"
)

// A mask holds the coverage of one stroke call, a byte a pixel. Every segment writes the larger of its
// own coverage and what is there, so that joins, crossings and translucent colours come out right:
// the union of the segments is laid over the picture once. Blending each segment on its own, the usual
// short way, inks every join twice; at small scales, where segments are a pixel long, that adds a sixth.
//
// The coverage of a pixel is that of a band of the line's width seen through a box one pixel wide lying
// across the line, which keeps the ink (coverage added up) equal to width x length for any width and
// direction. It depends on the distance to the segment alone and is read from a table over its square.
type mask struct {
	w, h           int
	pix            []uint8 // all zero between calls
	x0, y0, x1, y1 int     // touched part, x1 and y1 excluded
	lut            *[lutLen + 1]uint8
	luts           map[float32]*[lutLen + 1]uint8 // by width
	shares         map[uint8]*[256]uint64         // by the alpha of a colour
}

// lutLen is the number of steps of the table over the squared distance. With 1024 the error of the
// distance at the edge of a 3 px line is 2/1024 px, far below the 1/255 steps of the coverage.
const lutLen = 1024

// unit is the reach in the whole numbers of the inner loop: the square of it is lutLen << lutShift.
// Rounding adds up over a row of 8192 pixels to less than a thousandth of the reach.
const (
	unit     = 1 << 24
	lutShift = 48 - 10
)

func (m *mask) reset(w, h int) {
	if n := w * h; cap(m.pix) < n {
		m.pix = make([]uint8, n)
	} else {
		m.pix = m.pix[:n]
	}
	m.w, m.h = w, h
	m.clean()
}

func (m *mask) clean() { m.x0, m.y0, m.x1, m.y1 = m.w, m.h, 0, 0 }

// mostTables is how many tables a mask keeps. A picture has a few dozen widths; those of other zooms are let go.
const mostTables = 128

// table chooses the look-up table for lines of the given width and gives the reach (the distance beyond
// which nothing is covered).
func (m *mask) table(width float32) (reach float32) {
	half := width / 2
	reach = half + 0.5
	if m.lut = m.luts[width]; m.lut != nil {
		return reach
	}
	if len(m.luts) >= mostTables || m.luts == nil {
		m.luts = make(map[float32]*[lutLen + 1]uint8, mostTables)
	}
	m.lut = new([lutLen + 1]uint8)
	m.luts[width] = m.lut
	for i := range m.lut[:lutLen] {
		d := float32(math.Sqrt((float64(i) + 0.5) / lutLen * float64(reach*reach)))
		m.lut[i] = uint8(255*coverage(d, half) + 0.5)
	}
	return reach
}

// share is the part in 65536 that a colour of alpha a has in a pixel, for each coverage.
func (m *mask) share(a uint8) *[256]uint64 {
	if s := m.shares[a]; s != nil {
		return s
	}
	if m.shares == nil {
		m.shares = map[uint8]*[256]uint64{}
	}
	s := new([256]uint64)
	for i := range s {
		s[i] = (uint64(i)*uint64(a)*65536 + 32512) / 65025
	}
	m.shares[a] = s
	return s
}

// coverage of a pixel at distance d from the middle of a line of half-width half.
func coverage(d, half float32) float32 {
	return max(0, min(1, 2*half, half+0.5-d))
}

// segment adds one segment; clip is x0, y0, x1, y1 in pixels, the last two excluded.
func (m *mask) segment(a, b Pt, reach float32, clip [4]int) {
	minX, maxX := a.X, b.X
	if minX > maxX {
		minX, maxX = maxX, minX
	}
	minY, maxY := a.Y, b.Y
	if minY > maxY {
		minY, maxY = maxY, minY
	}
	// A comparison that is false for NaN leaves broken points out.
	if !(maxX+reach > float32(clip[0]) && minX-reach < float32(clip[2]) &&
		maxY+reach > float32(clip[1]) && minY-reach < float32(clip[3])) {
		return
	}
	if maxX-minX > 8192 || maxY-minY > 8192 {
		a, b = cutSegment(a, b, reach, clip)
		minX, maxX = min(a.X, b.X), max(a.X, b.X)
		minY, maxY = min(a.Y, b.Y), max(a.Y, b.Y)
	}
	rx0 := max(clip[0], int(minX-reach+0.5))
	rx1 := min(clip[2], int(maxX+reach+0.5))
	ry0 := max(clip[1], int(minY-reach+0.5))
	ry1 := min(clip[3], int(maxY+reach+0.5))
	if rx0 >= rx1 || ry0 >= ry1 {
		return
	}
	m.x0, m.x1 = min(m.x0, rx0), max(m.x1, rx1)
	m.y0, m.y1 = min(m.y0, ry0), max(m.y1, ry1)

	// The pixel in the segment's own axes: along it from its middle (u) and across it (v), in whole
	// numbers of unit(th) parts of the reach. They change by a constant from pixel to pixel and row to row, and
	// whole numbers can be clamped without a branch, which for short segments would be a coin toss.
	dx, dy := b.X-a.X, b.Y-a.Y
	length := float32(math.Sqrt(float64(dx*dx + dy*dy)))
	cos, sin := float32(1), float32(0)
	if length > 1e-6 {
		cos, sin = dx/length, dy/length
	}
	s := float32(unit) / reach
	uX, uY := int(cos*s), int(sin*s)
	vX, vY := -uY, uX
	half := int(length / 2 * s)
	px, py := float32(rx0)+0.5-(a.X+b.X)/2, float32(ry0)+0.5-(a.Y+b.Y)/2
	u, v := int((px*cos+py*sin)*s), int((py*cos-px*sin)*s)
	// Long lines: the slab of the line narrows each row; short ones are quicker without.
	slab := length > 6 && dy != 0
	var slope, halfRow float32
	if slab {
		slope = dx / dy
		halfRow = reach * length / max(dy, -dy)
	}
	lut := m.lut
	for y := ry0; y < ry1; y, u, v = y+1, u+uY, v+vY {
		x0, x1, u, v := rx0, rx1, u, v
		if slab {
			mid := a.X + (float32(y)+0.5-a.Y)*slope
			if l := mid - halfRow + 0.5; l > float32(x0) {
				x0 = int(min(l, float32(x1)))
				u, v = u+(x0-rx0)*uX, v+(x0-rx0)*vX
			}
			if r := mid + halfRow + 0.5; r < float32(x1) {
				x1 = int(max(r, float32(x0)))
			}
			if x0 >= x1 {
				continue
			}
		}
		row := m.pix[y*m.w+x0 : y*m.w+x1]
		for i := range row {
			sign := u >> 63
			over := u ^ sign - sign - half // how far beyond the nearer end
			over &^= over >> 63
			n := min(uint(over*over+v*v)>>lutShift, lutLen)
			row[i] = max(row[i], lut[n])
			u += uX
			v += vX
		}
	}
}

// cutSegment shortens a segment that is much longer than the picture to a part that holds all that can
// be seen of it, so that the arithmetic stays exact.
func cutSegment(a, b Pt, reach float32, clip [4]int) (Pt, Pt) {
	margin := reach + 16
	p, q, ok := cutTo(a, b, Rect{float32(clip[0]) - margin, float32(clip[1]) - margin, float32(clip[2]) + margin, float32(clip[3]) + margin})
	if !ok {
		far := Pt{float32(clip[0]) - 4*reach - 64, float32(clip[1]) - 4*reach - 64}
		return far, far
	}
	return p, q
}

// cutTo is the part of a segment that lies in a box; ok is false when none does (Liang and Barsky, from memory).
func cutTo(a, b Pt, box Rect) (from, to Pt, ok bool) {
	t0, t1 := 0.0, 1.0
	cut := func(p, d, lo, hi float64) {
		if d == 0 {
			if p < lo || p > hi {
				t1 = -1
			}
			return
		}
		u, v := (lo-p)/d, (hi-p)/d
		if u > v {
			u, v = v, u
		}
		t0, t1 = max(t0, u), min(t1, v)
	}
	dx, dy := float64(b.X)-float64(a.X), float64(b.Y)-float64(a.Y)
	cut(float64(a.X), dx, float64(box.X0), float64(box.X1))
	cut(float64(a.Y), dy, float64(box.Y0), float64(box.Y1))
	if t0 >= t1 {
		return a, a, false
	}
	at := func(t float64) Pt { return Pt{float32(float64(a.X) + t*dx), float32(float64(a.Y) + t*dy)} }
	return at(t0), at(t1), true
}

// lay puts the mask over a premultiplied RGBA picture in one colour and clears it.
func (m *mask) lay(pix []uint8, stride int, c color.NRGBA) {
	if m.x0 < m.x1 && m.y0 < m.y1 {
		layCover(m.pix[m.y0*m.w+m.x0:], m.w, m.x1-m.x0, m.y1-m.y0, pix[m.y0*stride+4*m.x0:], stride, c, m.share(c.A))
	}
	m.clean()
}

// layCover lays one colour over w x h pixels by their coverage and sets the coverage to zero; share is
// [mask.share] of its alpha.
func layCover(cover []uint8, coverStride, w, h int, pix []uint8, stride int, c color.NRGBA, share *[256]uint64) {
	full := uint32(c.R) | uint32(c.G)<<8 | uint32(c.B)<<16 | 0xff000000
	even, odd := uint64(full&0x00ff00ff), uint64(full>>8&0x00ff00ff)
	for y := range h {
		row := cover[y*coverStride:][:w]
		out := pix[y*stride:][:4*w]
		for i := 0; i < len(row); i++ {
			if i+8 <= len(row) {
				switch eight := binary.LittleEndian.Uint64(row[i:]); {
				case eight == 0:
					i += 7
					continue
				case eight == math.MaxUint64 && c.A == 255:
					binary.LittleEndian.PutUint64(row[i:], 0)
					for k := 4 * i; k < 4*i+32; k += 8 {
						binary.LittleEndian.PutUint64(out[k:], uint64(full)<<32|uint64(full))
					}
					i += 7
					continue
				}
			}
			cov := row[i]
			if cov == 0 {
				continue
			}
			row[i] = 0
			o := out[4*i : 4*i+4 : 4*i+4]
			a := share[cov] >> 8
			b := 256 - a
			// Two channels at a time, each in its own 16 bits.
			v := binary.LittleEndian.Uint32(o)
			e := (even*a + uint64(v&0x00ff00ff)*b + 0x00800080) >> 8 & 0x00ff00ff
			d := (odd*a + uint64(v>>8&0x00ff00ff)*b + 0x00800080) & 0xff00ff00
			binary.LittleEndian.PutUint32(o, uint32(e|d))
		}
	}
}
