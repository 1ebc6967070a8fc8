//go:build training

package contour

// This file writes the patches and bands of scenes like workshop photographs that the networks
// are trained on; see testdata/training/README.md:
//
//	BUCKTAIL_PATCHES=out BUCKTAIL_SEEDS=0:2000 go test -tags training -run WriteWorkshop -timeout 9h ./imaging/fastener/contour

import (
	"bufio"
	"encoding/binary"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
	"bucktail/qc"
)

// TestWriteWorkshop writes out-near.bin and out-bands.bin.
func TestWriteWorkshop(t *testing.T) {
	near := training.Create(t, os.Getenv("BUCKTAIL_PATCHES")+"-near.bin")
	bands := training.Create(t, os.Getenv("BUCKTAIL_PATCHES")+"-bands.bin")
	from, to := training.Seeds(t)
	for seed := from; seed < to; seed++ {
		w := workshopWriter{rng: rand.New(rand.NewSource(int64(seed))), seed: seed, near: near, bands: bands}
		if w.scene(); w.err != nil {
			t.Fatal(w.err)
		}
	}
}

type workshopWriter struct {
	s           *synth.Scene
	rng         *rand.Rand
	seed        int
	near, bands *bufio.Writer
	err         error
}

// Of each scene so many things of ours, others, and places where nothing stands.
const (
	mostOurs, mostOthers, mostNothing = 4, 3, 2
	leastVisible                      = 0.7
)

func (w *workshopWriter) scene() {
	var things []synth.Round
	var contours map[string]synth.Contour
	w.s, things, contours = training.Scene(w.seed)
	w.rng.Shuffle(len(things), func(i, j int) { things[i], things[j] = things[j], things[i] })
	ours, others := 0, 0
	for i := range things {
		t := &things[i]
		if c, ok := contours[t.ID]; ok && t.Kind.Fastens() && t.OnTop && t.Visible >= leastVisible && ours < mostOurs {
			ours++
			w.ours(i, t, c)
		} else if !t.Kind.Fastens() && t.Visible >= leastVisible && others < mostOthers {
			others++
			w.other(i, t)
		}
	}
	for range mostNothing {
		w.nothing(things)
	}
}

// How many pixels a radius takes: from what is just asked about to as fine as the networks see,
// each scale as often. A scene that shows a thing coarser leaves it so.
const coarsest, finest = 9.0, 66.0

// window renders the part of the picture within reachMM, of a thing of radius rMM, of a place.
func (w *workshopWriter) window(mid geom.SheetPoint, rMM, reachMM float64, e synth.Effort) (pic *raster.Picture, cam *geom.Camera, ok bool) {
	radiusPx := coarsest * math.Pow(finest/coarsest, w.rng.Float64())
	pic, cam, ok, w.err = training.Window(w.s, mid, reachMM, radiusPx/rMM, 24, e)
	return pic, cam, ok
}

func onSheet(cam *geom.Camera, s *synth.Scene, px []geom.PxPoint) (out []geom.SheetPoint) {
	for _, p := range px {
		out = append(out, s.Camera.ToSheet(p, 0))
	}
	return out
}

// radiusOff is what a place's rough radius may be off by, as a factor.
func (w *workshopWriter) radiusOff() float64 { return math.Exp(0.5 * (w.rng.Float64() - 0.5)) }

func (w *workshopWriter) ours(id int, t *synth.Round, c synth.Contour) {
	k := training.Kinds[t.Kind]
	silhouette := onSheet(nil, w.s, c.SilhouettePx)
	var flat []geom.SheetPoint
	if c.FlatPx != nil {
		flat = onSheet(nil, w.s, c.FlatPx)
	}
	mid, r := middleOf(silhouette)
	pic, cam, ok := w.window(mid, r, 2.3*r, synth.Effort{Base: 4, Near: 5, Edge: 10})
	if !ok {
		return
	}
	class := netKind(k)
	for _, off := range [3]float64{0.10, 0.25, 0.42} {
		w.patch(pic, cam, near(w.rng, mid, r*off*math.Sqrt(w.rng.Float64())), r*w.radiusOff(), class, t.NominalMM, id, silhouette, flat)
	}
	w.patch(pic, cam, near(w.rng, mid, r*(0.65+0.6*w.rng.Float64())), r*w.radiusOff(), -1, t.NominalMM, -1, nil, nil)
	for range 4 {
		w.band(pic, cam, id, k, t.NominalMM, mid, r, silhouette, flat)
	}
}

