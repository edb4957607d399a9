package height

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Model is several tiles seen as one surface: at any place the finest tile that knows the height
// answers, and where it is void the next finest. Between tiles of one series (same step, posts on
// one lattice) the cells that reach over a seam are read from both sides. It is never changed once
// made and may be used from several goroutines. The zero value and nil know no height anywhere.
type Model struct {
	tiles []*tileIn
	// cells holds, for each whole degree, which list of tiles touches it; 0 is the empty list.
	cells []uint16
	lists [][]*tileIn
}

// tileIn is a tile with what the model knows of its place among the others.
type tileIn struct {
	*Tile
	perLon, perLat float64 // posts a degree
	// alone is true when no tile that goes before this one overlaps it, so that a point inside
	// it need not ask the others first.
	alone bool
}

// NewModel joins tiles, in any order; tiles given earlier win among equally fine ones. Nil tiles are
// left out.
func NewModel(tiles ...*Tile) *Model {
	m := &Model{lists: [][]*tileIn{nil}}
	for _, t := range tiles {
		if t != nil {
			m.tiles = append(m.tiles, &tileIn{Tile: t, perLon: 1 / t.DLon, perLat: 1 / t.DLat})
		}
	}
	sort.SliceStable(m.tiles, func(i, j int) bool {
		a, b := m.tiles[i], m.tiles[j]
		return finer(a.Tile, b.Tile)
	})
	if len(m.tiles) == 0 {
		return m
	}
	m.cells = make([]uint16, 360*180)
	for i, t := range m.tiles {
		t.alone = true
		for _, u := range m.tiles[:i] {
			if t.overlaps(u.Tile) {
				t.alone = false
			}
		}
		m.enter(t)
	}
	return m
}

// finer reports whether a has clearly shorter steps than b, by area of a cell in degrees: tiles at
// one place share the latitude, so degrees do for metres.
func finer(a, b *Tile) bool { return a.DLon*a.DLat < b.DLon*b.DLat*(1-1e-6) }

// overlaps reports whether the posts of two tiles share more than an edge.
func (t *Tile) overlaps(u *Tile) bool {
	tiny := 0.01 * min(t.DLon, u.DLon)
	if t.South() >= u.North-tiny || u.South() >= t.North-tiny {
		return false
	}
	for _, turn := range [...]float64{-360, 0, 360} {
		if t.West+turn < u.East()-tiny && u.West < t.East()+turn-tiny {
			return true
		}
	}
	return false
}

// enter puts a tile on the lists of the whole degrees that it touches, half a cell around it included.
func (m *Model) enter(t *tileIn) {
	const rim = 0.5 + snap
	s := max(int(math.Floor(t.South()-rim*t.DLat)), -90)
	n := min(int(math.Floor(t.North+rim*t.DLat)), 89)
	w := int(math.Floor(t.West - rim*t.DLon))
	e := min(int(math.Floor(t.East()+rim*t.DLon)), w+359)
	for lat := s; lat <= n; lat++ {
		for lon := w; lon <= e; lon++ {
			c := &m.cells[(lat+90)*360+((lon+540)%360)]
			list := append(slices.Clone(m.lists[*c]), t)
			found := slices.IndexFunc(m.lists, func(l []*tileIn) bool { return slices.Equal(l, list) })
			if found < 0 {
				if len(m.lists) > math.MaxUint16 {
					panic("height: too many different combinations of tiles")
				}
				found = len(m.lists)
				m.lists = append(m.lists, list)
			}
			*c = uint16(found)
		}
	}
}

// at lists the tiles that may know a place, finest first. lon must be in [-180, 180).
func (m *Model) at(lon, lat float64) []*tileIn {
	if m == nil || len(m.tiles) == 0 || !(lat >= -90 && lat <= 90) || lon != lon {
		return nil
	}
	row := min(int(lat+90), 179)
	return m.lists[m.cells[row*360+int(lon+180)]]
}

// Tiles are the tiles of the model, finest first.
func (m *Model) Tiles() []*Tile {
	if m == nil {
		return nil
	}
	tiles := make([]*Tile, len(m.tiles))
	for i, t := range m.tiles {
		tiles[i] = t.Tile
	}
	return tiles
}

// Height is the height of the ground in metres at a place in degrees, bilinear between the four
// posts around it; NaN outside the tiles and where one of those posts is void in every tile that
// covers the place. On a post only that post counts, in whole agreement with the file.
func (m *Model) Height(lon, lat float64) float64 {
	lon = geo.WrapLon(lon)
	list := m.at(lon, lat)
	for _, t := range list {
		if h := m.heightIn(t, lon, lat); h == h {
			return h
		}
	}
	// The rim: within half a cell of the outermost posts the nearest edge speaks, since the pixels of
	// a tile reach that far. It closes the seam between neighbours of unlike step.
	for _, t := range list {
		x, y := t.place(lon, lat)
		if x < -0.5-snap || y < -0.5-snap || x > float64(t.Cols)-0.5+snap || y > float64(t.Rows)-0.5+snap {
			continue
		}
		x = min(max(x, 0), float64(t.Cols-1))
		y = min(max(y, 0), float64(t.Rows-1))
		if h := t.bilinear(x, y); h == h {
			return h
		}
	}
	return math.NaN()
}

