package osm

import (
	"encoding/binary"
	"errors"
)

// Unpacking is where the reading of a PBF file spends most of its time, and a blob says beforehand how
// long it unpacks to. So this inflater (zlib and deflate, RFC 1950 and 1951) writes straight into the
// result, keeps up to 63 bits of input in a register and looks codes up in one table of 11 bits with
// second tables for the rare longer ones. The general readers, which must work on any stream, took
// 1.6 times as long on the blobs of a country extract. It refuses what RFC 1951 does not allow, and anything that does not give
// exactly the claimed length.

var (
	errDeflate = errors.New("the packed data are garbled")
	errShort   = errors.New("the packed data end too early or hold less than they claim")
	errLonger  = errors.New("the packed data hold more than they claim")
	errSum     = errors.New("the check sum is wrong")
)

const (
	litBits  = 11
	distBits = 8
	preBits  = 7
	// Room for the first and all second tables. A complete code of 288 symbols of up to 15 bits needs at
	// most 2342 entries with a first table of 11 bits, one of 32 symbols at most 402 with 8 bits (worked
	// out by zlib's examples/enough.c).
	litEntries  = 2400
	distEntries = 416
)

// An entry of a table: the low 4 bits are the number of bits to take (0 = no such code), then extra bits,
// a value of 16 bits, and flags. For entrySub, value is where the second table begins and extra its bits.
const (
	entryLiteral = 1 << 31
	entrySub     = 1 << 30
	entryEnd     = 1 << 29 // end of block
	entryBad     = 1 << 28 // a symbol that no stream may use
	extraShift   = 4
	valueShift   = 8
)

// inflater holds the input and the tables; it is re-used from blob to blob.
type inflater struct {
	src  []byte
	in   int
	buf  uint64 // bits not used yet, the next one lowest; bits above have may be set to what src has there
	have uint   // bits of buf that count

	lit     [litEntries]uint32
	dist    [distEntries]uint32
	pre     [1 << preBits]uint32
	lens    [288 + 32]uint8
	longest [1 << litBits]uint8
}

// preOrder is the order in which a block gives the lengths of the codes for lengths (RFC 1951, 3.2.7).
var preOrder = [19]uint8{16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15}

// litBase, distBase and preBase are the entries of each symbol without their bits to take (RFC 1951,
// 3.2.5).
var litBase, distBase, preBase = func() (lit [288]uint32, dist [32]uint32, pre [19]uint32) {
	for i := range 256 {
		lit[i] = entryLiteral | uint32(i)<<valueShift
	}
	lit[256] = entryEnd
	length := uint32(3)
	for i := 257; i < 285; i++ {
		extra := uint32(0)
		if i >= 265 {
			extra = uint32(i-261) / 4
		}
		lit[i] = extra<<extraShift | length<<valueShift
		length += 1 << extra
	}
	lit[285] = 258 << valueShift
	lit[286], lit[287] = entryBad, entryBad
	d := uint32(1)
	for i := range 30 {
		extra := uint32(0)
		if i >= 4 {
			extra = uint32(i-2) / 2
		}
		dist[i] = extra<<extraShift | d<<valueShift
		d += 1 << extra
	}
	dist[30], dist[31] = entryBad, entryBad
	for i := range pre {
		pre[i] = uint32(i) << valueShift
	}
	return lit, dist, pre
}()

// unzlib unpacks a zlib stream into dst, which it must fill exactly.
func (z *inflater) unzlib(dst, src []byte) error {
	if len(src) < 6 {
		return errShort
	}
	// Method deflate, a window of at most 32 KiB, the header's own check, no preset dictionary.
	if src[0]&0x0f != 8 || src[0]>>4 > 7 || binary.BigEndian.Uint16(src)%31 != 0 || src[1]&0x20 != 0 {
		return errDeflate
	}
	z.src, z.in, z.buf, z.have = src, 2, 0, 0
	if err := z.inflate(dst); err != nil {
		return err
	}
	end := z.in - int(z.have/8)
	z.src = nil
	if len(src) < end+4 {
		return errShort
	}
	if binary.BigEndian.Uint32(src[end:]) != adler32(dst) {
		return errSum
	}
	return nil
}

// fill brings bits until there are at least 56, or all that are left.
func (z *inflater) fill() {
	for z.have < 56 && z.in < len(z.src) {
		z.buf |= uint64(z.src[z.in]) << z.have
		z.have += 8
		z.in++
	}
}

