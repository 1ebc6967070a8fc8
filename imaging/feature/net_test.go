package feature

import (
	"math"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// Half floats by their definition: a sign, five bits of exponent, ten of fraction
// (IEEE 754-2008 3.6, table 3.5).
func TestHalfFloats(t *testing.T) {
	for h, want := range map[uint16]float32{0x0000: 0, 0x3c00: 1, 0xc000: -2, 0x3555: 0.333251953125, 0x7bff: 65504, 0x0001: 1.0 / (1 << 24), 0x8400: -1.0 / (1 << 14)} {
		if got := half(h); got != want {
			t.Errorf("half(%#04x) = %g, want %g", h, got, want)
		}
	}
}

func TestDamagedWeightsAreNamed(t *testing.T) {
	for _, b := range [][]byte{nil, []byte("BTN2"), outlineWeightsA[:len(outlineWeightsA)/2], append([]byte("XXXX"), outlineWeightsB[4:]...)} {
		if _, err := readNetwork(b); err == nil {
			t.Errorf("%d bytes of weights were taken", len(b))
		}
	}
}

func BenchmarkLook(b *testing.B) {
	cam := tilted(120, 10, 1900)
	p := unwrap(&raster.Picture{Y: raster.NewGrey(64, 64)}, cam, geom.SheetPoint{}, 3)
	for i := range p.cov {
		p.cov[i] = true
	}
	b.ReportAllocs()
	for b.Loop() {
		p.look(first, cam, "shop-head", math.Inf(-1))
	}
}
