package convnet

import "testing"

// Half floats by their definition: a sign, five bits of exponent, ten of fraction
// (IEEE 754-2008 3.6, table 3.5).
func TestHalfFloats(t *testing.T) {
	for h, want := range map[uint16]float32{0x0000: 0, 0x3c00: 1, 0xc000: -2, 0x3555: 0.333251953125, 0x7bff: 65504, 0x0001: 1.0 / (1 << 24), 0x8400: -1.0 / (1 << 14)} {
		if got := half(h); got != want {
			t.Errorf("half(%#04x) = %g, want %g", h, got, want)
		}
	}
}
