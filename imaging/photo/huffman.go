package photo

import "encoding/binary"

// huffman is one table of codes of a JPEG (ITU-T T.81 annexes C and F.2.2).
type huffman struct {
	// fast says for the first bits of a code what it means, 0 where the code is longer: its
	// length and that of the value behind it in the low five bits, how many coefficients it
	// passes in the high byte. Of a DC table: length of the code, and of the value.
	fast [1 << fastBits]uint16
	// The longer codes by their length: the first that is too large, aligned to 16 bits, and
	// what to add to a code for its place among the symbols.
	past    [17]uint32
	offset  [17]int
	symbols []byte
	ac      bool
}

const (
	fastBits   = 10
	endOfBlock = 128 // passes more coefficients than a block has
)

// newHuffman makes a table from the number of codes of each length. It is nil where there are
// more codes than their lengths have room for.
func newHuffman(counts [16]byte, symbols []byte, ac bool) *huffman {
	t := &huffman{symbols: symbols, ac: ac}
	code, k := 0, 0
	for i, n := range counts {
		length := i + 1
		t.offset[length] = k - code
		for range n {
			e, ok := t.entry(length, symbols[k])
			if !ok {
				return nil
			}
			if length <= fastBits && code < 1<<length {
				for f := range 1 << (fastBits - length) {
					t.fast[code<<(fastBits-length)|f] = e
				}
			}
			code++
			k++
		}
		if code > 1<<length {
			return nil
		}
		t.past[length] = uint32(code) << (16 - length)
		code <<= 1
	}
	return t
}

// entry says what a code of this length means.
func (t *huffman) entry(length int, symbol byte) (uint16, bool) {
	if !t.ac {
		return uint16(symbol)<<8 | uint16(length), symbol <= 16
	}
	run, size := int(symbol>>4), int(symbol&15)
	switch {
	case size > 0 || run == 15:
		return uint16(run+1)<<8 | uint16(length+size), true
	case run == 0:
		return endOfBlock<<8 | uint16(length), true
	}
	return 0, false // means something only in progressive pictures
}

// at reads the code that begins the bits of w; 0 for none.
func (t *huffman) at(w uint64) uint16 {
	if e := t.fast[w>>(64-fastBits)]; e != 0 {
		return e
	}
	code := uint32(w >> 48)
	for length := fastBits + 1; length <= 16; length++ {
		if code < t.past[length] {
			e, _ := t.entry(length, t.symbols[int(code>>(16-length))+t.offset[length]])
			return e
		}
	}
	return 0
}

// peek gives the bits from bit on, 57 at least.
func peek(bits []byte, bit uint32) uint64 {
	return binary.BigEndian.Uint64(bits[bit>>3:]) << (bit & 7)
}

// diff reads the difference of a block's DC coefficient to the one before, and gives the place
// behind it.
func (t *huffman) diff(bits []byte, bit uint32) (diff int, next uint32, ok bool) {
	w := peek(bits, bit)
	e := t.at(w)
	if e == 0 {
		return 0, bit, false
	}
	length, size := e&31, e>>8
	if size > 0 {
		diff = int(w << length >> (64 - size))
		if diff < 1<<(size-1) {
			diff -= 1<<size - 1
		}
	}
	return diff, bit + uint32(length+size), true
}

// skip goes over a block's AC coefficients. bits must go on for mostBlockBytes.
func (t *huffman) skip(bits []byte, bit uint32) (next uint32, ok bool) {
	k := 1
	for k < 64 {
		w, have := peek(bits, bit), 57
		for k < 64 && have >= 16 {
			e := t.fast[w>>(64-fastBits)]
			if e == 0 {
				if e = t.at(w); e == 0 {
					return bit, false
				}
			}
			n := e & 31
			w <<= n
			have -= int(n)
			bit += uint32(n)
			k += int(e >> 8)
		}
	}
	return bit, k == 64 || k > endOfBlock
}
