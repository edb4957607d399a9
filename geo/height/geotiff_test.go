package height

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/garble"
)

var record = flag.Bool("record", false, "write test files with GDAL and what GDAL reads from them to testdata")

// The invented grid: 75 x 61 posts from 12.5 W, 20.25 S, steps of 0.001 and 0.0008 degrees, with
// heights below the sea, at zero and in fractions, and holes.
const (
	inventedCols, inventedRows = 75, 61
	inventedHole               = -9999
)

func invented(col, row int) float64 {
	switch {
	case col >= 30 && col < 36 && row >= 20 && row < 25, col == 74 && row == 60:
		return inventedHole
	case col < 5:
		return 0
	case row > 50:
		return -3.25 * float64(col)
	}
	return math.Round(4*(900+700*math.Sin(float64(col)/17)*math.Cos(float64(row)/13)+float64((7*col*col+11*row)%5))) / 4
}

// variant is one way GDAL writes the grid.
type variant struct {
	name, kind, hole string
	options          []string
}

var variants = []variant{
	{"int16_strips", "Int16", "-32768", nil},
	{"int16_tiles_deflate2", "Int16", "-32768", []string{"-co", "TILED=YES", "-co", "BLOCKXSIZE=32", "-co", "BLOCKYSIZE=16", "-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=2"}},
	{"int16_lzw", "Int16", "-32768", []string{"-co", "COMPRESS=LZW"}},
	{"int16_big_endian_lzw2", "Int16", "-32768", []string{"-co", "ENDIANNESS=BIG", "-co", "COMPRESS=LZW", "-co", "PREDICTOR=2"}},
	{"uint16_lzw2", "UInt16", "65535", []string{"-co", "COMPRESS=LZW", "-co", "PREDICTOR=2", "-co", "BLOCKYSIZE=7"}},
	{"uint16_bigtiff", "UInt16", "65535", []string{"-co", "BIGTIFF=YES", "-co", "COMPRESS=DEFLATE"}},
	{"float32_strips", "Float32", "-9999", nil},
	{"float32_deflate3", "Float32", "-9999", []string{"-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=3"}},
	{"float32_tiles_lzw3", "Float32", "-9999", []string{"-co", "TILED=YES", "-co", "BLOCKXSIZE=16", "-co", "BLOCKYSIZE=32", "-co", "COMPRESS=LZW", "-co", "PREDICTOR=3"}},
	{"float32_big_endian_deflate2", "Float32", "-9999", []string{"-co", "ENDIANNESS=BIG", "-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=2"}},
	{"float32_deflate2", "Float32", "-9999", []string{"-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=2"}},
	{"float32_nan_hole", "Float32", "nan", []string{"-co", "COMPRESS=DEFLATE"}},
	{"float32_bigtiff_tiles3", "Float32", "-9999", []string{"-co", "BIGTIFF=YES", "-co", "TILED=YES", "-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=3"}},
	{"float64_lzw", "Float64", "-9999", []string{"-co", "COMPRESS=LZW"}},
	{"int32_deflate2", "Int32", "-9999", []string{"-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=2"}},
	{"float32_point", "Float32", "-9999", []string{"-co", "COMPRESS=DEFLATE", "-mo", "AREA_OR_POINT=Point"}},
	{"cog_float32", "Float32", "-9999", []string{"-of", "COG", "-co", "COMPRESS=DEFLATE", "-co", "PREDICTOR=YES", "-co", "BLOCKSIZE=128"}},
	{"int16_sparse_tiles", "Int16", "-32768", []string{"-co", "TILED=YES", "-co", "BLOCKXSIZE=16", "-co", "BLOCKYSIZE=16", "-co", "SPARSE_OK=TRUE", "-co", "COMPRESS=DEFLATE"}},
	{"int16_scaled", "Int16", "-32768", []string{"-a_scale", "0.25", "-a_offset", "100"}},
}

