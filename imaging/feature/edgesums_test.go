package feature

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// Sums of words are the sums of their responses, each kind and sign apart, at the longest
// strip and the strongest responses too.
func TestLineSumsAreThoseOfTheResponses(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, chunks := range []int{3, 40, 240} {
		for _, size := range []float64{0.5, 2, 5} {
			const k = 30
			g := &strip{k: k, chunks: chunks, h: 0.1, n0: -1.5, s0: -float64(chunks) / 2, light: make([]float64, k*chunks), hidden: make([]bool, chunks)}
			for kind := range g.resp {
				g.resp[kind] = make([]float64, k*chunks)
				for i := range g.resp[kind] {
					g.resp[kind][i] = min(max(size*rng.NormFloat64(), -maxResponse), maxResponse)
				}
			}
			g.hidden[chunks/2] = true
			g.pack()
			const i0, i1 = 5, 20
			slope := 0.5 / float64(chunks)
			for i, w := range g.sums(slope, i0, i1, 0, chunks-1) {
				for kind, got := range w.lanes() {
					var plain, signed float64
					for c := range chunks {
						if c == chunks/2 {
							continue
						}
						j := i0 + i + int(math.Round(slope*g.s(c)/g.h))
						if x := g.resp[kind][c*k+j]; math.Abs(x) > plainResponse {
							plain += math.Abs(x)
						} else {
							signed += x
						}
					}
					tol := 0.5 * float64(chunks) / g.unit // each response is rounded to a unit
					if math.Abs(float64(got.plain)/g.unit-plain) > tol || math.Abs(float64(got.signed)/g.unit-signed) > tol {
						t.Fatalf("%d chunks, kind %d, sample %d: %.3f and %.3f, want %.3f and %.3f", chunks, kind, i, float64(got.plain)/g.unit, float64(got.signed)/g.unit, plain, signed)
					}
				}
			}
		}
	}
}

func TestLaneAbs(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	const nought = unitVote * stripPx
	for range 1000 {
		var w, want uint64
		for lane := range 4 {
			x := rng.IntN(2*nought + 1)
			w |= uint64(x) << (16 * lane)
			want |= uint64(abs(x-nought)) << (16 * lane)
		}
		if got := laneAbs(w, nought*laneOnes); got != want {
			t.Fatalf("laneAbs(%#x) is %#x, want %#x", w, got, want)
		}
	}
}

func TestUpperMedianIsThatOfTheSorted(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for n := 1; n < 200; n++ {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(rng.IntN(1 + n/2)) // with doubles
		}
		want := slices.Sorted(slices.Values(x))[n/2]
		if got := fit.UpperMedian(x); got != want {
			t.Fatalf("of %d: %v, want %v", n, got, want)
		}
	}
}

// Cells answer as the card itself does, wherever one asks.
func TestCardCellsAgreeWithTheCard(t *testing.T) {
	onCard := func(p geom.SheetPoint, mm float64) bool { // a square with a window, turned
		x, y := math.Abs(0.8*p.X+0.6*p.Y), math.Abs(0.8*p.Y-0.6*p.X)
		d := max(x, y)
		return d < 20+mm && d > 9-mm
	}
	v := &View{X0: -31, Y0: -22, StepMM: 0.1, W: 555, H: 437}
	c := newCover(v, nil, onCard)
	rng := rand.New(rand.NewPCG(13, 14))
	on := 0
	for range 20000 {
		p := geom.SheetPoint{X: -35 + 62*rng.Float64(), Y: -26 + 52*rng.Float64()}
		want := onCard(p, cardMarginMM)
		if c.onCard(p) != want {
			t.Fatalf("%v: on the card %v, want %v", p, !want, want)
		}
		if want {
			on++
		}
	}
	if on < 4000 || on > 16000 {
		t.Errorf("%d of 20000 on the card: the test is lopsided", on)
	}
}

// A view of light alone shows the same light as the full one.
func TestLightViewIsTheViewsLight(t *testing.T) {
	ph, tr := loadEdgePhoto(t, "dev-16")
	box := Box{-5, -5, 140, 20} // partly out of the picture
	full, light := NewView(ph.Picture, tr.cam(), box, 0.1), NewLightView(ph.Picture, tr.cam(), box, 0.1)
	if !slices.Equal(full.Seen, light.Seen) || !slices.Contains(full.Seen, false) {
		t.Fatal("what is seen differs, or all is seen")
	}
	for i := range full.L {
		if d := math.Abs(float64(full.L[i] - light.L[i])); d > 0.004 { // 1/256 px of the steepest step
			t.Fatalf("light %v, want %v", light.L[i], full.L[i])
		}
	}
	if light.RG != nil || full.RG == nil {
		t.Fatal("colour where there should be none, or none")
	}
}