// take gives the next n bits, n <= 16.
func (z *inflater) take(n uint) (v uint32, ok bool) {
	if z.have < n {
		z.fill()
		if z.have < n {
			return 0, false
		}
	}
	v = uint32(z.buf) & (1<<n - 1)
	z.buf >>= n
	z.have -= n
	return v, true
}

// inflate unpacks a deflate stream into dst.
func (z *inflater) inflate(dst []byte) error {
	out := 0
	for {
		head, ok := z.take(3)
		if !ok {
			return errShort
		}
		switch head >> 1 {
		case 0: // stored
			z.in -= int(z.have / 8)
			z.buf, z.have = 0, 0
			if z.in+4 > len(z.src) {
				return errShort
			}
			n := int(binary.LittleEndian.Uint16(z.src[z.in:]))
			if uint16(n) != ^binary.LittleEndian.Uint16(z.src[z.in+2:]) {
				return errDeflate
			}
			z.in += 4
			switch {
			case z.in+n > len(z.src):
				return errShort
			case out+n > len(dst):
				return errLonger
			}
			copy(dst[out:], z.src[z.in:z.in+n])
			z.in, out = z.in+n, out+n
		case 1:
			z.fixedTables()
			n, err := z.block(dst, out)
			if err != nil {
				return err
			}
			out = n
		case 2:
			if err := z.dynamicTables(); err != nil {
				return err
			}
			n, err := z.block(dst, out)
			if err != nil {
				return err
			}
			out = n
		default:
			return errDeflate
		}
		if head&1 != 0 {
			if out != len(dst) {
				return errShort
			}
			return nil
		}
	}
}

// block unpacks the codes of one block into dst from out on, and gives where it ended.
func (z *inflater) block(dst []byte, out int) (int, error) {
	lit, dist, src := &z.lit, &z.dist, z.src
	in, buf, have := z.in, z.buf, z.have
	// The fast way, while no step can run off either end. A step fills the register at most twice, by at
	// most 8 bytes each, and writes at most two literals and a copy of 258 bytes, rounded up to words.
	for in+16 <= len(src) && out+2+258+8 <= len(dst) {
		buf |= binary.LittleEndian.Uint64(src[in:]) << (have & 63)
		in += int((63 - have) >> 3)
		have |= 56
		e := lit[buf&(1<<litBits-1)]
		if e&entryLiteral != 0 {
			buf >>= e & 15
			have -= uint(e & 15)
			dst[out] = byte(e >> valueShift)
			out++
			e = lit[buf&(1<<litBits-1)]
			if e&entryLiteral != 0 {
				buf >>= e & 15
				have -= uint(e & 15)
				dst[out] = byte(e >> valueShift)
				out++
				e = lit[buf&(1<<litBits-1)]
				if e&entryLiteral != 0 {
					buf >>= e & 15
					have -= uint(e & 15)
					dst[out] = byte(e >> valueShift)
					out++
					continue
				}
			}
			// A length and a distance with their extra bits take up to 15+5+15+13 = 48 bits.
			buf |= binary.LittleEndian.Uint64(src[in:]) << (have & 63)
			in += int((63 - have) >> 3)
			have |= 56
		}
		if e&(entrySub|entryEnd|entryBad) != 0 {
			if e&entrySub != 0 {
				e = lit[(e>>valueShift&0xffff+uint32(buf>>litBits)&(1<<(e>>extraShift&15)-1))%litEntries]
				if e&entryLiteral != 0 {
					buf >>= e & 15
					have -= uint(e & 15)
					dst[out] = byte(e >> valueShift)
					out++
					continue
				}
			}
			if e&entryEnd != 0 {
				z.in, z.buf, z.have = in, buf>>(e&15), have-uint(e&15)
				return out, nil
			}
		}
		if e&15 == 0 || e&entryBad != 0 {
			return 0, errDeflate
		}
		buf >>= e & 15
		x := e >> extraShift & 15
		length := int(e>>valueShift&0xffff) + int(buf&(1<<x-1))
		buf >>= x
		have -= uint(e&15 + x)

		e = dist[buf&(1<<distBits-1)]
		if e&entrySub != 0 {
			e = dist[(e>>valueShift&0xffff+uint32(buf>>distBits)&(1<<(e>>extraShift&15)-1))%distEntries]
		}
		if e&15 == 0 || e&entryBad != 0 {
			return 0, errDeflate
		}
		buf >>= e & 15
		x = e >> extraShift & 15
		back := int(e>>valueShift&0xffff) + int(buf&(1<<x-1))
		buf >>= x
		have -= uint(e&15 + x)
		if back > out {
			return 0, errDeflate
		}
		if back >= 8 {
			// Whole words; what is written beyond the length is overwritten by what comes.
			// Most are short: two words at once, so that nothing need be foreseen.
			to, from := dst[out:out+258+8], dst[out-back:][:258+8]
			binary.LittleEndian.PutUint64(to, binary.LittleEndian.Uint64(from))
			binary.LittleEndian.PutUint64(to[8:], binary.LittleEndian.Uint64(from[8:]))
			for i := 16; i < length; i += 8 {
				binary.LittleEndian.PutUint64(to[i:], binary.LittleEndian.Uint64(from[i:]))
			}
		} else if back == 1 {
			to, word := dst[out:out+258+8], uint64(dst[out-1])*0x0101010101010101
			binary.LittleEndian.PutUint64(to, word)
			for i := 8; i < length; i += 8 {
				binary.LittleEndian.PutUint64(to[i:], word)
			}
		} else {
			to, from := dst[out:out+length], dst[out-back:]
			for i := range to {
				to[i] = from[i]
			}
		}
		out += length
	}
	z.in, z.buf, z.have = in, buf, have
	return z.carefully(dst, out)
}