// writeInvented writes a variant with gdal_translate.
func writeInvented(t *testing.T, v variant, file string) {
	t.Helper()
	dir := t.TempDir()
	hole := float32(inventedHole)
	if h, err := strconv.ParseFloat(v.hole, 32); err == nil {
		hole = float32(h)
	}
	var raw []byte
	for r := range inventedRows {
		for c := range inventedCols {
			h := float32(invented(c, r))
			if h == inventedHole {
				h = hole
			} else if v.kind == "UInt16" {
				h = max(h, 0)
			}
			raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(h))
		}
	}
	vrt := fmt.Sprintf(`<VRTDataset rasterXSize="%d" rasterYSize="%d"><SRS>EPSG:4326</SRS><GeoTransform>-12.5,0.001,0,-20.25,0,-0.0008</GeoTransform>
<VRTRasterBand dataType="Float32" band="1" subClass="VRTRawRasterBand"><NoDataValue>%s</NoDataValue><SourceFilename relativeToVRT="1">in.bin</SourceFilename>
<ImageOffset>0</ImageOffset><PixelOffset>4</PixelOffset><LineOffset>%d</LineOffset><ByteOrder>LSB</ByteOrder></VRTRasterBand></VRTDataset>`,
		inventedCols, inventedRows, v.hole, 4*inventedCols)
	if err := errors.Join(os.WriteFile(filepath.Join(dir, "in.bin"), raw, 0o600),
		os.WriteFile(filepath.Join(dir, "in.vrt"), []byte(vrt), 0o600)); err != nil {
		t.Fatal(err)
	}
	args := append([]string{"-q", "-ot", v.kind}, v.options...)
	args = append(args, filepath.Join(dir, "in.vrt"), file)
	if out, err := exec.Command("gdal_translate", args...).CombinedOutput(); err != nil {
		t.Fatalf("gdal_translate %v: %v: %s", args, err, out)
	}
}

// probes are places all over the grid, off the edges of pixels.
func probes() []orb.Point {
	var p []orb.Point
	for i := range 60 {
		u, v := math.Mod(0.5+0.6180339887*float64(i), 1), math.Mod(0.5+0.7548776662*float64(i), 1)
		p = append(p, orb.Point{-12.5 + 0.0003 + 0.0744*u, -20.25 - 0.0003 - 0.0484*v})
	}
	// The two holes and the corners.
	return append(p, orb.Point{-12.4672, -20.2677}, orb.Point{-12.4254, -20.2986}, orb.Point{-12.4996, -20.2503}, orb.Point{-12.4254, -20.2503}, orb.Point{-12.4996, -20.2986})
}

// askGDAL reads the pixel at each place with gdallocationinfo; NaN for a hole. GDAL gives the pixel
// whose area holds the place, whether values stand for areas or points.
func askGDAL(t *testing.T, v variant, file string, places []orb.Point) []float64 {
	t.Helper()
	var in bytes.Buffer
	for _, p := range places {
		fmt.Fprintf(&in, "%.10f %.10f\n", p[0], p[1])
	}
	cmd := exec.Command("gdallocationinfo", "-geoloc", "-valonly", file)
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	hole, err := strconv.ParseFloat(v.hole, 64)
	if err != nil {
		t.Fatal(err)
	}
	scale, add := v.scaled()
	var got []float64
	for _, s := range strings.Fields(string(out)) {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if x == hole {
			x = math.NaN()
		}
		got = append(got, x*scale+add)
	}
	if len(got) != len(places) {
		t.Fatalf("gdallocationinfo gave %d values for %d places", len(got), len(places))
	}
	return got
}

// scaled says what GDAL's raw values of a variant are to be multiplied by and shifted.
func (v variant) scaled() (scale, add float64) {
	if v.name == "int16_scaled" {
		return 0.25, 100
	}
	return 1, 0
}

func readFile(t testing.TB, file string) *Tile {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	tile, err := ReadGeoTIFF(bytes.NewReader(b), int64(len(b)), filepath.Base(file), orb.Bound{})
	if err != nil {
		t.Fatal(err)
	}
	return tile
}

