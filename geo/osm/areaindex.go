package osm

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// AreaIndex tells which areas lie under a point. It is built once and may be used by several goroutines
// at once.
//
// The edges of every area are sorted into horizontal bands, so that a point is tested against the edges
// of its band only; the boxes of the areas are sorted into the cells of a grid of which each cell lists
// the areas that touch it, smallest first; the few that cover much of the region stand in a list of their own.
type AreaIndex struct {
	areas      []Area
	shape      []banded
	box        orb.Bound
	cols, rows int
	perX, perY float64 // cells a degree
	start      []int32 // areas of cell c: list[start[c]:start[c+1]]
	list       []int32
	wide       []int32 // areas over too many cells to be listed in each
	rank       []int32 // by area, its place in the order of size
}

// wideCells is how many cells an area may be listed in.
const wideCells = 256

// banded holds the edges of one area in bands of equal height.
type banded struct {
	south, perY float64
	bands       int32
	start       []int32 // edges of band b: edge[start[b]:start[b+1]]
	edge        []edgeLine
}

// edgeLine is an edge from south to north.
type edgeLine struct{ x0, y0, x1, y1 float64 }

// edgesPerBand is how many edges a band should hold: fewer cost memory, more time. Bands of 6 to 20 made
// no difference that could be measured.
const edgesPerBand = 8

// NewAreaIndex builds the index of areas, which are kept and must not change.
func NewAreaIndex(areas []Area) *AreaIndex {
	x := &AreaIndex{areas: areas, shape: make([]banded, len(areas))}
	if len(areas) == 0 {
		return x
	}
	x.box = areas[0].Bound
	for i := range areas {
		x.shape[i] = band(areas[i].Polygons, areas[i].Bound)
		x.box = x.box.Union(areas[i].Bound)
	}
	// About two cells an area, square in degrees.
	w, h := x.box.Max[0]-x.box.Min[0], x.box.Max[1]-x.box.Min[1]
	side := math.Sqrt(math.Max(w*h, 1e-12) / float64(2*len(areas)))
	side = math.Max(side, math.Max(w, h)/4000)
	x.cols, x.rows = int(w/side)+1, int(h/side)+1
	x.perX, x.perY = 1/side, 1/side
	order := make([]int32, len(areas)) // smallest first
	size := make([]float64, len(areas))
	for i := range areas {
		order[i] = int32(i)
		for _, p := range areas[i].Polygons {
			for k, r := range p {
				if a := math.Abs(ringArea(r)); k == 0 {
					size[i] += a
				} else {
					size[i] -= a
				}
			}
		}
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Or(cmp.Compare(size[a], size[b]), cmp.Compare(a, b)) })
	x.start = make([]int32, x.cols*x.rows+1)
	x.rank = make([]int32, len(areas))
	for k, i := range order {
		x.rank[i] = int32(k)
	}
	each := func(f func(cell int, area int32)) {
		x.wide = x.wide[:0]
		for _, i := range order {
			b := areas[i].Bound
			i0, j0 := x.cell(b.Min)
			i1, j1 := x.cell(b.Max)
			if (i1-i0+1)*(j1-j0+1) > wideCells {
				x.wide = append(x.wide, i)
				continue
			}
			for j := j0; j <= j1; j++ {
				for c := i0; c <= i1; c++ {
					f(j*x.cols+c, i)
				}
			}
		}
	}
	each(func(cell int, _ int32) { x.start[cell+1]++ })
	for c := 1; c < len(x.start); c++ {
		x.start[c] += x.start[c-1]
	}
	x.list = make([]int32, x.start[len(x.start)-1])
	at := slices.Clone(x.start)
	each(func(cell int, area int32) {
		x.list[at[cell]] = area
		at[cell]++
	})
	return x
}

func (x *AreaIndex) cell(p orb.Point) (i, j int) {
	i, j = int((p[0]-x.box.Min[0])*x.perX), int((p[1]-x.box.Min[1])*x.perY)
	return min(max(i, 0), x.cols-1), min(max(j, 0), x.rows-1)
}

// At appends to dst the indices of the areas that contain p, the smallest first, and returns it. A point
// exactly on an edge may count as in or out.
func (x *AreaIndex) At(dst []int32, p orb.Point) []int32 {
	if len(x.areas) == 0 || !x.box.Contains(p) {
		return dst
	}
	i, j := x.cell(p)
	c := j*x.cols + i
	from := len(dst)
	for _, a := range x.list[x.start[c]:x.start[c+1]] {
		if x.areas[a].Bound.Contains(p) && x.shape[a].has(p) {
			dst = append(dst, a)
		}
	}
	near := len(dst)
	for _, a := range x.wide {
		if x.areas[a].Bound.Contains(p) && x.shape[a].has(p) {
			dst = append(dst, a)
		}
	}
	if near > from && len(dst) > near {
		slices.SortFunc(dst[from:], func(a, b int32) int { return cmp.Compare(x.rank[a], x.rank[b]) })
	}
	return dst
}

// Kinds appends to dst the kinds of the areas that contain p, that of the smallest first, each once.
func (x *AreaIndex) Kinds(dst []AreaKind, p orb.Point) []AreaKind {
	var buf [16]int32
	for _, a := range x.At(buf[:0], p) {
		if k := x.areas[a].Kind; !slices.Contains(dst, k) {
			dst = append(dst, k)
		}
	}
	return dst
}

// band sorts the edges of polygons into bands.
func band(mp orb.MultiPolygon, box orb.Bound) banded {
	n := 0
	for _, p := range mp {
		for _, r := range p {
			n += len(r)
		}
	}
	h := box.Max[1] - box.Min[1]
	b := banded{south: box.Min[1], bands: int32(max(1, min(n/edgesPerBand, 1<<16)))}
	if h > 0 {
		b.perY = float64(b.bands) / h
	}
	b.start = make([]int32, b.bands+1)
	each := func(f func(band int32, e edgeLine)) {
		for _, p := range mp {
			for _, r := range p {
				for i := 1; i < len(r); i++ {
					e := edgeLine{r[i-1][0], r[i-1][1], r[i][0], r[i][1]}
					if e.y0 == e.y1 {
						continue // never crossed by a line to the east
					}
					if e.y0 > e.y1 {
						e = edgeLine{e.x1, e.y1, e.x0, e.y0}
					}
					for k := b.band(e.y0); k <= b.band(e.y1); k++ {
						f(k, e)
					}
				}
			}
		}
	}
	each(func(k int32, _ edgeLine) { b.start[k+1]++ })
	for k := 1; k < len(b.start); k++ {
		b.start[k] += b.start[k-1]
	}
	b.edge = make([]edgeLine, b.start[b.bands])
	at := slices.Clone(b.start)
	each(func(k int32, e edgeLine) {
		b.edge[at[k]] = e
		at[k]++
	})
	return b
}

func (b *banded) band(y float64) int32 {
	return min(max(int32((y-b.south)*b.perY), 0), b.bands-1)
}

// has counts the edges that a line from p to the east crosses.
func (b *banded) has(p orb.Point) bool {
	k := b.band(p[1])
	in := false
	for i := b.start[k]; i < b.start[k+1]; i++ {
		e := &b.edge[i]
		if e.y0 <= p[1] && p[1] < e.y1 && (p[0]-e.x0)*(e.y1-e.y0) < (e.x1-e.x0)*(p[1]-e.y0) {
			in = !in
		}
	}
	return in
}
