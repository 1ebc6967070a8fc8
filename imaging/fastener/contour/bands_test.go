//go:build training

package contour

import (
	"encoding/binary"
	"io"
	"math"
	"math/rand"
	"testing"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
	"bucktail/qc"
)

// This file writes the bands that the close network is trained on; see
// testdata/training/README.md:
//
//	BUCKTAIL_PATCHES=out.bin BUCKTAIL_SEEDS=0:2000 go test -tags training -run WriteBands -timeout 9h ./imaging/fastener/contour

func TestWriteBands(t *testing.T) {
	eachScene(t, 2_000_000, func(w *patchWriter) {
		for i := range min(4, len(w.s.Fasteners)) {
			w.bandsOf(i)
		}
	})
}

// bandsOf writes five bands of one fastener.
func (w *patchWriter) bandsOf(i int) {
	f := &w.s.Fasteners[i]
	o, p, h, rim := training.TrueOutline(f)
	k := training.Kinds[f.Kind]
	rn := outline.ProfileOf(k).TypicalD * f.NominalMM / 2
	mid := o.Centre.Add(w.s.Camera.ViewSlope(o.Centre).Scale(outline.SeenHeight * h))
	py, cam, ok := w.window(mid, 1.5*rn, synth.Effort{Base: 6, Near: 8, Edge: 18})
	if !ok {
		return
	}
	truth := bandTruth{silhouette: o.Contour(&p, h, cam, 256)}
	if rim > 0 {
		truth.flat = training.FlatRim(o, h, rim, cam)
	}
	b := bandWriter{w.rng, w.seed, w.out}
	for range 5 {
		if err := b.write(py, cam, o, h, k, f.NominalMM, i, truth); err != nil {
			w.err = err
		}
	}
}

// bandTruth is what a band's labels are read from, sheet, mm.
type bandTruth struct{ silhouette, flat []geom.SheetPoint }

type bandWriter struct {
	rng  *rand.Rand
	seed int
	out  io.Writer
}

// write writes one record, as (*patchWriter).patch does, of the band along an outline that is
// off by about as much as a first look's: by 1 % of the radius and sometimes by three times
// that.
func (w bandWriter) write(py *raster.Picture, cam *geom.Camera, o outline.Outline, heightMM float64, k qc.Kind, nominalD float64, id int, truth bandTruth) error {
	prof := outline.ProfileOf(k)
	rn := prof.TypicalD * nominalD / 2
	s := 0.012 * rn
	if w.rng.Float64() < 0.35 {
		s = 0.035 * rn
	}
	off := func(s float64) float64 { return min(max(w.rng.NormFloat64(), -2.2), 2.2) * s }
	o.Centre = o.Centre.Add(geom.SheetPoint{X: off(s), Y: off(s)})
	o.RMM += off(s)
	o.A2 += off(s / 2)
	o.B2 += off(s / 2)
	if prof.HeightD > 0 {
		heightMM = max(0, heightMM+off(0.05*nominalD))
		if w.rng.Float64() < 0.3 { // nothing was seen of it: as it is by the prior
			heightMM = prof.HeightD * nominalD
		}
	}
	b := rectify(py, cam, &o, &prof, heightMM, rn)
	d := cam.ViewSlope(b.centre)
	rec := []float32{float32(w.seed), float32(id), float32(netKind(k)), float32(nominalD), float32(rn), float32(b.stepMM),
		float32(d.X), float32(d.Y), float32(cam.PxPerMM(b.centre, 0)), float32(b.centre.X), float32(b.centre.Y)}
	for _, poly := range [2][]geom.SheetPoint{truth.silhouette, truth.flat} {
		for i := range polarPhi {
			v := -1.0
			if b.cov[i] {
				sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
				if off, ok := nearestCrossing(b.contour[2*i], geom.SheetPoint{X: cs, Y: sn}, poly); ok {
					if v = off/b.stepMM + (bandRho-1)/2.0; v < 0 || v > bandRho-1 {
						v = -1
					}
				}
			}
			rec = append(rec, float32(v))
		}
	}
	rec = append(append(append(rec, b.lum...), b.rg...), b.gb...)
	return binary.Write(w.out, binary.LittleEndian, rec)
}

// nearestCrossing gives the place nearest to at, counted along the unit vector n, where the
// line through at in direction n crosses the closed polygon.
func nearestCrossing(at, n geom.SheetPoint, poly []geom.SheetPoint) (offMM float64, ok bool) {
	offMM = math.Inf(1)
	for k := range poly {
		a, b := poly[k].Sub(at), poly[(k+1)%len(poly)].Sub(at)
		ca, cb := a.X*n.Y-a.Y*n.X, b.X*n.Y-b.Y*n.X
		if (ca < 0) == (cb < 0) {
			continue
		}
		q := a.Add(b.Sub(a).Scale(ca / (ca - cb)))
		if v := q.Dot(n); math.Abs(v) < math.Abs(offMM) {
			offMM, ok = v, true
		}
	}
	return offMM, ok
}
