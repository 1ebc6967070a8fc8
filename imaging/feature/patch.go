package feature

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// polarPhi is the number of directions in which the sheet round a place is sampled.
const polarPhi = 64

// patch is the sheet round a place, sampled in polarPhi directions: row i is direction
// φ = 2π i/polarPhi (sheet frame, from X toward Y), its columns go outward, stepMM apart. The
// networks look at patches.
type patch struct {
	centre geom.SheetPoint
	stepMM float64
	rho    int       // columns
	lum    []float32 // log2 of linear light over the sheet's round it
	rg, gb []float32 // colour ratios less the sheet's
	cov    [polarPhi]bool
	seen   float64 // share of the samples inside the picture

	raw   []float32
	level photoLevel
	src   *raster.Picture
}

// newPatch makes room for a patch whose light comes from the level of pic that fits its grain.
func newPatch(pic *raster.Picture, cam *geom.Camera, centre geom.SheetPoint, stepMM float64, rho int) *patch {
	n := polarPhi * rho
	v := make([]float32, 4*n)
	p := &patch{centre: centre, stepMM: stepMM, rho: rho, lum: v[:n], rg: v[n : 2*n], gb: v[2*n : 3*n], raw: v[3*n:], src: pic}
	p.level = levelFor(pic, cam.PxPerMM(centre, 0)*stepMM, 1.6)
	return p
}

// sample fills row i along the straight line whose point at column k is line(k), mm on the
// sheet. The map is smooth: every seg-th point is projected, and between them it goes straight.
func (p *patch) sample(i int, cam *geom.Camera, seg int, line func(k float64) geom.SheetPoint) {
	inside := 0
	cx, cy := float64(p.src.ChromaX), float64(p.src.ChromaY)
	for k0 := 0; k0 < p.rho; k0 += seg {
		a, b := cam.Project(line(float64(k0)), 0), cam.Project(line(float64(k0+seg)), 0)
		for k := k0; k < min(k0+seg, p.rho); k++ {
			q := a.Between(b, float64(k-k0)/float64(seg))
			j := i*p.rho + k
			if p.src.Inside(q.U, q.V, 0) {
				inside++
			}
			p.raw[j] = float32(p.level.light(q))
			if p.src.Cb != nil {
				y := p.src.Y.Sample(q.U, q.V)
				cb, cr := raster.SamplePair(p.src.Cb, p.src.Cr, (q.U+0.5)/cx-0.5, (q.V+0.5)/cy-0.5)
				r, g, bl := raster.RGB(y, cb, cr)
				s := max(r+g+bl, 24) // darker than this a ratio is noise
				p.rg[j], p.gb[j] = float32((r-g)/s), float32((g-bl)/s)
			}
		}
	}
	p.cov[i] = inside == p.rho
	p.seen += float64(inside) / float64(polarPhi*p.rho)
}

// relate takes light and colour of the sheet round the fastener as the reference.
func (p *patch) relate() {
	ref, mrg, mgb := p.outer(p.raw), p.outer(p.rg), p.outer(p.gb)
	for j, v := range p.raw {
		p.lum[j] = float32(math.Log2(float64((v + 0.004) / (ref + 0.004))))
		p.rg[j] -= mrg
		p.gb[j] -= mgb
	}
}

// outer gives the median over the outermost fifth: the sheet round the fastener.
func (p *patch) outer(v []float32) float32 {
	from := p.rho * 4 / 5
	w := make([]float32, 0, polarPhi*(p.rho-from))
	for i := range polarPhi {
		w = append(w, v[i*p.rho+from:(i+1)*p.rho]...)
	}
	return fit.UpperMedian(w)
}
