// Package garble makes damaged copies of good files, for tests: bits turned over, pieces cut out, doubled, moved or
// overwritten, the end cut off, numbers in text put beyond what they may be. Every decoder's fuzz target takes some
// hundred copies of a good file among its first inputs, so that plain go test tries them on every run; package mutate
// under cmd/dev puts thousands through the whole program. The same arguments give the same copies.
package garble

import (
	"bytes"
	"math/rand/v2"
	"slices"
)

// extremes are put in place of numbers in text: what arithmetic and parsers stumble over.
var extremes = []string{"NaN", "Inf", "-Inf", "1e308", "-1e308", "1e-320", "-0", "0", "-1", "90.0000001", "180.5", "-181", "999999999999999999999", "4294967296", "0x10", "", "1,5", "--2", "\xff", "null", "true", "\"x\"", "[]", "{}"}

// Copies gives n damaged copies, of the good ones in turn; text says that they are text, in which numbers are damaged
// as numbers.
func Copies(n int, text bool, good ...[]byte) [][]byte {
	out := make([][]byte, n)
	for i := range out {
		out[i] = Copy(rand.New(rand.NewPCG(uint64(i), 0x6a4b1e)), good[i%len(good)], text)
	}
	return out
}

// Copy returns a copy of data, at least one byte different or of another length: half of the copies with one
// changed byte or number, which gets past the first checks, the others with one to four faults of any kind.
func Copy(rng *rand.Rand, data []byte, text bool) []byte {
	out := slices.Clone(data)
	switch {
	case len(out) == 0:
	case rng.IntN(2) == 0 && text:
		out = number(rng, out, rng.IntN(len(out)))
	case rng.IntN(2) == 0:
		out[rng.IntN(len(out))] ^= 1 << rng.IntN(8)
	default:
		for range 1 + rng.IntN(4) {
			out = once(rng, out, text)
		}
	}
	if bytes.Equal(out, data) {
		out = append(out, byte(rng.Uint32()))
	}
	return out
}

func once(rng *rand.Rand, d []byte, text bool) []byte {
	if len(d) == 0 {
		return []byte{byte(rng.Uint32())}
	}
	at := rng.IntN(len(d))
	if rng.IntN(4) == 0 {
		at = rng.IntN(min(len(d), 64)) // heads hold lengths and kinds
	}
	// Lengths from one byte to the whole, short ones more often.
	long := min(len(d)-at, 1<<rng.IntN(20))
	long = 1 + rng.IntN(max(1, long))
	kinds := 9
	if text {
		kinds = 13
	}
	switch rng.IntN(kinds) {
	case 0:
		d[at] ^= 1 << rng.IntN(8)
	case 1:
		d[at] = byte(rng.Uint32())
	case 2:
		d[at] = []byte{0, 0x7f, 0x80, 0xff}[rng.IntN(4)]
	case 3: // cut out
		d = slices.Delete(d, at, at+long)
	case 4: // twice
		d = slices.Insert(d, at, slices.Clone(d[at:at+long])...)
	case 5: // cut off
		d = d[:at]
	case 6: // overwritten with one byte
		b := []byte{0, 0xff, ' ', '<'}[rng.IntN(4)]
		for i := at; i < at+long; i++ {
			d[i] = b
		}
	case 7: // overwritten with noise
		for i := at; i < at+min(long, 4096); i++ {
			d[i] = byte(rng.Uint32())
		}
	case 8: // a piece from elsewhere
		from := rng.IntN(len(d))
		copy(d[at:at+long], slices.Clone(d[from:min(len(d), from+long)]))
	default:
		d = number(rng, d, at)
	}
	return d
}

// number puts an extreme in place of the next number behind at.
func number(rng *rand.Rand, d []byte, at int) []byte {
	isNumber := func(b byte) bool { return b >= '0' && b <= '9' || b == '.' || b == '-' }
	from := at
	for from < len(d) && !isNumber(d[from]) {
		from++
	}
	to := from
	for to < len(d) && isNumber(d[to]) {
		to++
	}
	return slices.Replace(d, from, to, []byte(extremes[rng.IntN(len(extremes))])...)
}
