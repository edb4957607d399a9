package mutate

import (
	"archive/zip"
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"

	"lastroad/geo/garble"
)

// insideZip damages one file of a zip and packs it again, so that its checksum is right.
func insideZip(rng *rand.Rand, data []byte) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	bad := rng.IntN(len(z.File))
	for i, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		part, err := io.ReadAll(r)
		if err != nil {
			return nil, err
		}
		if i == bad {
			part = garble.Copy(rng, part, true)
		}
		out, err := w.Create(f.Name)
		if err != nil {
			return nil, err
		}
		if _, err := out.Write(part); err != nil {
			return nil, err
		}
	}
	err = w.Close() // writes the directory
	return b.Bytes(), err
}

// A PBF file is a row of: length of a BlobHeader (4 bytes, big-endian), BlobHeader with the blob's kind (field 1) and
// length (field 3), Blob with its unpacked size (field 2) and zlib data (field 3); OpenStreetMap wiki, "PBF Format".
type blob struct {
	kind string
	raw  []byte // unpacked
}

// varint reads one number; n = 0 when there is none.
func varint(d []byte) (v uint64, n int) {
	v, n = binary.Uvarint(d)
	return v, max(n, 0)
}

// fields calls visit for every field of a message.
func fields(d []byte, visit func(number int, v uint64, data []byte)) error {
	for len(d) > 0 {
		key, n := varint(d)
		if n == 0 {
			return fmt.Errorf("cut key")
		}
		d = d[n:]
		v, n := varint(d)
		if n == 0 {
			return fmt.Errorf("cut number")
		}
		d = d[n:]
		switch key & 7 {
		case 0:
			visit(int(key>>3), v, nil)
		case 2:
			if v > uint64(len(d)) {
				return fmt.Errorf("cut data")
			}
			visit(int(key>>3), 0, d[:v])
			d = d[v:]
		default:
			return fmt.Errorf("wire type %d", key&7)
		}
	}
	return nil
}

func unpackPBF(data []byte) ([]blob, error) {
	var blobs []blob
	for len(data) > 4 {
		n := int(binary.BigEndian.Uint32(data))
		if n > len(data)-4 {
			return nil, io.ErrUnexpectedEOF
		}
		head := data[4 : 4+n]
		data = data[4+n:]
		var b blob
		size := 0
		if err := fields(head, func(number int, v uint64, d []byte) {
			switch number {
			case 1:
				b.kind = string(d)
			case 3:
				size = int(v)
			}
		}); err != nil {
			return nil, err
		}
		if size > len(data) {
			return nil, io.ErrUnexpectedEOF
		}
		var inner error
		if err := fields(data[:size], func(number int, v uint64, d []byte) {
			switch number {
			case 1:
				b.raw = d
			case 3:
				r, err := zlib.NewReader(bytes.NewReader(d))
				if err == nil {
					b.raw, err = io.ReadAll(r)
				}
				inner = err
			}
		}); err != nil || inner != nil {
			return nil, fmt.Errorf("blob: %v %v", err, inner)
		}
		data = data[size:]
		blobs = append(blobs, b)
	}
	return blobs, nil
}

func field(b []byte, number int, v uint64) []byte {
	return binary.AppendUvarint(binary.AppendUvarint(b, uint64(number<<3)), v)
}

func bytesField(b []byte, number int, d []byte) []byte {
	b = binary.AppendUvarint(b, uint64(number<<3|2))
	return append(binary.AppendUvarint(b, uint64(len(d))), d...)
}

// packBlob writes one blob with its header.
func packBlob(b blob) []byte {
	var z bytes.Buffer
	w, _ := zlib.NewWriterLevel(&z, zlib.BestSpeed)
	w.Write(b.raw)
	w.Close()
	body := bytesField(field(nil, 2, uint64(len(b.raw))), 3, z.Bytes())
	head := field(bytesField(nil, 1, []byte(b.kind)), 3, uint64(len(body)))
	out := binary.BigEndian.AppendUint32(nil, uint32(len(head)))
	return append(append(out, head...), body...)
}

// insidePBF damages one unpacked block and packs it again; packed are the blobs as packBlob gives them.
func insidePBF(rng *rand.Rand, blobs []blob, packed [][]byte) []byte {
	bad := rng.IntN(len(blobs))
	if rng.IntN(8) == 0 {
		bad = 0 // the header
	}
	var out []byte
	for i := range blobs {
		if i == bad {
			out = append(out, packBlob(blob{blobs[i].kind, garble.Copy(rng, blobs[i].raw, false)})...)
			continue
		}
		out = append(out, packed[i]...)
	}
	return out
}