// other writes a thing that is none of ours; a hole of no rivet is one of no kind, too.
func (w *workshopWriter) other(id int, t *synth.Round) {
	mid, r := middleOf(onSheet(nil, w.s, t.OutlinePx))
	if !(r > 0.5 && r < 9) {
		return
	}
	pic, cam, ok := w.window(mid, r, 2.1*r, synth.Effort{Base: 4, Near: 4, Edge: 6})
	if !ok {
		return
	}
	class := -1
	if t.Kind == synth.OtherHole { // round and clean: by its looks it is a hole
		class = -2
	}
	if class == -1 {
		w.patch(pic, cam, near(w.rng, mid, 0.1*r*w.rng.Float64()), r*w.radiusOff(), class, 2*r/1.6, -1, nil, nil)
		w.patch(pic, cam, near(w.rng, mid, 0.35*r*w.rng.Float64()), r*w.radiusOff(), class, 2*r/1.6, -1, nil, nil)
	}
}

// nothing writes a place clear of everything round.
func (w *workshopWriter) nothing(things []synth.Round) {
	s := w.s
	r := 1 + 2.5*w.rng.Float64()
	mid := s.Camera.ToSheet(geom.PxPoint{U: w.rng.Float64() * float64(s.Width), V: w.rng.Float64() * float64(s.Height)}, 0)
	for i := range things {
		if c := s.Camera.ToSheet(things[i].CentrePx, 0); c.Sub(mid).Norm() < things[i].MeanDMM/2+0.5*r {
			return
		}
	}
	if pic, cam, ok := w.window(mid, r, 1.8*r, synth.Effort{Base: 4, Near: 4, Edge: 6}); ok {
		w.patch(pic, cam, mid, r, -1, 2*r/1.6, -1, nil, nil)
	}
}

func near(rng *rand.Rand, p geom.SheetPoint, r float64) geom.SheetPoint {
	sn, cs := math.Sincos(rng.Float64() * 2 * math.Pi)
	return p.Add(geom.SheetPoint{X: r * cs, Y: r * sn})
}

// middleOf gives the middle and the mean radius of a closed line.
func middleOf(poly []geom.SheetPoint) (mid geom.SheetPoint, r float64) {
	for _, p := range poly {
		mid = mid.Add(p.Scale(1 / float64(len(poly))))
	}
	for _, p := range poly {
		r += p.Sub(mid).Norm() / float64(len(poly))
	}
	return mid, r
}

// patch writes one record: 12 float32 (seed, thing, class or -1, D, radius, step, view slope X and
// Y, px per mm, centre X and Y, 1), for each direction the silhouette's and the flat's column (-1:
// unknown), then the unwrapped light and the two colour ratios as half floats; little-endian.
func (w *workshopWriter) patch(pic *raster.Picture, cam *geom.Camera, at geom.SheetPoint, rMM float64, class int, nominalD float64, id int, silhouette, flat []geom.SheetPoint) {
	p := unwrap(pic, cam, at, rMM)
	if p.seen < leastSeen || w.err != nil {
		return
	}
	var labels []float32
	for _, poly := range [2][]geom.SheetPoint{silhouette, flat} {
		for i := range polarPhi {
			v := -1.0
			if poly != nil && p.cov[i] {
				if r := crossing(at, poly, 2*math.Pi*float64(i)/polarPhi); r > 0 {
					v = (r - p.rho(0)) / p.stepMM
				}
			}
			labels = append(labels, float32(v))
		}
	}
	w.record(w.near, p.patch, cam, at, rMM, class, nominalD, id, labels)
}

