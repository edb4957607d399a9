package height

import (
	"archive/zip"
	"bufio"
	"compress/gzip"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"strings"

	"lastroad/geo"
)

// The two sizes an .hgt file may have: posts a side at three and at one arc-second, both edges
// included. Source: SRTM topography documentation, USGS/NASA, version 2.1, section 2.1.
const (
	side3 = 1201
	side1 = 3601
)

// ReadHGT reads one SRTM tile from a .hgt file, or from a .zip or .gz that holds one. The format
// has no header: the south-west corner comes from the name of the file ("S29W072.hgt", the one
// inside a .zip first, then name itself), the step from its length. Row 0 is the north edge, heights
// are big-endian whole metres, -32768 is unknown. A wrong length, a name without a corner, and a
// damaged or cut archive give a [geo.InputError].
func ReadHGT(r io.ReaderAt, size int64, name string) (*Tile, error) {
	var magic [4]byte
	n, err := r.ReadAt(magic[:], 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, &geo.InputError{File: base(name), Reason: "cannot be read", Err: err}
	}
	switch {
	case n == 0 || size == 0:
		return nil, &geo.InputError{File: base(name), Reason: "is empty"}
	// An uncompressed tile may begin with the letters of an archive by chance, so the length decides.
	case size == 2*side3*side3 || size == 2*side1*side1:
		return readPosts(io.NewSectionReader(r, 0, size), size, base(name), base(name))
	case string(magic[:]) == "PK\x03\x04":
		return readZip(r, size, name)
	case magic[0] == 0x1f && magic[1] == 0x8b:
		return readGzip(r, size, name)
	}
	return readPosts(io.NewSectionReader(r, 0, size), size, base(name), base(name))
}

func readZip(r io.ReaderAt, size int64, name string) (*Tile, error) {
	entries, err := zipEntries(r, size, name)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if strings.HasSuffix(strings.ToLower(e.Name), ".hgt") {
			return readZipped(e, name)
		}
	}
	return nil, &geo.InputError{File: base(name), Reason: "holds no .hgt file"}
}

// zipEntries lists the files of an archive, without folders and the side files some packers add.
func zipEntries(r io.ReaderAt, size int64, name string) ([]*zip.File, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, &geo.InputError{File: base(name), Reason: "is not a whole zip archive",
			Remedy: remedyAgain, Err: err}
	}
	var files []*zip.File
	for _, e := range z.File {
		if e.FileInfo().IsDir() || strings.HasPrefix(path.Base(e.Name), ".") || strings.Contains(e.Name, "__MACOSX") {
			continue
		}
		files = append(files, e)
	}
	return files, nil
}

func readZipped(e *zip.File, name string) (*Tile, error) {
	body, err := e.Open()
	if err != nil {
		return nil, &geo.InputError{File: base(name), Where: base(e.Name), Reason: "cannot be unpacked", Err: err}
	}
	defer body.Close()
	corner := base(e.Name)
	if _, _, ok := cornerOf(corner); !ok {
		corner = base(name)
	}
	return readPosts(body, int64(min(e.UncompressedSize64, 1<<40)), corner, base(name))
}

func readGzip(r io.ReaderAt, size int64, name string) (*Tile, error) {
	z, err := openGzip(r, size, name)
	if err != nil {
		return nil, err
	}
	corner := base(name)
	if _, _, ok := cornerOf(corner); !ok && z.Name != "" {
		corner = base(z.Name)
	}
	return readPosts(z, -1, corner, base(name))
}

func openGzip(r io.ReaderAt, size int64, name string) (*gzip.Reader, error) {
	z, err := gzip.NewReader(bufio.NewReader(io.NewSectionReader(r, 0, size)))
	if err != nil {
		return nil, &geo.InputError{File: base(name), Reason: "is not a whole gzip file", Remedy: remedyAgain, Err: err}
	}
	return z, nil
}

