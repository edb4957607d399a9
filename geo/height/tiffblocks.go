package height

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/klauspost/compress/zlib"
	"golang.org/x/image/tiff/lzw"
)

// maxBlock bounds the bytes of one strip or tile unpacked.
const maxBlock = 1 << 28

// image is how the heights of a file are laid out.
type image struct {
	d               *tiff
	width, height   int
	bytes           int // of one value
	format          int // 1 unsigned, 2 signed, 3 float
	compression     int
	predictor       int
	blockW, blockH  int
	across          int // blocks in a row
	tiles           bool
	offsets, counts []uint64
	noData          float64
	scale, add      float64
}

// compressions names the schemes that are not read.
var compressions = map[uint64]string{2: "CCITT", 3: "CCITT", 4: "CCITT", 6: "JPEG", 7: "JPEG", 32773: "PackBits",
	34887: "LERC", 34925: "LZMA", 50000: "ZSTD", 50001: "WebP", 50002: "JPEG XL"}

func (d *tiff) image() (*image, error) {
	m := &image{d: d}
	var err error
	get := func(tag uint16, fallback uint64) uint64 {
		v, e := d.number(tag, fallback)
		if e != nil && err == nil {
			err = e
		}
		return v
	}
	width, height := get(tagWidth, 0), get(tagHeight, 0)
	bits, samples, format := get(tagBits, 1), get(tagSamples, 1), get(tagSampleFormat, 1)
	compression, predictor := get(tagCompression, 1), get(tagPredictor, 1)
	fill, orientation := get(tagFillOrder, 1), get(tagOrientation, 1)
	if err != nil {
		return nil, err
	}
	switch {
	case width < 2 || height < 2 || width > 1<<30 || height > 1<<30:
		return nil, bad("", fmt.Sprintf("an image of %d x %d is no height grid", width, height), "")
	case samples != 1:
		return nil, bad("", fmt.Sprintf("has %d bands, a height grid has one", samples), "take the band with gdal_translate -b")
	case fill != 1 || orientation != 1:
		return nil, bad("", "stores its bits or rows in an unusual order", remedyPlain)
	case compression != 1 && compression != 5 && compression != 8 && compression != 32946:
		what := compressions[compression]
		if what == "" {
			what = fmt.Sprintf("scheme %d", compression)
		}
		return nil, bad("", "is compressed with "+what+", which cannot be read here", remedyPlain)
	}
	switch {
	case format == 1 && (bits == 16 || bits == 32), format == 2 && (bits == 16 || bits == 32), format == 3 && (bits == 32 || bits == 64):
	default:
		kind := map[uint64]string{1: "unsigned", 2: "signed", 3: "floating-point"}[format]
		return nil, bad("", fmt.Sprintf("holds %d-bit %s values; heights are 16 or 32-bit whole or 32 or 64-bit floating-point", bits, kind), "convert it with gdal_translate -ot Float32")
	}
	if predictor < 1 || predictor > 3 || predictor == 3 && format != 3 || predictor == 2 && bits == 64 || compression == 1 && predictor != 1 {
		// Without compression the predictor is ignored by the format; no writer sets it.
		return nil, bad("", fmt.Sprintf("uses predictor %d in a way that cannot be read", predictor), remedyPlain)
	}
	m.width, m.height, m.bytes, m.format = int(width), int(height), int(bits/8), int(format)
	m.compression, m.predictor = int(compression), int(predictor)
	if err := m.layout(); err != nil {
		return nil, err
	}
	m.noData = d.noData()
	m.scale, m.add, err = d.scaling()
	return m, err
}