func (w *workshopWriter) record(out *bufio.Writer, p *patch, cam *geom.Camera, at geom.SheetPoint, rMM float64, class int, nominalD float64, id int, labels []float32) {
	d := cam.ViewSlope(at)
	head := []float32{float32(w.seed), float32(id), float32(class), float32(nominalD), float32(rMM), float32(p.stepMM),
		float32(d.X), float32(d.Y), float32(cam.PxPerMM(at, 0)), float32(at.X), float32(at.Y), 1}
	if w.err = binary.Write(out, binary.LittleEndian, append(head, labels...)); w.err != nil {
		return
	}
	for _, plane := range [3][]float32{p.lum, p.rg, p.gb} {
		h := make([]uint16, len(plane))
		for i, v := range plane {
			h[i] = training.Half(v)
		}
		if w.err = binary.Write(out, binary.LittleEndian, h); w.err != nil {
			return
		}
	}
}

// band writes the band along the outline that the looks from afar find, as measuring does, or, one in
// four, along one that is off the true one by as much as theirs may be.
func (w *workshopWriter) band(pic *raster.Picture, cam *geom.Camera, id int, k qc.Kind, nominalD float64, mid geom.SheetPoint, r float64, silhouette, flat []geom.SheetPoint) {
	prof, prior := outline.ProfileOf(k), outline.PriorOf(k, nominalD)
	f, ok := w.fromAfar(pic, cam, k, prior, near(w.rng, mid, 0.3*r*math.Sqrt(w.rng.Float64())), r*w.radiusOff(), nominalD)
	if !ok || w.rng.Intn(4) == 0 {
		s := [3]float64{0.012, 0.02, 0.035}[w.rng.Intn(3)] * r
		off := func(s float64) float64 { return min(max(w.rng.NormFloat64(), -2.2), 2.2) * s }
		if f, ok = outline.FitFromCircle(exactly(silhouette, flat, r), cam, cam.ViewSlope(mid), prior, 0.002*nominalD); !ok {
			return
		}
		f.Centre = f.Centre.Add(geom.SheetPoint{X: off(s), Y: off(s)})
		f.RMM, f.A2, f.B2 = f.RMM+off(s), f.A2+off(s/2), f.B2+off(s/2)
		f.HeightMM = max(0, f.HeightMM+off(0.05*nominalD))
	}
	b := rectify(pic, cam, &f.Outline, &prof, f.HeightMM, r)
	if w.err != nil {
		return
	}
	var labels []float32
	for _, poly := range [2][]geom.SheetPoint{silhouette, flat} {
		for i := range polarPhi {
			v := -1.0
			if b.cov[i] && poly != nil {
				sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
				if off, ok := nearestCrossing(b.contour[2*i], geom.SheetPoint{X: cs, Y: sn}, poly); ok {
					if v = off/b.stepMM + (bandRho-1)/2.0; v < 0 || v > bandRho-1 {
						v = -1
					}
				}
			}
			labels = append(labels, float32(v))
		}
	}
	w.record(w.bands, b.patch, cam, b.centre, r, netKind(k), nominalD, id, labels)
}

// fromAfar takes the looks from afar that measuring takes, and fits what they see together. Package fastener,
// which takes them, imports this one: its looks can't be called from here.
func (w *workshopWriter) fromAfar(pic *raster.Picture, cam *geom.Camera, k qc.Kind, prior outline.Prior, at geom.SheetPoint, rMM, nominalD float64) (f outline.Fitted, ok bool) {
	const floorD = 0.004
	slope := cam.ViewSlope(at)
	var pts []outline.Observation
	for i, by := range [3]Opinion{First, First, Second} {
		view, ok := Around(pic, cam, at, rMM, k, by, math.Inf(-1))
		if !ok {
			return f, false
		}
		if i == 0 {
			if f, ok = outline.FitFromCircle(view.Observations, cam, slope, prior, floorD*nominalD); !ok {
				return f, false
			}
			at, rMM = f.Centre.Add(slope.Scale(outline.SeenHeight*f.HeightMM)), f.RMM
			continue
		}
		pts = append(pts, view.Observations...)
	}
	return outline.FitFromCircle(pts, cam, slope, prior, floorD*nominalD)
}

// exactly gives the true contour, and a driven head's flat, as observations.
func exactly(silhouette, flat []geom.SheetPoint, r float64) (pts []outline.Observation) {
	for i, poly := range [2][]geom.SheetPoint{silhouette, flat} {
		for k := 0; k < len(poly); k += max(1, len(poly)/64) {
			pts = append(pts, outline.Observation{At: poly[k], UMM: 0.006 * r, Flat: i == 1})
		}
	}
	return pts
}
