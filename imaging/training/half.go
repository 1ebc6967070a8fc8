//go:build training

package training

import "math"

// Half rounds to IEEE 754 binary16; what is too large becomes the largest.
func Half(f float32) uint16 {
	b := math.Float32bits(f)
	sign := uint16(b >> 16 & 0x8000)
	e, m := int(b>>23&255)-127+15, b&0x7fffff
	switch {
	case e >= 31:
		return sign | 0x7bff
	case e <= 0:
		if e < -10 {
			return sign
		}
		m = (m | 0x800000) >> uint(1-e)
		return sign | uint16((m+0x1000)>>13)
	}
	return sign | uint16(min((uint32(e)<<23|m)+0x1000, 0x0f7fe000|0x1000)>>13)
}