// nearest is the post whose pixel holds a place, as GDAL answers. Pixels reach half a cell around
// posts in both senses of the raster.
func nearest(t *Tile, p orb.Point) float64 {
	return t.At(int(math.Round((p[0]-t.West)/t.DLon)), int(math.Round((t.North-p[1])/t.DLat)))
}

func same(a, b float64) bool { return a == b || a != a && b != b }

func checkProbes(t *testing.T, tile *Tile, want []float64) {
	t.Helper()
	for i, p := range probes() {
		if got := nearest(tile, p); !same(got, want[i]) {
			t.Errorf("at %v: %g, GDAL reads %g", p, got, want[i])
		}
	}
}

// What GDAL 3.6.2 read from the files in testdata that it wrote; written by -record.
func TestRecordedGDAL(t *testing.T) {
	for _, v := range variants {
		t.Run(v.name, func(t *testing.T) {
			file := filepath.Join("testdata", v.name+".tif")
			answers := filepath.Join("testdata", v.name+".txt")
			if *record {
				writeInvented(t, v, file)
				var b bytes.Buffer
				for _, x := range askGDAL(t, v, file, probes()) {
					fmt.Fprintln(&b, x)
				}
				if err := os.WriteFile(answers, b.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			f, err := os.Open(answers)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			var want []float64
			for s := bufio.NewScanner(f); s.Scan(); {
				x, err := strconv.ParseFloat(s.Text(), 64)
				if err != nil {
					t.Fatal(err)
				}
				want = append(want, x)
			}
			tile := readFile(t, file)
			if tile.Cols != inventedCols || tile.Rows != inventedRows || tile.Voids != 31 {
				t.Errorf("%d x %d posts with %d holes, want %d x %d with 31", tile.Cols, tile.Rows, tile.Voids, inventedCols, inventedRows)
			}
			// VRT corner and steps are those of pixels as areas: the first post is half a cell in.
			if math.Abs(tile.West+12.4995) > 1e-9 || math.Abs(tile.North+20.2504) > 1e-9 {
				t.Errorf("post 0, 0 lies at %.6f, %.6f, want -12.4995, -20.2504", tile.West, tile.North)
			}
			checkProbes(t, tile, want)
		})
	}
}

// The same with the GDAL that is installed, on larger grids read whole and through a window.
func TestAgreesWithGDAL(t *testing.T) {
	if _, err := exec.LookPath("gdal_translate"); err != nil {
		t.Skip("GDAL is not installed (Debian package gdal-bin); TestRecordedGDAL checks what it gave before")
	}
	if testing.Short() {
		t.Skip("writes and reads with GDAL some forty times, left out by -short")
	}
	for _, v := range variants {
		t.Run(v.name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "x.tif")
			writeInvented(t, v, file)
			want := askGDAL(t, v, file, probes())
			whole := readFile(t, file)
			checkProbes(t, whole, want)

			b, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			box := orb.Bound{Min: orb.Point{-12.473, -20.279}, Max: orb.Point{-12.451, -20.262}}
			part, err := ReadGeoTIFF(bytes.NewReader(b), int64(len(b)), "x.tif", box)
			if err != nil {
				t.Fatal(err)
			}
			if part.Cols >= whole.Cols || part.Rows >= whole.Rows {
				t.Errorf("the window holds %d x %d posts", part.Cols, part.Rows)
			}
			mw, mp := NewModel(whole), NewModel(part)
			for lat := box.Min[1]; lat <= box.Max[1]; lat += 0.00017 {
				for lon := box.Min[0]; lon <= box.Max[0]; lon += 0.00019 {
					a, b := mw.Height(lon, lat), mp.Height(lon, lat)
					if math.Abs(a-b) > 1e-6 || (a != a) != (b != b) {
						t.Fatalf("at %.5f, %.5f the window has %g, the whole %g", lon, lat, b, a)
					}
				}
			}
			if _, err := ReadGeoTIFF(bytes.NewReader(b), int64(len(b)), "x.tif", orb.Bound{Min: orb.Point{10, 10}, Max: orb.Point{11, 11}}); !errors.Is(err, errElsewhere) {
				t.Errorf("a box elsewhere: error %v, want errElsewhere", err)
			}
		})
	}
}

