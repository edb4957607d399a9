package osm

import (
	"bytes"
	"compress/flate"
	"compress/zlib"
	"io"
	"math/rand/v2"
	"testing"

	kzlib "github.com/klauspost/compress/zlib"

	"lastroad/geo/garble"
)

// packed are byte strings of many kinds, packed by the standard library at every level.
func packed(tb testing.TB) (plain, zipped [][]byte) {
	rng := rand.New(rand.NewPCG(1, 2))
	random := make([]byte, 70_000)
	for i := range random {
		random[i] = byte(rng.Uint32())
	}
	skewed := make([]byte, 300_000) // long codes: a few bytes are very rare
	for i := range skewed {
		skewed[i] = byte(rng.ExpFloat64() * 6)
	}
	words := bytes.Repeat([]byte("highway track surface gravel tracktype grade2 "), 4000)
	for i := range words {
		if rng.IntN(50) == 0 {
			words[i] = byte(rng.Uint32())
		}
	}
	for _, p := range [][]byte{nil, {7}, []byte("a"), bytes.Repeat([]byte("a"), 5), bytes.Repeat([]byte("ab"), 1000),
		bytes.Repeat([]byte{0}, 100_000), []byte("the quick brown fox"), random, skewed, words, words[:300], random[:17]} {
		for _, level := range []int{zlib.NoCompression, zlib.BestSpeed, zlib.DefaultCompression, zlib.BestCompression, zlib.HuffmanOnly} {
			var b bytes.Buffer
			w, err := zlib.NewWriterLevel(&b, level)
			if err != nil {
				tb.Fatal(err)
			}
			w.Write(p)
			w.Close()
			plain, zipped = append(plain, p), append(zipped, b.Bytes())
		}
	}
	return plain, zipped
}

func TestInflate(t *testing.T) {
	var z inflater
	plain, zipped := packed(t)
	for i, p := range plain {
		got := make([]byte, len(p))
		if err := z.unzlib(got, zipped[i]); err != nil || !bytes.Equal(got, p) {
			t.Errorf("case %d (%d bytes): %v, equal %v", i, len(p), err, bytes.Equal(got, p))
		}
		if err := z.unzlib(make([]byte, len(p)+1), zipped[i]); err == nil {
			t.Errorf("case %d: a claim of one byte too many is taken", i)
		}
		if len(p) > 0 {
			if err := z.unzlib(make([]byte, len(p)-1), zipped[i]); err == nil {
				t.Errorf("case %d: a claim of one byte too few is taken", i)
			}
		}
		for _, cut := range []int{1, 4, 5, len(zipped[i]) / 2} {
			if err := z.unzlib(got, zipped[i][:len(zipped[i])-cut]); err == nil {
				t.Errorf("case %d: taken though %d bytes are cut off", i, cut)
			}
		}
	}
}

// FuzzInflate compares with the standard library on any stream: both refuse, or both give the same.
func FuzzInflate(f *testing.F) {
	_, zipped := packed(f)
	for _, z := range zipped {
		if len(z) < 2000 {
			f.Add(z[2 : len(z)-4])
		}
	}
	for _, z := range zipped {
		if len(z) < 2000 {
			for _, b := range garble.Copies(50, false, z[2:len(z)-4]) {
				f.Add(b)
			}
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		r := flate.NewReader(bytes.NewReader(src))
		want, err := io.ReadAll(io.LimitReader(r, 1<<20))
		if len(want) == 1<<20 {
			return
		}
		var z inflater
		z.src = src
		got := make([]byte, len(want))
		mine := z.inflate(got)
		if err == nil && (mine != nil || !bytes.Equal(got, want)) {
			t.Fatalf("inflate gives %v, equal %v; the standard library unpacks %d bytes", mine, bytes.Equal(got, want), len(want))
		}
		if err != nil && mine == nil {
			t.Fatalf("inflate takes what the standard library refuses with %v", err)
		}
	})
}

func BenchmarkInflate(b *testing.B) {
	src := moduleFile(b, "delaware-latest.osm.pbf")
	f, err := openPBF(src)
	if err != nil {
		b.Fatal(err)
	}
	var data [][]byte
	var sizes []int
	total := 0
	for _, ref := range f.blobs {
		blob := make([]byte, ref.size)
		if err := readAt(src.R, blob, ref.at); err != nil {
			b.Fatal(err)
		}
		w := wire{b: blob}
		var size int
		for w.next() {
			if w.varint(2) {
				size = int(w.val)
			} else if w.bytes(3) {
				data = append(data, w.data)
			}
		}
		sizes = append(sizes, size)
		total += size
	}
	buf := make([]byte, maxUnpacked)
	b.Run("own", func(b *testing.B) {
		b.SetBytes(int64(total))
		z := new(inflater)
		for b.Loop() {
			for i, d := range data {
				if err := z.unzlib(buf[:sizes[i]], d); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("klauspost", func(b *testing.B) {
		b.SetBytes(int64(total))
		var in bytes.Reader
		in.Reset(data[0])
		z, err := kzlib.NewReader(&in)
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			for i, d := range data {
				in.Reset(d)
				z.(kzlib.Resetter).Reset(&in, nil)
				if _, err := io.ReadFull(z, buf[:sizes[i]]); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
