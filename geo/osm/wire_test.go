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
		got, n := uvarint(b, from)
		if size <= 0 {
			if n != -1 {
				t.Fatalf("uvarint(%x, %d) = %d, %d, want an end at -1", b, from, got, n)
			}
		} else if got != want || n != from+size {
			t.Fatalf("uvarint(%x, %d) = %d, %d, want %d, %d", b, from, got, n, want, from+size)
		}
	})
}