// carefully is block near the ends of input and output.
func (z *inflater) carefully(dst []byte, out int) (int, error) {
	for {
		z.fill()
		e := z.lit[z.buf&(1<<litBits-1)]
		if e&entrySub != 0 {
			e = z.lit[(e>>valueShift&0xffff+uint32(z.buf>>litBits)&(1<<(e>>extraShift&15)-1))%litEntries]
		}
		if e&15 == 0 || e&entryBad != 0 {
			return 0, z.stop()
		}
		if _, ok := z.take(uint(e & 15)); !ok {
			return 0, errShort
		}
		switch {
		case e&entryEnd != 0:
			return out, nil
		case e&entryLiteral != 0:
			if out >= len(dst) {
				return 0, errLonger
			}
			dst[out] = byte(e >> valueShift)
			out++
			continue
		}
		x, ok := z.take(uint(e >> extraShift & 15))
		if !ok {
			return 0, errShort
		}
		length := int(e>>valueShift&0xffff + x)
		z.fill()
		e = z.dist[z.buf&(1<<distBits-1)]
		if e&entrySub != 0 {
			e = z.dist[(e>>valueShift&0xffff+uint32(z.buf>>distBits)&(1<<(e>>extraShift&15)-1))%distEntries]
		}
		if e&15 == 0 || e&entryBad != 0 {
			return 0, z.stop()
		}
		if _, ok := z.take(uint(e & 15)); !ok {
			return 0, errShort
		}
		if x, ok = z.take(uint(e >> extraShift & 15)); !ok {
			return 0, errShort
		}
		back := int(e>>valueShift&0xffff + x)
		switch {
		case back > out:
			return 0, errDeflate
		case out+length > len(dst):
			return 0, errLonger
		}
		for i := range length {
			dst[out+i] = dst[out-back+i]
		}
		out += length
	}
}

// stop says why no code fits: at the end of the data the missing bits read as 0.
func (z *inflater) stop() error {
	if z.in >= len(z.src) && z.have < 15 {
		return errShort
	}
	return errDeflate
}

// fixedTables makes the tables of blocks with fixed codes (RFC 1951, 3.2.6).
func (z *inflater) fixedTables() {
	for i := range 288 {
		switch {
		case i < 144:
			z.lens[i] = 8
		case i < 256:
			z.lens[i] = 9
		case i < 280:
			z.lens[i] = 7
		default:
			z.lens[i] = 8
		}
	}
	z.table(z.lit[:], litBits, z.lens[:288], litBase[:])
	for i := range 32 {
		z.lens[i] = 5
	}
	z.table(z.dist[:], distBits, z.lens[:32], distBase[:])
}

