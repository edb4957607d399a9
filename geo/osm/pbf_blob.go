package osm

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/klauspost/compress/zstd"

	"lastroad/geo"
)

// Limits of the format (wiki page "PBF Format": a header should be less than 32 KiB and must be less
// than 64 KiB, a blob should be less than 16 MiB and must be less than 32 MiB). The unpacked limit is
// twice the format's 32 MiB, for files of careless writers; it bounds what a small file can unpack to.
const (
	maxBlobHeader = 64 << 10
	maxBlob       = 32 << 20
	maxUnpacked   = 64 << 20
	// maxRatio is how many times its packed size a blob may unpack to. Real ones swell two to five times (2.5 over the
	// whole of Andorra, 4.6 at most); deflate could reach 1032.
	maxRatio = 100
)

// blobRef is where a blob lies in the file.
type blobRef struct {
	at     int64 // of its data
	size   int32
	header bool // an OSMHeader block

	node, way idRange // of its elements, learnt when it is decoded the first time
}

// pbfFile is a PBF file and the places of its blobs.
type pbfFile struct {
	src   Source
	blobs []blobRef
	// From the header block.
	box       [4]int64 // left, right, top, bottom in 1e-9 degree
	hasBox    bool
	sorted    bool // the header says so
	timestamp int64
}

func (f *pbfFile) fail(blob int, reason string, err error) error {
	return &geo.InputError{File: f.src.Name, Where: fmt.Sprintf("blob %d", blob), Reason: reason, Err: err,
		Remedy: "download the file again or take another extract"}
}

// openPBF reads the places of all blobs and the header block.
func openPBF(src Source) (*pbfFile, error) {
	f := &pbfFile{src: src}
	var buf [4 + 256]byte
	for at := int64(0); at < src.Size; {
		n := len(f.blobs)
		b := buf[:min(int64(len(buf)), src.Size-at)]
		if err := readAt(src.R, b, at); err != nil {
			return nil, f.fail(n, "cannot be read", err)
		}
		if len(b) < 4 {
			return nil, f.fail(n, "the file ends inside the length of a blob header", nil)
		}
		size := int64(binary.BigEndian.Uint32(b))
		if size > maxBlobHeader || size == 0 {
			return nil, f.fail(n, fmt.Sprintf("the header claims %d bytes, and at most %d are allowed; this is no PBF data", size, maxBlobHeader), nil)
		}
		if at+4+size > src.Size {
			return nil, f.fail(n, "the file ends inside a blob header", nil)
		}
		head := b[4:]
		if int64(len(head)) < size {
			head = make([]byte, size)
			if err := readAt(src.R, head, at+4); err != nil {
				return nil, f.fail(n, "cannot be read", err)
			}
		}
		kind, data, ok := blobHeader(head[:size])
		switch {
		case !ok:
			return nil, f.fail(n, "the blob header is garbled", errWire)
		case data > maxBlob:
			return nil, f.fail(n, fmt.Sprintf("the blob claims %d bytes, and at most %d are allowed", data, maxBlob), nil)
		case at+4+size+int64(data) > src.Size:
			return nil, f.fail(n, "the file ends inside the blob; the download was cut off", nil)
		}
		ref := blobRef{at: at + 4 + size, size: int32(data), node: noIDs, way: noIDs}
		switch kind {
		case "OSMHeader":
			ref.header = true
			if err := f.readHeader(n, ref); err != nil {
				return nil, err
			}
			f.blobs = append(f.blobs, ref)
		case "OSMData":
			f.blobs = append(f.blobs, ref)
		default: // the format asks readers to pass over other kinds
			ref.header = true
			f.blobs = append(f.blobs, ref)
		}
		at = ref.at + int64(data)
	}
	if len(f.blobs) == 0 || !f.blobs[0].header {
		return nil, f.fail(0, "the file does not begin with an OSMHeader", nil)
	}
	return f, nil
}

func readAt(r io.ReaderAt, b []byte, at int64) error {
	n, err := r.ReadAt(b, at)
	if n == len(b) {
		return nil
	}
	if err == nil || errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	return err
}

