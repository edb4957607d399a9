package plot

import (
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Projection is the plane of a map: the Mercator projection of the WGS84 ellipsoid, scaled so that it is
// true at its origin. It keeps angles, so that shapes are right at any zoom; away from the origin's
// latitude its scale changes (1 % at 60 km north of an origin at 45 degrees), which [Projection.Stretch]
// tells and the scale bar heeds. Distances shown to the user are never measured in it.
type Projection struct {
	lon0, k, psi0 float64
}

// eccentricity of the ellipsoid, from its two radii of curvature at the equator: a(1-e2) and a.
var eccentricity = func() float64 {
	m, n := geo.Radii(0)
	return math.Sqrt(1 - m/n)
}()

// maxLat keeps the poles out, which lie at infinity.
const maxLat = 89.0

// NewProjection makes the plane whose origin is p.
func NewProjection(p orb.Point) Projection {
	lat := max(-maxLat, min(maxLat, p.Lat()))
	_, n := geo.Radii(lat)
	return Projection{lon0: p.Lon(), k: n * math.Cos(rad(lat)), psi0: isometric(rad(lat))}
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }

// isometric is the isometric latitude of a geographic latitude (Snyder, Map Projections: A Working
// Manual, USGS Professional Paper 1395, 1987, equation 7-7, in its atanh form).
func isometric(lat float64) float64 {
	s := math.Sin(lat)
	return math.Atanh(s) - eccentricity*math.Atanh(eccentricity*s)
}

// XY gives the place of p in metres east and north of the origin. The short way round is taken across
// the antimeridian.
func (p Projection) XY(at orb.Point) (x, y float64) {
	d := geo.LonDiff(p.lon0, at.Lon())
	lat := max(-maxLat, min(maxLat, at.Lat()))
	return p.k * rad(d), p.k * (isometric(rad(lat)) - p.psi0)
}

// LonLat is the reverse of XY, to a millionth of a metre.
func (p Projection) LonLat(x, y float64) orb.Point {
	psi := y/p.k + p.psi0
	s := math.Tanh(psi)
	for range 8 {
		s = math.Tanh(psi + eccentricity*math.Atanh(eccentricity*s))
	}
	return orb.Point{geo.WrapLon(p.lon0 + x/p.k*180/math.Pi), math.Asin(s) * 180 / math.Pi}
}

// Stretch is how many metres of the plane lie in one metre of the ground at the given northing.
func (p Projection) Stretch(y float64) float64 {
	lat := p.LonLat(0, y).Lat()
	_, n := geo.Radii(lat)
	return p.k / (n * math.Cos(rad(lat)))
}

// View is what a map picture shows: the place at its middle, how far it is zoomed, and its size.
type View struct {
	// X, Y is the middle of the picture in metres of the scene's plane, y north.
	X, Y float64
	// MetresPerPx is the width of one pixel on the plane, above 0.
	MetresPerPx float64
	W, H        int // pixels
	// Scale is the number of pixels to a unit of line widths and letter sizes: 1 on a plain screen.
	Scale float32
}

// Screen gives the pixel of a place of the plane.
func (v View) Screen(x, y float64) Pt {
	return Pt{float32((x-v.X)/v.MetresPerPx) + float32(v.W)/2, float32((v.Y-y)/v.MetresPerPx) + float32(v.H)/2}
}

// Plane gives the place of the plane under a pixel.
func (v View) Plane(p Pt) (x, y float64) {
	return v.X + float64(p.X-float32(v.W)/2)*v.MetresPerPx, v.Y - float64(p.Y-float32(v.H)/2)*v.MetresPerPx
}

// ZoomAt is the view after zooming by factor (above 1 is nearer) with the place under p kept in its place.
// The zoom stops at MinMetresPerPx and MaxMetresPerPx.
func (v View) ZoomAt(p Pt, factor float64) View {
	x, y := v.Plane(p)
	v.MetresPerPx = max(MinMetresPerPx, min(MaxMetresPerPx, v.MetresPerPx/factor))
	nx, ny := v.Plane(p)
	v.X += x - nx
	v.Y += y - ny
	return v
}

// The ends of the zoom: a vehicle's length over some twenty pixels, a continent on one screen.
const (
	MinMetresPerPx = 0.2
	MaxMetresPerPx = 8000
)

// PanPx is the view moved so that the ground under the picture goes dx, dy pixels right and down.
func (v View) PanPx(dx, dy float64) View {
	v.X -= dx * v.MetresPerPx
	v.Y += dy * v.MetresPerPx
	return v
}

// Fit is the view of the given size that shows all of b (plane metres) with a margin in pixels.
func Fit(b Extent, w, h int, scale float32, margin float64) View {
	v := View{W: w, H: h, Scale: scale, MetresPerPx: 100}
	if b.Empty() {
		return v
	}
	v.X, v.Y = (b.X0+b.X1)/2, (b.Y0+b.Y1)/2
	nw, nh := max(32, float64(w)-2*margin), max(32, float64(h)-2*margin)
	v.MetresPerPx = max(MinMetresPerPx, min(MaxMetresPerPx, max((b.X1-b.X0)/nw, (b.Y1-b.Y0)/nh, 0.5)))
	return v
}

// Extent is an upright box of the plane in metres; its zero value is a point, NoExtent is empty.
type Extent struct{ X0, Y0, X1, Y1 float64 }

// NoExtent holds nothing and grows to what is added.
var NoExtent = Extent{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

// Empty reports whether nothing was added to e.
func (e Extent) Empty() bool { return e.X0 > e.X1 }

// Add is e grown to hold x, y.
func (e Extent) Add(x, y float64) Extent {
	return Extent{min(e.X0, x), min(e.Y0, y), max(e.X1, x), max(e.Y1, y)}
}

func (e Extent) meets(o Extent) bool {
	return e.X0 <= o.X1 && o.X0 <= e.X1 && e.Y0 <= o.Y1 && o.Y0 <= e.Y1
}

// extent is the part of the plane that v shows, with a margin in pixels.
func (v View) extent(margin float64) Extent {
	hw, hh := (float64(v.W)/2+margin)*v.MetresPerPx, (float64(v.H)/2+margin)*v.MetresPerPx
	return Extent{v.X - hw, v.Y - hh, v.X + hw, v.Y + hh}
}
