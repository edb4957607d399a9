package osm

import (
	"bytes"
	hash "hash/adler32"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// TestAdler compares the check sum with that of the standard library.
func TestAdler(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, data []byte) {
		if got, want := adler32(data), hash.Checksum(data); got != want {
			t.Fatalf("%d bytes: %08x, want %08x", len(data), got, want)
		}
	}
	for n := range 800 {
		check(t, bytes.Repeat([]byte{255}, n)) // what fills the columns most
	}
	check(t, bytes.Repeat([]byte{255}, 1<<20))
	rapid.Check(t, func(t *rapid.T) {
		data := make([]byte, rapid.IntRange(0, 5000).Draw(t, "n"))
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		check(t, data)
	})
}

func BenchmarkAdler(b *testing.B) {
	data := make([]byte, 1<<16)
	b.Run("ours", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			adler32(data)
		}
	})
	b.Run("standard", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			hash.Checksum(data)
		}
	})
}
