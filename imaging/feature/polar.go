package feature

import (
	"math"
	"sync"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// Size of the unwrapped neighbourhood of one fastener: directions round it, steps outward.
const (
	polarPhi = 64
	polarRho = 64
	// From half to 1.6 times the usual radius: the whole range of sizes looked for, a
	// start that is off by a sixth of the radius, and enough sheet outside to compare with.
	polarFrom, polarTo = 0.5, 1.6
)

// polar is the sheet round a place, unwrapped: row i is direction φ = 2π i/polarPhi (sheet
// frame, from X toward Y), column k is distance rho(k) from the centre on the plane Z = 0.
type polar struct {
	centre geom.SheetPoint
	rNomMM float64
	stepMM float64
	lum    [polarPhi * polarRho]float32 // log2 of linear light over the sheet's round it
	rg, gb [polarPhi * polarRho]float32 // colour ratios less the sheet's
	seen   float64                      // share of the samples inside the picture
	cov    [polarPhi]bool               // direction wholly inside the picture
}

func (p *polar) rho(k float64) float64 { return p.rNomMM*polarFrom + k*p.stepMM }

// unwrap samples the picture round centre on the sheet's plane.
func unwrap(pic *pyramid, cam *geom.Camera, centre geom.SheetPoint, rNomMM float64) *polar {
	p := &polar{centre: centre, rNomMM: rNomMM, stepMM: rNomMM * (polarTo - polarFrom) / (polarRho - 1)}
	y, scale := pic.level(cam.PxPerMM(centre, 0)*p.stepMM, 1.6)
	src := pic.pic
	n := 0
	var raw [polarPhi * polarRho]float32
	for i := range polarPhi {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
		all := true
		const seg = 9 // the map is smooth: project every 9th step and go straight between
		for k0 := 0; k0 < polarRho-1; k0 += seg {
			r0, r1 := p.rho(float64(k0)), p.rho(float64(k0+seg))
			a := cam.Project(geom.SheetPoint{X: centre.X + r0*cs, Y: centre.Y + r0*sn}, 0)
			b := cam.Project(geom.SheetPoint{X: centre.X + r1*cs, Y: centre.Y + r1*sn}, 0)
			for k := k0; k < k0+seg || (k0+seg == polarRho-1 && k == polarRho-1); k++ {
				t := float64(k-k0) / seg
				u, v := a.U+(b.U-a.U)*t, a.V+(b.V-a.V)*t
				j := i*polarRho + k
				if !src.Inside(u, v, 0) {
					all = false
				} else {
					n++
				}
				raw[j] = float32(y.SampleLinear((u+0.5)*scale-0.5, (v+0.5)*scale-0.5))
				if src.Cb != nil {
					r, g, bl := src.RGB(u, v)
					s := max(r+g+bl, 24) // darker than this a ratio is noise
					p.rg[j], p.gb[j] = float32((r-g)/s), float32((g-bl)/s)
				}
			}
		}
		p.cov[i] = all
	}
	p.seen = float64(n) / (polarPhi * polarRho)
	ref := p.outer(raw[:])
	mrg, mgb := p.outer(p.rg[:]), p.outer(p.gb[:])
	for j := range raw {
		p.lum[j] = float32(math.Log2(float64((raw[j] + 0.004) / (ref + 0.004))))
		p.rg[j] -= mrg
		p.gb[j] -= mgb
	}
	return p
}

// outer gives the median over the outermost fifth: the sheet round the fastener.
func (p *polar) outer(v []float32) float32 {
	const from = polarRho * 4 / 5
	w := make([]float32, 0, polarPhi*(polarRho-from))
	for i := range polarPhi {
		w = append(w, v[i*polarRho+from:(i+1)*polarRho]...)
	}
	return upperMedian(w)
}

// pyramid is a picture with its luma averaged down by halves, made when asked for.
// It may be asked from several goroutines.
type pyramid struct {
	pic  *raster.Picture
	mu   sync.Mutex
	half []*raster.Grey
}

func newPyramid(pic *raster.Picture) *pyramid { return &pyramid{pic: pic, half: []*raster.Grey{pic.Y}} }

// level gives the luma plane in which stepPx full pixels are at most limit of its own,
// and how many of its pixels one full pixel is.
func (p *pyramid) level(stepPx, limit float64) (g *raster.Grey, scale float64) {
	l := 0
	scale = 1
	for stepPx*scale > limit && l < 4 {
		l++
		scale /= 2
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for len(p.half) <= l {
		p.half = append(p.half, p.half[len(p.half)-1].Half())
	}
	return p.half[l], scale
}
