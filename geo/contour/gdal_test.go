package contour

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
	"github.com/paulmach/orb/encoding/wkt"
	"github.com/paulmach/orb/planar"
)

// writeVRT writes a field for GDAL, with post (c, r) in the middle of a unit pixel so that its
// coordinates are c + 0.5, -(r + 0.5).
func writeVRT(t *testing.T, f Field, cellM float64) string {
	t.Helper()
	dir := t.TempDir()
	raw := make([]byte, 4*len(f.HeightM))
	for i, h := range f.HeightM {
		binary.LittleEndian.PutUint32(raw[4*i:], math.Float32bits(h))
	}
	if err := os.WriteFile(filepath.Join(dir, "in.bin"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "in.vrt")
	vrt := fmt.Sprintf(`<VRTDataset rasterXSize="%d" rasterYSize="%d"><GeoTransform>0,%g,0,0,0,-%g</GeoTransform>
<VRTRasterBand dataType="Float32" band="1" subClass="VRTRawRasterBand"><SourceFilename relativeToVRT="1">in.bin</SourceFilename>
<ImageOffset>0</ImageOffset><PixelOffset>4</PixelOffset><LineOffset>%d</LineOffset><ByteOrder>LSB</ByteOrder></VRTRasterBand></VRTDataset>`,
		f.Cols, f.Rows, cellM, cellM, 4*f.Cols)
	if err := os.WriteFile(file, []byte(vrt), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// The length of the contours of each height inside the posts, beside that of gdal_contour, which draws
// half a cell further out. Without saddles the two cut every cell alike.
func TestContoursAgreeWithGDAL(t *testing.T) {
	gdal, err := exec.LookPath("gdal_contour")
	if err != nil {
		t.Skip("gdal_contour is not installed (Debian package gdal-bin); cones and planes are checked without it")
	}
	f := made(90, 70, func(c, r float64) float64 { return 300*math.Sin(c/11)*math.Cos(r/7) + 5*c + 0.123 })
	in := writeVRT(t, f, 1)
	out := filepath.Join(filepath.Dir(in), "out.csv")
	if b, err := exec.Command(gdal, "-q", "-i", "50", "-a", "h", "-f", "CSV", "-lco", "GEOMETRY=AS_WKT", in, out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, b)
	}
	file, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	posts := orb.Bound{Min: orb.Point{0.5, -float64(f.Rows) + 0.5}, Max: orb.Point{float64(f.Cols) - 0.5, -0.5}}
	want := map[float64]float64{}
	s := bufio.NewScanner(file)
	s.Buffer(nil, 1<<24)
	for s.Scan() {
		parts := strings.Split(s.Text(), `"`)
		if len(parts) < 3 || !strings.HasPrefix(parts[1], "LINESTRING") {
			continue
		}
		l, err := wkt.UnmarshalLineString(parts[1])
		if err != nil {
			t.Fatal(err)
		}
		fields := strings.Split(s.Text(), ",")
		h, err := strconv.ParseFloat(strings.Trim(fields[len(fields)-1], `"`), 64)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range clip.LineString(posts, l) {
			want[h] += planar.Length(part)
		}
	}
	if len(want) < 10 {
		t.Fatalf("gdal_contour drew %d heights", len(want))
	}
	got := map[float64]float64{}
	for _, l := range lines(t, f, 50) {
		got[l.HeightM] += planar.Length(l.Points)
	}
	if len(got) != len(want) {
		t.Errorf("%d heights, GDAL draws %d", len(got), len(want))
	}
	for h, w := range want {
		// Saddles within one cell are rare on this ground; they may join otherwise by a cell's side.
		if math.Abs(got[h]-w) > 0.002*w+0.02 {
			t.Errorf("%g m: contours %.3f cells long, GDAL's %.3f", h, got[h], w)
		}
	}
}
