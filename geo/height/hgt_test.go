package height

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"testing"

	"lastroad/geo"
	"lastroad/geo/garble"
)

// posts makes the bytes of an .hgt tile with heights from a function of column and row.
func posts(side int, h func(col, row int) int16) []byte {
	b := make([]byte, 2*side*side)
	for r := range side {
		for c := range side {
			binary.BigEndian.PutUint16(b[2*(r*side+c):], uint16(h(c, r)))
		}
	}
	return b
}

func zipped(t testing.TB, files ...any) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i].(string))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(files[i+1].([]byte)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func gzipped(t testing.TB, name string, body []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
	if err != nil {
		t.Fatal(err)
	}
	z.Name = name
	if _, err := z.Write(body); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readHGT(b []byte, name string) (*Tile, error) {
	return ReadHGT(bytes.NewReader(b), int64(len(b)), name)
}

// colRow tells every post of a tile apart near the corners.
func colRow(c, r int) int16 { return int16(c%100 + 100*(r%80)) }

func TestHGTCorners(t *testing.T) {
	raw := posts(side3, colRow)
	for _, c := range []struct {
		name      string
		lon, lat  int
		ok        bool
		otherwise string
	}{
		{name: "N42E001.hgt", lon: 1, lat: 42, ok: true},
		{name: "S29W072.hgt", lon: -72, lat: -29, ok: true},
		{name: "s01w001.HGT", lon: -1, lat: -1, ok: true},
		{name: "N00E000.hgt", lon: 0, lat: 0, ok: true},
		{name: "S90W180.hgt", lon: -180, lat: -90, ok: true},
		{name: "N89E179.SRTMGL3.hgt", lon: 179, lat: 89, ok: true},
		{name: `C:\maps\N42E001.hgt`, lon: 1, lat: 42, ok: true},
		{name: "/maps/N42E001.hgt", lon: 1, lat: 42, ok: true},
		{name: "N42E001", lon: 1, lat: 42, ok: true},
		{name: "N90E000.hgt"}, {name: "N42E180.hgt"}, {name: "S91E000.hgt"}, {name: "N42W181.hgt"},
		{name: "S00E010.hgt"}, {name: "N10W000.hgt"}, {name: "N42E0012.hgt"}, {name: "N4E001.hgt"},
		{name: "tile.hgt"}, {name: "X42E001.hgt"}, {name: "N42X001.hgt"}, {name: "N4aE001.hgt"}, {name: ""},
	} {
		tile, err := readHGT(raw, c.name)
		if !c.ok {
			var e *geo.InputError
			if !errors.As(err, &e) || !strings.Contains(err.Error(), "corner") {
				t.Errorf("%q: error %v, want one about the corner", c.name, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", c.name, err)
			continue
		}
		if tile.West != float64(c.lon) || math.Abs(tile.South()-float64(c.lat)) > 1e-9 || tile.North != float64(c.lat+1) {
			t.Errorf("%q: from %g to %g north of %g, want %d, %d", c.name, tile.South(), tile.North, tile.West, c.lat, c.lon)
		}
		// Row 0 is north: post (3, 2) lies two steps below the north edge.
		if got := NewModel(tile).Height(float64(c.lon)+3.0/1200, float64(c.lat+1)-2.0/1200); got != 203 {
			t.Errorf("%q: post column 3, row 2 reads %g, want 203", c.name, got)
		}
	}
}

func TestHGTContainers(t *testing.T) {
	raw3, raw1 := posts(side3, colRow), posts(side1, colRow)
	for _, c := range []struct {
		name string
		body []byte
		side int
	}{
		{"N42E001.hgt", raw3, side3},
		{"N42E001.hgt", raw1, side1},
		{"N42E001.hgt.zip", zipped(t, "N42E001.hgt", raw3), side3},
		{"whatever.zip", zipped(t, "folder/N42E001.hgt", raw1), side1},
		{"N42E001.zip", zipped(t, "readme.txt", []byte("x"), "__MACOSX/._N42E001.hgt", []byte("x"), "data.hgt", raw3), side3},
		{"N42E001.hgt.gz", gzipped(t, "", raw3), side3},
		{"heights.gz", gzipped(t, "N42E001.hgt", raw1), side1},
	} {
		tile, err := readHGT(c.body, c.name)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if tile.Cols != c.side || tile.West != 1 || tile.North != 43 || tile.At(3, 2) != 203 || tile.Name != c.name {
			t.Errorf("%s: %d posts a side from %g, %g, post (3, 2) = %g, name %q", c.name, tile.Cols, tile.West, tile.North, tile.At(3, 2), tile.Name)
		}
		tiles, err := Read(bytes.NewReader(c.body), int64(len(c.body)), c.name, everywhere)
		if err != nil || len(tiles) != 1 || tiles[0].At(3, 2) != 203 {
			t.Errorf("%s: Read gives %d tiles and error %v", c.name, len(tiles), err)
		}
	}
}

func TestBadHGT(t *testing.T) {
	raw := posts(side3, colRow)
	packed, gz := zipped(t, "N42E001.hgt", raw), gzipped(t, "N42E001.hgt", raw)
	broken := bytes.Clone(packed)
	for i := 2000; i < 2100; i++ {
		broken[i] ^= 0x5a
	}
	for _, c := range []struct {
		name string
		body []byte
		say  string
	}{
		{"empty", nil, "empty"},
		{"one post short", raw[:len(raw)-2], "2884800 bytes"},
		{"one post long", append(bytes.Clone(raw), 0, 0), "2884804 bytes"},
		{"half a tile", raw[:len(raw)/2], "not the length"},
		{"three bytes", raw[:3], "not the length"},
		{"cut zip", packed[:len(packed)-100], "zip"},
		{"damaged zip", broken, "damaged"},
		{"zip of a short tile", zipped(t, "N42E001.hgt", raw[:1000]), "not the length"},
		{"zip without a tile", zipped(t, "readme.txt", []byte("x")), "no .hgt"},
		{"cut gzip", gz[:len(gz)/2], "damaged"},
		{"gzip of a short tile", gzipped(t, "", raw[:1000]), "not the length"},
		{"gzip of too much", gzipped(t, "", make([]byte, 2*side1*side1+2)), "more bytes"},
		{"gzip header only", gz[:5], "gzip"},
	} {
		_, err := readHGT(c.body, "/some/N42E001.hgt")
		var e *geo.InputError
		if !errors.As(err, &e) || e.File != "N42E001.hgt" || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: error %v, want one of file N42E001.hgt that says %q", c.name, err, c.say)
		}
	}
}

func TestWriteHGT(t *testing.T) {
	raw := posts(side3, func(c, r int) int16 {
		if c == 5 && r == 7 {
			return void16
		}
		return int16(c - r)
	})
	tile, err := readHGT(raw, "S29W072.hgt")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteHGT(&b, tile); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b.Bytes(), raw) {
		t.Error("a tile written again has other bytes")
	}
	if name, ok := HGTName(tile); !ok || name != "S29W072.hgt" {
		t.Errorf("the tile is named %q", name)
	}
	small, err := NewTile("", 0, 1, 0.5, 0.5, 3, 3, make([]float32, 9))
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteHGT(&b, small); err == nil {
		t.Error("a grid of 3 x 3 was written as .hgt")
	}
}

func FuzzHGT(f *testing.F) {
	raw := posts(side3, colRow)
	f.Add(raw[:100], "N42E001.hgt")
	f.Add(zipped(f, "N42E001.hgt", raw[:100]), "a.zip")
	f.Add(zipped(f, "N42E001.hgt", raw), "a.zip")
	f.Add(gzipped(f, "N42E001.hgt", raw), "a.gz")
	for i, b := range garble.Copies(24, false, zipped(f, "N42E001.hgt", raw), gzipped(f, "N42E001.hgt", raw)) {
		f.Add(b, []string{"N42E001.hgt.zip", "N42E001.hgt.gz"}[i%2])
	}
	f.Fuzz(func(t *testing.T, b []byte, name string) {
		tiles, err := Read(bytes.NewReader(b), int64(len(b)), name, everywhere)
		var e *geo.InputError
		if err != nil && !errors.As(err, &e) {
			t.Fatalf("error %v is no InputError", err)
		}
		for _, tile := range tiles {
			if err := tile.check(); err != nil {
				t.Fatal(err)
			}
		}
	})
}
