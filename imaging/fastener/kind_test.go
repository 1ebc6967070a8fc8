package fastener

import (
	"testing"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fastener/places"
	"bucktail/qc"
)

// One clear opinion decides; what is likely from afar and near by is likelier than either alone;
// where the looks waver between two heads, the diameter tells which it is.
func TestKindIsWhatTheLooksSayTogether(t *testing.T) {
	none := [4]float64{-8, -8, -8, -8}
	faint := [places.Classes]float64{0.05, 0.05, 0.05, 0.05, 0.05}
	hole := evidence{logits: [4]float64{-8, -8, -8, 5}, afar: [places.Classes]float64{0.05, 0.05, 0.05, 0.7, 0.2}}
	if p := hole.posterior(); p[3] < 0.9 || p[0]+p[1]+p[2] > 0.05 {
		t.Errorf("a clear hole: %.3f", p)
	}
	if p := (&evidence{logits: none, afar: faint}).posterior(); p[0]+p[1]+p[2]+p[3] > 0.1 {
		t.Errorf("nothing: %.3f", p)
	}
	unsure := hole
	unsure.logits[3] = 0.5
	seenFromAfar := unsure.posterior()[3]
	unsure.afar[3] = 0.1
	if p := unsure.posterior()[3]; p > seenFromAfar-0.2 {
		t.Errorf("a hole that looks like one from afar is likely by %.3f, another by %.3f", seenFromAfar, p)
	}
	head := evidence{logits: [4]float64{2, 2.5, -8, -8}, afar: [places.Classes]float64{0.5, 0.4, 0.1, 0.05, 0.05}}
	for _, c := range []struct {
		diameterD float64
		want      int
	}{{1.4, 0}, {1.6, 0}, {2.0, 1}} {
		head.diameterD = c.diameterD
		if p := head.posterior(); p[c.want] < 0.7 {
			t.Errorf("a head %.1f D wide: shop head %.3f, dome %.3f", c.diameterD, p[0], p[1])
		}
	}
	// A size that was said wrong outvotes no clear opinion.
	hole.diameterD = 1.4
	if p := hole.posterior(); p[3] < 0.7 {
		t.Errorf("a clear hole 1.4 times as large as was said: %.3f", p)
	}
}

// A made head's shadow ring lies a few hundredths outside of its rim; a driven head's flat may lie
// as far inside of its barrel and be meant for a part.
func TestBandsOfOneContourAgree(t *testing.T) {
	for _, c := range []struct {
		kind   qc.Kind
		second float64
		want   bool
	}{{qc.PulledHead, 3.05, true}, {qc.PulledHead, 3.1, false}, {qc.Hole, 2.9, false}, {qc.ShopHead, 3.1, true}, {qc.ShopHead, 2.8, false}} {
		if got := agree(c.kind, &outline.Outline{RMM: 3}, &outline.Outline{RMM: c.second}); got != c.want {
			t.Errorf("%s, 3 mm and %.2f mm: %v", c.kind, c.second, got)
		}
	}
}
