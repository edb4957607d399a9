package plot

import (
	"encoding/binary"
	"image"
	"math"
	"strconv"

	"github.com/paulmach/orb"
)

// Relief is the shading of the ground on a grid of longitude and latitude: 0 in full shade, 255 in full
// light, 128 level or unknown. Row 0 is the northernmost. It must not be changed once a scene has it.
type Relief struct {
	W, H                     int
	Shade                    []uint8
	West, South, East, North float64 // degrees, outer edges of the grid's cells
}

func (r *Relief) usable() bool {
	return r != nil && r.W > 0 && r.H > 0 && len(r.Shade) >= r.W*r.H && r.East > r.West && r.North > r.South
}

// tones are the colour that each shade lays over the ground, premultiplied. Shade darkens more than
// light brightens: the ground is pale already.
func tones(p *Palette) (t [256]uint32) {
	for i := range t {
		c, a, strength := p.Shade, float64(128-i)*2, 0.5
		if i > 128 {
			c, a, strength = p.Lit, float64(i-128)*2, 0.5
			if p.Dark {
				strength = 0.16
			}
		}
		a = min(a, 255) * strength
		m := func(v uint8) uint32 { return uint32(float64(v)*a/255 + 0.5) }
		t[i] = m(c.R) | m(c.G)<<8 | m(c.B)<<16 | uint32(a+0.5)<<24
	}
	return t
}

// reliefBand is how many rows of pixels are shaded at a time.
const reliefBand = 64

// drawRelief lays the shading over the picture, read between the grid's posts. Every row of pixels is
// looked up by its own latitude, so nothing is stretched however far the grid reaches.
func (s *Scene) drawRelief(c Canvas, v View, p *Palette) {
	r := s.relief
	if !r.usable() || v.W < 1 || v.H < 1 {
		return
	}
	x0, yTop := s.Proj.XY(orb.Point{r.West, r.North})
	x1, yBot := s.Proj.XY(orb.Point{r.East, r.South})
	if !v.extent(0).meets(Extent{x0, yBot, x1, yTop}) || x1 <= x0 {
		return
	}
	t := tones(p)
	// Pixels take the shading in bands, so that a picture costs no second one. A file takes it whole.
	band := v.H
	if _, ok := c.(*Raster); ok {
		band = min(band, reliefBand)
	}
	img := image.NewRGBA(image.Rect(0, 0, v.W, band))
	perPx := float64(r.W) / (x1 - x0) * v.MetresPerPx
	left, _ := v.Plane(Pt{0.5, 0.5})
	u0 := (left-x0)/(x1-x0)*float64(r.W) - 0.5
	// Columns of the grid under each pixel, the same for all rows: i and j with the share a/256 of j.
	type column struct{ i, j, a int32 }
	columns := make([]column, v.W)
	for x := range columns {
		u := u0 + float64(x)*perPx
		if u < -0.5 || u > float64(r.W)-0.5 {
			columns[x].i = -1
			continue
		}
		u = max(0, min(float64(r.W-1), u))
		i := min(int(u), max(0, r.W-2))
		columns[x] = column{int32(i), int32(min(i+1, r.W-1)), int32((u - float64(i)) * 256)}
	}
	for y := 0; y < v.H; y++ {
		if y > 0 && y%band == 0 {
			c.Image(Rect{0, float32(y - band), float32(v.W), float32(y)}, img)
			clear(img.Pix)
		}
		_, py := v.Plane(Pt{0, float32(y) + 0.5})
		lat := s.Proj.LonLat(0, py).Lat()
		f := (r.North-lat)/(r.North-r.South)*float64(r.H) - 0.5
		if f < -0.5 || f > float64(r.H)-0.5 {
			continue
		}
		f = max(0, min(float64(r.H-1), f))
		row := min(int(f), max(0, r.H-2))
		b := int((f - float64(row)) * 256)
		top := r.Shade[row*r.W : (row+1)*r.W]
		low := top
		if r.H > 1 {
			low = r.Shade[(row+1)*r.W : (row+2)*r.W]
		}
		out := img.Pix[y%band*img.Stride : (y%band+1)*img.Stride]
		for x, col := range columns {
			if col.i < 0 {
				continue
			}
			up := int(top[col.i])*(256-int(col.a)) + int(top[col.j])*int(col.a)
			dn := int(low[col.i])*(256-int(col.a)) + int(low[col.j])*int(col.a)
			binary.LittleEndian.PutUint32(out[4*x:], t[uint8((up*(256-b)+dn*b)>>16)])
		}
	}
	last := (v.H - 1) / band * band
	c.Image(Rect{0, float32(last), float32(v.W), float32(last + band)}, img)
}

// metres writes a height as a whole number.
func metres(v float64) string { return strconv.Itoa(int(math.Round(v))) }