// place gives the column and row of a place, the nearer turn of the globe.
func (t *tileIn) place(lon, lat float64) (x, y float64) {
	d := lon - t.West
	if d < -0.5*t.DLon-snap {
		d += 360
	} else if d >= 360-0.5*t.DLon {
		d -= 360
	}
	return d * t.perLon, (t.North - lat) * t.perLat
}

// heightIn reads one tile, with its neighbours of the same series where a cell reaches over its edge.
func (m *Model) heightIn(t *tileIn, lon, lat float64) float64 {
	x, y := t.place(lon, lat)
	w, s := float64(t.Cols-1), float64(t.Rows-1)
	if x >= -snap && x <= w+snap && y >= -snap && y <= s+snap {
		if h := t.bilinear(x, y); h == h {
			return h
		}
	}
	// One of the four posts lies outside or is void; a neighbour may know it (shared edges, seams).
	if x > 1 && x < w-1 && y > 1 && y < s-1 || x < -1 || x > w+1 || y < -1 || y > s+1 {
		return math.NaN()
	}
	i, fx := floorSnap(x)
	j, fy := floorSnap(y)
	return blend(m.post(t, i, j), m.post(t, i+1, j), m.post(t, i, j+1), m.post(t, i+1, j+1), fx, fy)
}

// floorSnap is the whole part of x and the rest, a rest next to nothing taken for none.
func floorSnap(x float64) (int, float64) {
	i := math.Floor(x + snap)
	if f := x - i; f > snap {
		return int(i), f
	}
	return int(i), 0
}

// post is the height of a post of t's lattice, which may lie beyond t's edge in a neighbour of the
// same series; NaN when none knows it.
func (m *Model) post(t *tileIn, col, row int) float64 {
	if h := t.At(col, row); h == h {
		return h
	}
	if col > 0 && row > 0 && col < t.Cols-1 && row < t.Rows-1 {
		return math.NaN()
	}
	lon := geo.WrapLon(t.West + float64(col)*t.DLon)
	lat := t.North - float64(row)*t.DLat
	for _, u := range m.at(lon, lat) {
		if u == t || !t.sameSeries(u.Tile) {
			continue
		}
		x, y := u.place(lon, lat)
		i, j := math.Round(x), math.Round(y)
		if math.Abs(x-i) > 0.01 || math.Abs(y-j) > 0.01 {
			continue
		}
		if h := u.At(int(i), int(j)); h == h {
			return h
		}
	}
	return math.NaN()
}

// sameSeries reports whether two tiles have the same steps, to a hundredth of a cell over a whole tile.
func (t *Tile) sameSeries(u *Tile) bool {
	return math.Abs(t.DLon-u.DLon)*float64(max(t.Cols, u.Cols)) < 0.01*t.DLon &&
		math.Abs(t.DLat-u.DLat)*float64(max(t.Rows, u.Rows)) < 0.01*t.DLat
}

// tileAt is the finest tile that knows the height of a place; nil when none does.
func (m *Model) tileAt(lon, lat float64) *tileIn {
	lon = geo.WrapLon(lon)
	for _, t := range m.at(lon, lat) {
		if h := m.heightIn(t, lon, lat); h == h {
			return t
		}
	}
	return nil
}

// CellM is the spacing in metres of the posts that [Model.Height] reads at a place, the longer of
// its two sides; NaN where no height is known.
func (m *Model) CellM(lon, lat float64) float64 {
	t := m.tileAt(lon, lat)
	if t == nil {
		return math.NaN()
	}
	dx, dy := t.cellM(lat)
	return max(dx, dy)
}

// cellM gives the east and north sides of a cell in metres at a latitude in degrees.
func (t *Tile) cellM(lat float64) (dx, dy float64) {
	mer, nor := geo.Radii(lat)
	return nor * math.Cos(lat*math.Pi/180) * t.DLon * math.Pi / 180, mer * t.DLat * math.Pi / 180
}

// Covers reports whether a box in degrees lies wholly within tiles, voids not counted. It asks the
// tiles, not every post.
func (m *Model) Covers(b orb.Bound) bool {
	// The finest step decides how close the probes must lie to notice a missing tile of a degree or
	// of the file's own size; tiles are far larger than a 20th of a degree.
	const probe = 0.05
	nx := int(math.Ceil((b.Max[0]-b.Min[0])/probe)) + 1
	ny := int(math.Ceil((b.Max[1]-b.Min[1])/probe)) + 1
	for j := 0; j <= ny; j++ {
		for i := 0; i <= nx; i++ {
			lon := b.Min[0] + (b.Max[0]-b.Min[0])*float64(i)/float64(nx)
			lat := b.Min[1] + (b.Max[1]-b.Min[1])*float64(j)/float64(ny)
			if !m.inside(lon, lat) {
				return false
			}
		}
	}
	return true
}

func (m *Model) inside(lon, lat float64) bool {
	lon = geo.WrapLon(lon)
	for _, t := range m.at(lon, lat) {
		x, y := t.place(lon, lat)
		if x >= -0.5-snap && y >= -0.5-snap && x <= float64(t.Cols)-0.5+snap && y <= float64(t.Rows)-0.5+snap {
			return true
		}
	}
	return false
}
