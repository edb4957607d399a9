package plot

import (
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo/contour"
	"lastroad/geo/height"
)

// maxShadePosts bounds the posts of the shading on a side: 6 MB, and finer than a screen for any region
// that is seen whole.
const maxShadePosts = 2400

// contourSteps are the distances between contours in metres that maps use; the first that gives at most
// maxContours heights is taken.
var contourSteps = [...]float64{10, 20, 50, 100, 200}

const maxContours = 60

// AddHeights adds shading and contours of a box in degrees to the ground, read at the spacing of the
// heights. A nil model or an empty box adds nothing. The contours are drawn from m when a picture first shows them.
func AddHeights(g *Ground, m *height.Model, box orb.Bound) {
	if m == nil || box.IsEmpty() || !(box.Max[0] > box.Min[0]) || !(box.Max[1] > box.Min[1]) {
		return
	}
	mid := box.Center()
	dLat, dLon := 1.0/1200, 1.0/1200
	if cell := m.CellM(mid[0], mid[1]); cell == cell && cell > 0 {
		dLat = cell / 111_000
		dLon = dLat / max(0.1, math.Cos(rad(mid[1])))
	}
	cols := max(2, min(maxShadePosts, int(math.Ceil((box.Max[0]-box.Min[0])/dLon))+1))
	rows := max(2, min(maxShadePosts, int(math.Ceil((box.Max[1]-box.Min[1])/dLat))+1))
	f := contour.FromModel(m, box, cols, rows)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, h := range f.HeightM {
		if h == h {
			lo, hi = min(lo, float64(h)), max(hi, float64(h))
		}
	}
	if lo > hi {
		return
	}
	g.Relief = shading(f, hi-lo)
	// The field is read again then: it is large, and many a map is never looked at so closely.
	g.Contours = func() []Contour { return contours(contour.FromModel(m, box, cols, rows), hi-lo) }
}

// contours are the lines of a field whose heights lie in a range. Those that cannot be drawn, of more heights than the
// earth has, leave a map without them; nothing else depends on them.
func contours(f contour.Field, rangeM float64) (out []Contour) {
	step := contourSteps[len(contourSteps)-1]
	for _, s := range contourSteps {
		if rangeM/s <= maxContours {
			step = s
			break
		}
	}
	lines, _ := contour.Lines(f, step)
	for _, l := range lines {
		line := make(orb.LineString, len(l.Points))
		for i, p := range l.Points {
			line[i] = f.Place(p)
		}
		out = append(out, Contour{HeightM: l.HeightM, Heavy: math.Mod(math.Round(l.HeightM/step), 5) == 0, Line: line})
	}
	return out
}

// shading lights the field. Low country is exaggerated so that its washes and ridges show: judgement, by
// looking at ranges of 100 m to 3000 m.
func shading(f contour.Field, rangeM float64) *Relief {
	exaggerate := max(1, min(3, 1800/max(1, rangeM)))
	s := contour.Hillshade(contour.Shade{}, f, contour.FourSuns, exaggerate)
	// Level ground under lights at 30 degrees is half lit.
	const level = 128
	shade := make([]uint8, len(s.Grey))
	for i, v := range s.Grey {
		shade[i] = level
		if s.Known[i] {
			shade[i] = v
		}
	}
	halfLon := (f.Box.Max[0] - f.Box.Min[0]) / float64(f.Cols-1) / 2
	halfLat := (f.Box.Max[1] - f.Box.Min[1]) / float64(f.Rows-1) / 2
	return &Relief{W: f.Cols, H: f.Rows, Shade: shade, West: f.Box.Min[0] - halfLon, East: f.Box.Max[0] + halfLon,
		South: f.Box.Min[1] - halfLat, North: f.Box.Max[1] + halfLat}
}
