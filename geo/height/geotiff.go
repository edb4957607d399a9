package height

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// ReadGeoTIFF reads the heights of a GeoTIFF or cloud-optimised GeoTIFF: one band of 16 or 32 bit
// integers or 32 or 64 bit floats, in strips or tiles, plain, LZW or deflate, with any of the three
// predictors, classic or BigTIFF, either byte order, in WGS84 longitude and latitude. Where the
// raster's values stand for areas (the default of the format) posts are the middles of pixels, else
// the tie point itself. The no-data value of tag 42113, NaN, and what cannot be a height are
// unknown. Scale, offset and feet, where the file states them, are applied. Only the first full
// image is read.
//
// within limits reading to a box in degrees and two posts around it, so that a file of a whole
// country costs only what is needed; the zero box takes all. A file that does not touch the box, is of
// another kind or reference system, damaged, or larger than [MaxPosts] gives a [geo.InputError].
func ReadGeoTIFF(r io.ReaderAt, size int64, name string, within orb.Bound) (*Tile, error) {
	t, err := readGeoTIFF(r, size, within)
	if err != nil {
		e, ok := err.(*geo.InputError)
		if !ok {
			e = &geo.InputError{Reason: "is not a height grid that can be read", Err: err}
		}
		e.File = base(name)
		return nil, e
	}
	t.Name = base(name)
	return t, nil
}

func bad(where, reason, remedy string) error {
	return &geo.InputError{Where: where, Reason: reason, Remedy: remedy}
}

const (
	remedyWGS84 = "warp it first: gdalwarp -t_srs EPSG:4326 in.tif out.tif"
	remedyPlain = "rewrite it first: gdal_translate -co COMPRESS=DEFLATE in.tif out.tif"
	remedyAgain = "download it again"
)

func readGeoTIFF(r io.ReaderAt, size int64, within orb.Bound) (*Tile, error) {
	d, err := openTIFF(r, size)
	if err != nil {
		return nil, err
	}
	img, err := d.image()
	if err != nil {
		return nil, err
	}
	place, err := d.place()
	if err != nil {
		return nil, err
	}
	col0, row0, cols, rows, err := place.window(img.width, img.height, within)
	if err != nil {
		return nil, err
	}
	if cols > MaxPosts/rows {
		return nil, bad("", fmt.Sprintf("%d x %d posts are more than %d", cols, rows, MaxPosts), "cut out the part around the route")
	}
	// Deflate and LZW shrink by some thousand times at best; a file that claims more is broken.
	if need := int64(cols) * int64(rows) * int64(img.bytes); need > 1<<20 && need/4000 > size {
		return nil, bad("", fmt.Sprintf("a file of %d bytes cannot hold %d x %d posts", size, cols, rows), remedyAgain)
	}
	t := &Tile{Cols: cols, Rows: rows, DLon: place.dLon, DLat: place.dLat,
		West: place.west + float64(col0)*place.dLon, North: place.north - float64(row0)*place.dLat}
	if err := t.check(); err != nil {
		return nil, bad("", err.Error(), "")
	}
	t.real = make([]float32, cols*rows)
	if err := img.read(t.real, col0, row0, cols, rows); err != nil {
		return nil, err
	}
	t.settle()
	return t, nil
}

// frame is where the posts of an image lie: post (0, 0) and steps, in degrees.
type frame struct{ west, north, dLon, dLat float64 }

// The GeoKeys and codes looked at. Source: OGC GeoTIFF standard 1.1 (OGC 19-008r4), chapter 7 and annex B.
const (
	keyModelType     = 1024
	keyRasterType    = 1025
	keyGeodeticCRS   = 2048
	keyGeodeticDatum = 2050
	keyAngularUnits  = 2054
	keyEllipsoid     = 2056
	keyVerticalUnits = 4099

	modelGeographic = 2
	rasterPoint     = 2
	crsWGS84        = 4326
	crsWGS84Solid   = 4979 // with ellipsoidal height
	crsUser         = 32767
	datumWGS84      = 6326
	ellipsoidWGS84  = 7030
	unitDegree      = 9102
	unitMetre       = 9001
	unitFoot        = 9002
	unitSurveyFoot  = 9003
)