// layout finds the strips or tiles.
func (m *image) layout() error {
	d := m.d
	offsets, counts := uint16(tagStripOffsets), uint16(tagStripCounts)
	m.blockW = m.width
	if _, ok := d.tags[tagTileWidth]; ok {
		m.tiles = true
		offsets, counts = tagTileOffsets, tagTileCounts
		w, err := d.number(tagTileWidth, 0)
		if err != nil {
			return err
		}
		h, err := d.number(tagTileHeight, 0)
		if err != nil {
			return err
		}
		if w == 0 || h == 0 || w > 1<<20 || h > 1<<20 {
			return bad("", fmt.Sprintf("has tiles of %d x %d", w, h), remedyAgain)
		}
		m.blockW, m.blockH = int(w), int(h)
	} else {
		h, err := d.number(tagRowsPerStrip, uint64(m.height))
		if err != nil {
			return err
		}
		if h == 0 {
			return bad("", "has strips without rows", remedyAgain)
		}
		m.blockH = int(min(h, uint64(m.height)))
	}
	if int64(m.blockW)*int64(m.blockH)*int64(m.bytes) > maxBlock {
		return bad("", "is written in one piece too large to unpack", "rewrite it with gdal_translate -co TILED=YES")
	}
	m.across = (m.width + m.blockW - 1) / m.blockW
	blocks := uint64(m.across) * uint64((m.height+m.blockH-1)/m.blockH)
	var err error
	if m.offsets, err = d.ints(offsets, maxValues); err != nil {
		return err
	}
	if m.counts, err = d.ints(counts, maxValues); err != nil {
		return err
	}
	if uint64(len(m.offsets)) < blocks || uint64(len(m.counts)) < blocks {
		return bad("", fmt.Sprintf("lists %d of its %d pieces", min(len(m.offsets), len(m.counts)), blocks), remedyAgain)
	}
	return nil
}

// scaling reads the scale and offset of the values and the unit of heights, where stated.
func (d *tiff) scaling() (scale, add float64, err error) {
	scale = 1
	s, err := d.text(tagMetadata)
	if err != nil {
		return 0, 0, err
	}
	if s != "" {
		var doc struct {
			Items []struct {
				Role  string `xml:"role,attr"`
				Value string `xml:",chardata"`
			} `xml:"Item"`
		}
		if xml.Unmarshal([]byte(s), &doc) == nil {
			for _, i := range doc.Items {
				v, err := strconv.ParseFloat(i.Value, 64)
				if err != nil || math.IsInf(v, 0) || v != v {
					continue
				}
				switch i.Role {
				case "scale":
					scale = v
				case "offset":
					add = v
				}
			}
		}
	}
	keys, err := d.geoKeys()
	if err != nil {
		return 0, 0, err
	}
	metre := 1.0
	switch u := keys[keyVerticalUnits]; u {
	case 0, unitMetre:
	case unitFoot:
		metre = 0.3048 // international foot, exact
	case unitSurveyFoot:
		metre = 1200.0 / 3937 // US survey foot, exact
	default:
		return 0, 0, bad("", fmt.Sprintf("counts heights in unit %d, not in metres or feet", u), "")
	}
	return scale * metre, add * metre, nil
}

// read unpacks the blocks that touch a window into dst, row by row.
func (m *image) read(dst []float32, col0, row0, cols, rows int) error {
	for i := range dst {
		dst[i] = float32(math.NaN())
	}
	u := &unpacker{m: m}
	for by := row0 / m.blockH; by*m.blockH < row0+rows; by++ {
		for bx := col0 / m.blockW; bx*m.blockW < col0+cols; bx++ {
			n := by*m.across + bx
			top, left := by*m.blockH, bx*m.blockW
			high := m.blockH
			if !m.tiles {
				high = min(high, m.height-top) // the last strip ends with the image
			}
			if m.counts[n] == 0 { // a sparse file leaves out what has no data
				continue
			}
			block, err := u.block(n, high)
			if err != nil {
				kind := "strip"
				if m.tiles {
					kind = "tile"
				}
				return bad(fmt.Sprintf("%s %d", kind, n), "is damaged or cut: "+err.Error(), remedyAgain)
			}
			r0, r1 := max(top, row0), min(top+high, row0+rows)
			c0, c1 := max(left, col0), min(left+m.blockW, col0+cols)
			for r := r0; r < r1; r++ {
				m.values(dst[(r-row0)*cols+c0-col0:][:c1-c0], block[((r-top)*m.blockW+c0-left)*m.bytes:])
			}
		}
	}
	return nil
}