// readPosts reads the posts of a tile from a stream of the given length, or of a length to be found
// out when it is negative. Never more than one full tile is read.
func readPosts(r io.Reader, length int64, corner, file string) (*Tile, error) {
	lon, lat, ok := cornerOf(corner)
	if !ok {
		return nil, &geo.InputError{File: file, Reason: fmt.Sprintf("%q does not name the south-west corner of a tile", corner),
			Remedy: "name the file like N42E001.hgt or S29W072.hgt"}
	}
	const full3, full1 = 2 * side3 * side3, 2 * side1 * side1
	var raw []byte
	switch length {
	case full3, full1:
		raw = make([]byte, length)
		if n, err := io.ReadFull(r, raw); err != nil {
			return nil, &geo.InputError{File: file, Where: fmt.Sprintf("byte %d", n), Reason: "the heights end early or are damaged",
				Remedy: remedyAgain, Err: err}
		}
	case -1:
		var err error
		if raw, err = io.ReadAll(io.LimitReader(r, full1+1)); err != nil {
			return nil, &geo.InputError{File: file, Where: fmt.Sprintf("byte %d", len(raw)), Reason: "the heights end early or are damaged",
				Remedy: remedyAgain, Err: err}
		}
		length = int64(len(raw))
	}
	side := 0
	switch length {
	case full3:
		side = side3
	case full1:
		side = side1
	default:
		found := fmt.Sprintf("%d bytes", length)
		if length > full1 && raw != nil {
			found = "more bytes than any tile"
		}
		return nil, &geo.InputError{File: file, Reason: fmt.Sprintf("%s is not the length of a tile of %d x %d (%d bytes) or %d x %d (%d bytes)",
			found, side3, side3, full3, side1, side1, full1), Remedy: "the file is cut or of another format; download it again"}
	}
	step := 1 / float64(side-1)
	t := &Tile{Name: file, Cols: side, Rows: side, West: float64(lon), North: float64(lat + 1), DLon: step, DLat: step}
	t.whole = make([]int16, side*side)
	for i := range t.whole {
		h := int16(binary.BigEndian.Uint16(raw[2*i:]))
		if h <= lowestM || h >= highestM {
			h = void16
			t.Voids++
		}
		t.whole[i] = h
	}
	return t, nil
}

// cornerOf reads the south-west corner from a name that begins like "N42E001" or "s29w072", in whole
// degrees. South and west zero do not exist; the corner must leave room for a degree.
func cornerOf(name string) (lon, lat int, ok bool) {
	if len(name) < 7 {
		return 0, 0, false
	}
	digits := func(s string) (n int, ok bool) {
		for _, c := range []byte(s) {
			if c < '0' || c > '9' {
				return 0, false
			}
			n = 10*n + int(c-'0')
		}
		return n, true
	}
	lat, okLat := digits(name[1:3])
	lon, okLon := digits(name[4:7])
	if !okLat || !okLon {
		return 0, 0, false
	}
	switch name[0] {
	case 'N', 'n':
	case 'S', 's':
		if lat == 0 {
			return 0, 0, false
		}
		lat = -lat
	default:
		return 0, 0, false
	}
	switch name[3] {
	case 'E', 'e':
	case 'W', 'w':
		if lon == 0 {
			return 0, 0, false
		}
		lon = -lon
	default:
		return 0, 0, false
	}
	if len(name) > 7 {
		if c := name[7]; c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' {
			return 0, 0, false
		}
	}
	return lon, lat, lat >= -90 && lat <= 89 && lon >= -180 && lon <= 179
}

// base is the last part of a path in either slash.
func base(name string) string {
	if i := strings.LastIndexAny(name, `/\`); i >= 0 {
		return name[i+1:]
	}
	return name
}

// WriteHGT writes a tile of 1201 or 3601 posts a side that fills one whole degree as .hgt, heights
// rounded to whole metres. Other tiles are refused.
func WriteHGT(w io.Writer, t *Tile) error {
	if t.Cols != t.Rows || t.Cols != side3 && t.Cols != side1 {
		return fmt.Errorf("a grid of %d x %d is no tile of the .hgt format", t.Cols, t.Rows)
	}
	raw := make([]byte, 2*t.Cols*t.Rows)
	for row := 0; row < t.Rows; row++ {
		for col := 0; col < t.Cols; col++ {
			h := int16(void16)
			if v := t.At(col, row); v == v {
				h = int16(math.Round(v))
			}
			binary.BigEndian.PutUint16(raw[2*(row*t.Cols+col):], uint16(h))
		}
	}
	_, err := w.Write(raw)
	return err
}

// HGTName is the name an .hgt file of the tile must bear: its south-west corner. ok is false when the
// corner is no whole degree.
func HGTName(t *Tile) (name string, ok bool) {
	lat, lon := math.Round(t.South()), math.Round(t.West)
	if math.Abs(lat-t.South()) > 1e-9 || math.Abs(lon-t.West) > 1e-9 {
		return "", false
	}
	ns, ew := 'N', 'E'
	if lat < 0 {
		ns, lat = 'S', -lat
	}
	if lon < 0 {
		ew, lon = 'W', -lon
	}
	return fmt.Sprintf("%c%02.0f%c%03.0f.hgt", ns, lat, ew, lon), true
}
