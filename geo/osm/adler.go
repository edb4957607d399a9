package osm

import "encoding/binary"

// adler32 is the check sum of zlib (RFC 1950, section 9): a, one more than the sum of the bytes, and b, the sum of all a
// on the way, both modulo 65521. Bytes are summed up in eight columns of 16 bits, a word at a time: a row of adlerRows
// words fills none of them. What byte number i of n adds to b is its value n-i times.
func adler32(data []byte) uint32 {
	const (
		mod   = 65521
		lanes = 0x00ff00ff00ff00ff
		row   = 8 * adlerRows
	)
	a, b := uint64(1), uint64(0)
	for len(data) >= row {
		var even, odd, evens, odds uint64 // sums of each column, and the sums of these before each word
		for p := data[:row:row]; len(p) >= 8; p = p[8:] {
			w := binary.LittleEndian.Uint64(p)
			evens, odds = evens+even, odds+odd
			even, odd = even+w&lanes, odd+w>>8&lanes
		}
		// b takes all words that come after a byte eightfold, and the byte's own word from its column on.
		b += row*a + 8*(columns(evens, 1, 1, 1, 1)+columns(odds, 1, 1, 1, 1)) + columns(even, 8, 6, 4, 2) + columns(odd, 7, 5, 3, 1)
		a += columns(even, 1, 1, 1, 1) + columns(odd, 1, 1, 1, 1)
		a, b = a%mod, b%mod
		data = data[row:]
	}
	for _, c := range data {
		a += uint64(c)
		b += a
	}
	return uint32(b%mod<<16 | a%mod)
}

// adlerRows is how many words may be summed up: 22*21/2*255 is the most that fits into 16 bits.
const adlerRows = 22

// columns is the sum of the four columns of v, each taken so many times.
func columns(v, c0, c1, c2, c3 uint64) uint64 {
	return c0*(v&0xffff) + c1*(v>>16&0xffff) + c2*(v>>32&0xffff) + c3*(v>>48)
}