// What is not read must be refused in words, and nothing else be wrong with the file.
func TestRefusedGeoTIFFs(t *testing.T) {
	if _, err := exec.LookPath("gdal_translate"); err != nil {
		t.Skip("GDAL is not installed (Debian package gdal-bin)")
	}
	for _, c := range []struct {
		name, say string
		v         variant
	}{
		{"zstd", "ZSTD", variant{"", "Int16", "-32768", []string{"-co", "COMPRESS=ZSTD"}}},
		{"packbits", "PackBits", variant{"", "Int16", "-32768", []string{"-co", "COMPRESS=PACKBITS"}}},
		{"projected", "map projection", variant{"", "Int16", "-32768", []string{"-a_srs", "EPSG:32628"}}},
		{"another datum", "EPSG:4267", variant{"", "Int16", "-32768", []string{"-a_srs", "EPSG:4267"}}},
		{"no system", "reference system", variant{"", "Int16", "-32768", []string{"-co", "PROFILE=BASELINE"}}},
		{"bytes", "8-bit", variant{"", "Byte", "255", nil}},
		{"two bands", "2 bands", variant{"", "Int16", "-32768", []string{"-b", "1", "-b", "1"}}},
		{"complex", "32-bit", variant{"", "CInt16", "0", nil}},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "x.tif")
			writeInvented(t, c.v, file)
			b, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			_, err = ReadGeoTIFF(bytes.NewReader(b), int64(len(b)), "/some/x.tif", orb.Bound{})
			var e *geo.InputError
			if !errors.As(err, &e) || e.File != "x.tif" || !strings.Contains(err.Error(), c.say) {
				t.Errorf("error %q, want one of file x.tif that says %q", err, c.say)
			}
		})
	}
}

// A file cut anywhere gives an error or, where only the tail of unused overviews is lost, the heights.
func TestCutGeoTIFF(t *testing.T) {
	for _, name := range []string{"int16_strips", "float32_tiles_lzw3", "uint16_bigtiff", "cog_float32"} {
		b, err := os.ReadFile(filepath.Join("testdata", name+".tif"))
		if err != nil {
			t.Fatal(err)
		}
		for n := 0; n < len(b); n += 37 {
			tile, err := ReadGeoTIFF(bytes.NewReader(b[:n]), int64(n), name, orb.Bound{})
			var e *geo.InputError
			if err == nil && tile.Cols != inventedCols || err != nil && !errors.As(err, &e) {
				t.Errorf("%s cut at %d bytes: %v, want an InputError or the whole grid", name, n, err)
			}
		}
	}
}

func FuzzGeoTIFF(f *testing.F) {
	for _, v := range variants {
		b, err := os.ReadFile(filepath.Join("testdata", v.name+".tif"))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	for _, v := range variants {
		if b, err := os.ReadFile(filepath.Join("testdata", v.name+".tif")); err == nil {
			for _, b := range garble.Copies(40, false, b) {
				f.Add(b)
			}
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		tile, err := ReadGeoTIFF(bytes.NewReader(b), int64(len(b)), "fuzz.tif", orb.Bound{})
		if err != nil {
			var e *geo.InputError
			if !errors.As(err, &e) {
				t.Fatalf("error %v is no InputError", err)
			}
			return
		}
		if len(tile.real)+len(tile.whole) != tile.Cols*tile.Rows {
			t.Fatalf("%d posts kept for %d x %d", len(tile.real)+len(tile.whole), tile.Cols, tile.Rows)
		}
		m := NewModel(tile)
		b2 := tile.Bound()
		m.Height((b2.Min[0]+b2.Max[0])/2, (b2.Min[1]+b2.Max[1])/2)
		m.Slope(b2.Min[0], b2.Min[1])
	})
}