// values turns raw values into heights.
func (m *image) values(dst []float32, raw []byte) {
	o := m.d.order
	plain := m.scale == 1 && m.add == 0
	for i := range dst {
		var v float64
		switch {
		case m.bytes == 2 && m.format == 2:
			v = float64(int16(o.Uint16(raw[2*i:])))
		case m.bytes == 2:
			v = float64(o.Uint16(raw[2*i:]))
		case m.bytes == 4 && m.format == 2:
			v = float64(int32(o.Uint32(raw[4*i:])))
		case m.bytes == 4 && m.format == 1:
			v = float64(o.Uint32(raw[4*i:]))
		case m.bytes == 4:
			f := math.Float32frombits(o.Uint32(raw[4*i:]))
			// The value in the text of the tag has been rounded to a float32 in the file.
			if f == float32(m.noData) {
				continue
			}
			v = float64(f)
		default:
			v = math.Float64frombits(o.Uint64(raw[8*i:]))
		}
		if v == m.noData {
			continue
		}
		if !plain {
			v = v*m.scale + m.add
		}
		dst[i] = float32(v)
	}
}

// unpacker unpacks blocks one after another, using its memory again.
type unpacker struct {
	m     *image
	in    []byte
	out   []byte
	row   []byte
	flate io.ReadCloser
}

var errShort = errors.New("fewer values than the piece must hold")

// block gives the values of block n in the byte order of the file.
func (u *unpacker) block(n, high int) ([]byte, error) {
	m := u.m
	size := m.blockW * high * m.bytes
	at, count := m.offsets[n], m.counts[n]
	if at > uint64(m.d.size) || count > uint64(m.d.size)-at {
		return nil, errOutside
	}
	if m.compression == 1 {
		if count < uint64(size) {
			return nil, errShort
		}
		count = uint64(size)
	}
	u.in = grow(u.in, int(count))
	if _, err := m.d.r.ReadAt(u.in, int64(at)); err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if m.compression == 1 {
		return u.in, nil
	}
	u.out = grow(u.out, size)
	var err error
	switch m.compression {
	case 5:
		z := lzw.NewReader(bytes.NewReader(u.in), lzw.MSB, 8)
		_, err = io.ReadFull(z, u.out)
		z.Close()
	default:
		if u.flate == nil {
			u.flate, err = zlib.NewReader(bytes.NewReader(u.in))
		} else {
			err = u.flate.(zlib.Resetter).Reset(bytes.NewReader(u.in), nil)
		}
		if err == nil {
			_, err = io.ReadFull(u.flate, u.out)
		}
	}
	if err != nil {
		return nil, err
	}
	for r := range high {
		u.unpredict(u.out[r*m.blockW*m.bytes:][:m.blockW*m.bytes])
	}
	return u.out, nil
}

// unpredict undoes the differences along one row.
func (u *unpacker) unpredict(row []byte) {
	o := u.m.d.order
	switch u.m.predictor {
	case 2:
		if u.m.bytes == 2 {
			var v uint16
			for i := 0; i < len(row); i += 2 {
				v += o.Uint16(row[i:])
				o.PutUint16(row[i:], v)
			}
			return
		}
		var v uint32
		for i := 0; i < len(row); i += 4 {
			v += o.Uint32(row[i:])
			o.PutUint32(row[i:], v)
		}
	case 3:
		// Bytes of all values, most significant ones first, as differences; put together in the
		// order of the file so that values reads them like any other.
		for i := 1; i < len(row); i++ {
			row[i] += row[i-1]
		}
		u.row = append(u.row[:0], row...)
		n, size := len(row)/u.m.bytes, u.m.bytes
		little := o.Uint16([]byte{1, 0}) == 1
		for b := range size {
			to := b
			if little {
				to = size - 1 - b
			}
			for i := range n {
				row[i*size+to] = u.row[b*n+i]
			}
		}
	}
}
