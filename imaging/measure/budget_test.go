package measure

import (
	"math"
	"testing"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/qc"
)

// Whoever adds a kind is told here that its readings have no budget yet: all of them would be
// taken for exact.
func TestEveryKindHasABudget(t *testing.T) {
	for _, k := range qc.Kinds {
		if u := contourUs[k]; u.dia <= 0 || u.diaPx <= 0 || u.pos <= 0 || u.posPx <= 0 {
			t.Errorf("%s: %+v", k, u)
		}
	}
}

// A hole that was drilled out, by 5 to 30 % of its width, is read as wide as the drill and as long as
// it is: its width in each direction is that of the drill and, of what it is longer, the part that is
// seen from there. Of that the fit has the mean and the part that goes round twice, summed here.
func TestASlotIsAsWideAsItsDrill(t *testing.T) {
	const drillMM, n = 4.1, 3600
	for _, longMM := range []float64{0.2, 0.6, 1.2} {
		var mean, twice float64
		for i := range n {
			phi := 2 * math.Pi * float64(i) / n
			w := drillMM + longMM*math.Abs(math.Cos(phi))
			mean, twice = mean+w/n, twice+2*w*math.Cos(2*phi)/n
		}
		f := fastener.Fastener{Outline: outline.Outline{RMM: mean / 2, A2: twice / 2}}
		up, down, uMM := outOfRound(&f, qc.Hole, 0)
		if greatest := mean + up; math.Abs(greatest-drillMM-longMM) > 0.08*longMM || math.Abs(mean-down-drillMM) > 0.07*longMM {
			t.Errorf("%.1f mm longer: from %.3f to %.3f mm", longMM, mean-down, greatest)
		}
		if want := 0.08 * longMM; !(uMM > want) {
			t.Errorf("%.1f mm longer: ± %.3f, want more than %.3f", longMM, uMM, want)
		}
	}
}

// A made head that looks out of round is round or is not: U has either, but where a hand says which.
func TestAMadeHeadIsRoundOrIsNot(t *testing.T) {
	f := fastener.Fastener{Outline: outline.Outline{RMM: 3, A2: 0.06, B2: 0.08}}
	const halfMM = 0.2
	for _, kind := range []qc.Kind{qc.UniversalHead, qc.PulledHead, qc.FlushHead} {
		up, down, uMM := outOfRound(&f, kind, 0)
		if up != down || 2*uMM < up || up+2*uMM < halfMM {
			t.Errorf("%s: + %.3f - %.3f, each ± %.3f", kind, up, down, 2*uMM)
		}
		if up > 0.6*halfMM {
			t.Errorf("%s: taken for %.3f mm out of round", kind, 2*up)
		}
		f.ByMarks = 1
		if up, _, _ := outOfRound(&f, kind, 0); !near(up, halfMM, 1e-9) {
			t.Errorf("%s: marks %.3f mm out of round are read as %.3f", kind, 2*halfMM, 2*up)
		}
		f.ByMarks = 0
	}
	if up, down, _ := outOfRound(&f, qc.ShopHead, 0); !near(up, halfMM, 1e-9) || !near(down, halfMM, 1e-9) {
		t.Errorf("a driven head: + %.3f - %.3f", up, down)
	}
}

// A photo that was moved may draw out a head, its greatest and least by more than the mean and all by the
// pixel; one that was held still has nothing of it.
func TestAMovedPhotoMayDrawOutAHead(t *testing.T) {
	read := func(blurPx, pxPerMM float64) (uMM [4]float64) {
		f := fastener.Fastener{Outline: outline.Outline{RMM: 3}, HeightMM: 2, PxPerMM: pxPerMM, Slope: 0.1}
		for i, r := range (&sheetMap{lengths: noLengths, blurPx: blurPx}).diameterReadings(&f, qc.ShopHead, qc.ByPhoto, nil) {
			uMM[i] = r.UMM
		}
		return uMM
	}
	for _, pxPerMM := range []float64{8, 16} {
		still, sharp, moved := read(1, pxPerMM), read(0.5, pxPerMM), read(1.7, pxPerMM)
		if still != sharp {
			t.Errorf("%.0f px/mm: U is %v when sharp, %v when still", pxPerMM, sharp, still)
		}
		// 7 pixels of way make the rings 1.7 pixels soft, and draw a head's greatest diameter out by up to 4,
		// most by less than 2.
		for i, leastPx := range [4]float64{0.8, 1.5, 1.5, 1.5} {
			if added := math.Sqrt(moved[i]*moved[i]-still[i]*still[i]) * pxPerMM; !(added > leastPx) {
				t.Errorf("%.0f px/mm: moved by 7 pixels, U of reading %d grows by %.2f pixels", pxPerMM, i, added)
			}
		}
	}
}
