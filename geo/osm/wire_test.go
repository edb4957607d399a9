package osm

import (
	"encoding/binary"
	"testing"

	"pgregory.net/rapid"
)

// A varint is read as encoding/binary reads it, wherever it stands and whatever follows it.
func TestUvarint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOfN(rapid.Byte(), 0, 12).Draw(t, "before")
		from := len(b)
		b = binary.AppendUvarint(b, rapid.Uint64().Draw(t, "v")>>rapid.IntRange(0, 63).Draw(t, "shift"))
		b = append(b, rapid.SliceOfN(rapid.Byte(), 0, 12).Draw(t, "after")...)
		if rapid.Bool().Draw(t, "cut off") {
			b = b[:rapid.IntRange(from, len(b)).Draw(t, "at")]
		}
		want, size := binary.Uvarint(b[from:])
		for name, read := range map[string]func([]byte, int) (uint64, int){"uvarint": uvarint, "packedVarint": packedVarint} {
			got, n := read(b, from)
			if size <= 0 {
				if n != -1 {
					t.Fatalf("%s(%x, %d) = %d, %d, want an end at -1", name, b, from, got, n)
				}
			} else if got != want || n != from+size {
				t.Fatalf("%s(%x, %d) = %d, %d, want %d, %d", name, b, from, got, n, want, from+size)
			}
		}
	})
}