// dynamicTables reads the code lengths of a block with its own codes (RFC 1951, 3.2.7).
func (z *inflater) dynamicTables() error {
	head, ok := z.take(14)
	if !ok {
		return errShort
	}
	lits, dists, pres := int(head&31)+257, int(head>>5&31)+1, int(head>>10)+4
	if lits > 286 || dists > 30 {
		return errDeflate
	}
	var pre [19]uint8
	for i := range pres {
		v, ok := z.take(3)
		if !ok {
			return errShort
		}
		pre[preOrder[i]] = uint8(v)
	}
	if !z.table(z.pre[:], preBits, pre[:], preBase[:]) {
		return errDeflate
	}
	n := lits + dists
	for i := 0; i < n; {
		z.fill()
		e := z.pre[z.buf&(1<<preBits-1)]
		if e&15 == 0 {
			return z.stop()
		}
		if _, ok := z.take(uint(e & 15)); !ok {
			return errShort
		}
		sym := e >> valueShift
		if sym < 16 {
			z.lens[i] = uint8(sym)
			i++
			continue
		}
		var run uint32
		var what uint8
		switch sym {
		case 16:
			if i == 0 {
				return errDeflate
			}
			what = z.lens[i-1]
			run, ok = z.take(2)
			run += 3
		case 17:
			run, ok = z.take(3)
			run += 3
		default:
			run, ok = z.take(7)
			run += 11
		}
		switch {
		case !ok:
			return errShort
		case i+int(run) > n:
			return errDeflate
		}
		for range run {
			z.lens[i] = what
			i++
		}
	}
	if z.lens[256] == 0 { // no way to end the block
		return errDeflate
	}
	if !z.table(z.dist[:], distBits, z.lens[lits:n], distBase[:]) || !z.table(z.lit[:], litBits, z.lens[:lits], litBase[:]) {
		return errDeflate
	}
	return nil
}

// table makes the look-up table of a canonical code (RFC 1951, 3.2.2) with a first table of width bits;
// false for a code that is over-subscribed, or incomplete other than by having a single symbol or none,
// as zlib has it.
func (z *inflater) table(t []uint32, width uint, lens []uint8, base []uint32) bool {
	var count [16]int
	for _, l := range lens {
		count[l]++
	}
	var next [16]uint32
	left, code := 1, uint32(0)
	for l := 1; l <= 15; l++ {
		left = left<<1 - count[l]
		if left < 0 {
			return false
		}
		next[l] = code
		code = (code + uint32(count[l])) << 1
	}
	used := len(lens) - count[0]
	if left > 0 && used > 1 || used == 1 && count[1] != 1 {
		return false
	}
	if left > 0 {
		clear(t[:1<<width])
	}
	first := next // for the second walk
	longest := z.longest[:1<<width]
	long := false
	for l := width + 1; l <= 15; l++ {
		long = long || count[l] > 0
	}
	if long {
		clear(longest)
		for _, l := range lens {
			if uint(l) > width {
				r := reverse(next[l], uint(l)) & (1<<width - 1)
				longest[r] = max(longest[r], l)
			}
			next[l]++
		}
		next = first
		at := uint32(1) << width
		for r, l := range longest {
			if l == 0 {
				continue
			}
			sub := uint(l) - width
			if int(at)+1<<sub > len(t) {
				return false
			}
			t[r] = entrySub | at<<valueShift | uint32(sub)<<extraShift
			at += 1 << sub
		}
	}
	for s, l := range lens {
		if l == 0 {
			continue
		}
		r := reverse(next[l], uint(l))
		next[l]++
		e := base[s] | uint32(l)
		if uint(l) <= width {
			for k := r; k < 1<<width; k += 1 << l {
				t[k] = e
			}
			continue
		}
		head := t[r&(1<<width-1)]
		at, sub := head>>valueShift&0xffff, uint(head>>extraShift&15)
		for k := r >> width; k < 1<<sub; k += 1 << (uint(l) - width) {
			t[at+k] = e
		}
	}
	return true
}

// reverse turns the lowest n bits of a code round, since a stream gives its codes highest bit first.
func reverse(code uint32, n uint) uint32 {
	code = code>>1&0x5555 | code&0x5555<<1
	code = code>>2&0x3333 | code&0x3333<<2
	code = code>>4&0x0f0f | code&0x0f0f<<4
	code = code>>8&0x00ff | code&0x00ff<<8
	return code >> (16 - n)
}