func blobHeader(b []byte) (kind string, size uint64, ok bool) {
	w := wire{b: b}
	for w.next() {
		switch {
		case w.bytes(1):
			kind = string(w.data)
		case w.varint(3):
			size, ok = w.val, true
		}
	}
	return kind, size, ok && kind != "" && !w.bad
}

// readHeader reads the HeaderBlock: what a reader must know of, the box and the time of the data.
func (f *pbfFile) readHeader(n int, ref blobRef) error {
	var u unpacker
	defer u.close()
	data, err := u.unpack(f, n, ref)
	if err != nil {
		return err
	}
	w := wire{b: data}
	for w.next() {
		switch {
		case w.bytes(1):
			b := wire{b: w.data}
			var got [4]bool
			for b.next() {
				if b.kind == 0 && b.num >= 1 && b.num <= 4 {
					f.box[b.num-1], got[b.num-1] = zigzag(b.val), true
				}
			}
			f.hasBox = got == [4]bool{true, true, true, true} && !b.bad
		case w.bytes(4):
			switch s := string(w.data); s {
			case "OsmSchema-V0.6", "DenseNodes":
			default:
				return f.fail(n, fmt.Sprintf("the file needs a reader that knows %q, and this one does not", s), nil)
			}
		case w.bytes(5):
			f.sorted = f.sorted || string(w.data) == "Sort.Type_then_ID"
		case w.varint(32):
			f.timestamp = int64(w.val)
		}
	}
	if w.bad {
		return f.fail(n, "the header block is garbled", errWire)
	}
	return nil
}

// unpacker reads and unpacks blobs into its own memory; each goroutine has one.
type unpacker struct {
	packed, plain []byte
	inflater      *inflater
	zstd          *zstd.Decoder
}

func (u *unpacker) close() {
	if u.zstd != nil {
		u.zstd.Close()
	}
}

// unpack gives the content of a blob; it is valid until the next call.
func (u *unpacker) unpack(f *pbfFile, n int, ref blobRef) ([]byte, error) {
	if cap(u.packed) < int(ref.size) {
		u.packed = make([]byte, ref.size+ref.size/4)
	}
	blob := u.packed[:ref.size]
	if err := readAt(f.src.R, blob, ref.at); err != nil {
		return nil, f.fail(n, "cannot be read", err)
	}
	var size uint64
	var data []byte
	var kind uint64
	w := wire{b: blob}
	for w.next() {
		switch {
		case w.varint(2):
			size = w.val
		case w.kind == 2 && w.num != 2:
			kind, data = w.num, w.data
		}
	}
	if w.bad {
		return nil, f.fail(n, "the blob is garbled", errWire)
	}
	switch kind {
	case 0: // an empty blob
		return nil, nil
	case 1:
		return data, nil
	case 3, 7:
	case 4, 5, 6:
		return nil, f.fail(n, "the blob is packed with "+[...]string{"lzma", "bzip2", "lz4"}[kind-4]+", which is not read here; zlib and zstd are", nil)
	default:
		return nil, f.fail(n, "the blob is packed in an unknown way", nil)
	}
	if size > maxUnpacked || size > uint64(len(data))*maxRatio {
		return nil, f.fail(n, fmt.Sprintf("the blob claims to unpack from %d to %d bytes, and that is refused", len(data), size), nil)
	}
	if cap(u.plain) < int(size) {
		u.plain = make([]byte, size+size/4)
	}
	plain := u.plain[:size]
	var err error
	if kind == 3 {
		if u.inflater == nil {
			u.inflater = new(inflater)
		}
		err = u.inflater.unzlib(plain, data)
	} else {
		err = u.unzstd(plain, data)
	}
	if err != nil {
		return nil, f.fail(n, "the blob does not unpack", err)
	}
	return plain, nil
}

func (u *unpacker) unzstd(plain, data []byte) error {
	if u.zstd == nil {
		z, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(maxUnpacked))
		if err != nil {
			return err
		}
		u.zstd = z
	}
	out, err := u.zstd.DecodeAll(data, plain[:0])
	switch {
	case err != nil:
		return err
	case len(out) > len(plain):
		return errLonger
	case len(out) < len(plain):
		return errShort
	}
	copy(plain, out)
	return nil
}