// place finds the frame and refuses other reference systems.
func (d *tiff) place() (frame, error) {
	keys, err := d.geoKeys()
	if err != nil {
		return frame{}, err
	}
	if len(keys) == 0 {
		return frame{}, bad("", "names no reference system", "assign one with gdal_translate -a_srs if you know it")
	}
	if m := keys[keyModelType]; m != modelGeographic {
		return frame{}, bad("", "is on a map projection, not in longitude and latitude", remedyWGS84)
	}
	switch crs := keys[keyGeodeticCRS]; {
	case crs == crsWGS84 || crs == crsWGS84Solid:
	case (crs == crsUser || crs == 0) && (keys[keyGeodeticDatum] == datumWGS84 || keys[keyEllipsoid] == ellipsoidWGS84):
	default:
		return frame{}, bad("", fmt.Sprintf("is in reference system EPSG:%d, not WGS84", crs), remedyWGS84)
	}
	if u, ok := keys[keyAngularUnits]; ok && u != unitDegree {
		return frame{}, bad("", fmt.Sprintf("counts angles in unit %d, not in degrees", u), remedyWGS84)
	}
	var f frame
	if m, err := d.floats(tagTransformation, 16); err != nil {
		return frame{}, err
	} else if m != nil {
		if m[1] != 0 || m[4] != 0 {
			return frame{}, bad("", "is turned against north", remedyWGS84)
		}
		f = frame{west: m[3], north: m[7], dLon: m[0], dLat: -m[5]}
	} else {
		scale, err := d.floats(tagPixelScale, 3)
		if err != nil {
			return frame{}, err
		}
		tie, err := d.floats(tagTiePoint, 6)
		if err != nil {
			return frame{}, err
		}
		if scale == nil || tie == nil {
			return frame{}, bad("", "does not say where it lies", "")
		}
		f = frame{west: tie[3] - tie[0]*scale[0], north: tie[4] + tie[1]*scale[1], dLon: scale[0], dLat: scale[1]}
	}
	if !(f.dLon > 0 && f.dLat > 0 && f.dLon < 360 && f.dLat < 180) || !(math.Abs(f.west) <= 720) || !(math.Abs(f.north) <= 180) {
		return frame{}, bad("", fmt.Sprintf("lies at %g, %g with steps of %g and %g degrees, which is nowhere", f.west, f.north, f.dLon, -f.dLat), "")
	}
	if keys[keyRasterType] != rasterPoint {
		f.west += f.dLon / 2
		f.north -= f.dLat / 2
	}
	if f.west > 180 {
		f.west -= 360
	}
	return f, nil
}

// window gives the posts needed for a box, all of them for the zero box.
func (f frame) window(width, height int, within orb.Bound) (col, row, cols, rows int, err error) {
	if within == (orb.Bound{}) {
		return 0, 0, width, height, nil
	}
	const margin = 2
	find := func(lo, hi float64, n int) (int, int, bool) {
		a := math.Max(math.Floor(lo)-margin, 0)
		b := math.Min(math.Ceil(hi)+margin, float64(n-1))
		if !(a < b) {
			return 0, 0, false
		}
		return int(a), int(b-a) + 1, true
	}
	row, rows, ok := find((f.north-within.Max[1])/f.dLat, (f.north-within.Min[1])/f.dLat, height)
	if ok {
		// The box may lie one turn of the globe away from the numbers of the file.
		for _, turn := range [...]float64{0, 360, -360} {
			if col, cols, ok = find((within.Min[0]+turn-f.west)/f.dLon, (within.Max[0]+turn-f.west)/f.dLon, width); ok {
				return col, row, cols, rows, nil
			}
		}
	}
	return 0, 0, 0, 0, &geo.InputError{Reason: fmt.Sprintf("lies outside the box from %g, %g to %g, %g", within.Min[0], within.Min[1], within.Max[0], within.Max[1]), Err: errElsewhere}
}

// errElsewhere marks a file that is good but of another place.
var errElsewhere = errors.New("no heights there")

// geoKeys reads the keys with short values.
func (d *tiff) geoKeys() (map[int]int, error) {
	raw, err := d.ints(tagGeoKeys, 4*1024)
	if err != nil || len(raw) < 4 {
		return nil, err
	}
	keys := map[int]int{}
	for i := 4; i+3 < len(raw) && (i-4)/4 < int(raw[3]); i += 4 {
		if raw[i+1] == 0 { // value kept in the entry itself
			keys[int(raw[i])] = int(raw[i+3])
		}
	}
	return keys, nil
}

// noData reads the no-data value; NaN when there is none, which every comparison fails.
func (d *tiff) noData() float64 {
	s, err := d.text(tagNoData)
	if err != nil || s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
