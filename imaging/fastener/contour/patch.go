package contour

import (
	"math"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/qc"
)

// What the networks see has to be as in training: none of the figures here may change without
// training anew (testdata/training).
const (
	// mostPxPerStep is how many pixels of a level may lie from one column to the next.
	mostPxPerStep = 1.6
	// leastRGB is the least sum of the gamma-coded R, G and B over which a colour ratio is
	// taken: eight levels of each, below which a ratio is noise.
	leastRGB = 24
	// darkLight, level 13 of 255 in sRGB, keeps the logarithm of what is black from being all
	// noise.
	darkLight = 0.004
)

// polarPhi is the number of directions in which the sheet round a place is sampled.
const polarPhi = 2 * convnet.Directions

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
	seen   float64 // fraction of the samples inside the picture

	raw   []float32
	level rectified.Level
	src   *raster.Picture
}

// newPatch makes room for a patch whose light comes from the level of pic that fits its grain.
func newPatch(pic *raster.Picture, cam *geom.Camera, centre geom.SheetPoint, stepMM float64, rho int) *patch {
	n := polarPhi * rho
	v := make([]float32, 4*n)
	p := &patch{centre: centre, stepMM: stepMM, rho: rho, lum: v[:n], rg: v[n : 2*n], gb: v[2*n : 3*n], raw: v[3*n:], src: pic}
	p.level = rectified.LevelFor(pic, cam.PxPerMM(centre, 0)*stepMM, mostPxPerStep)
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
			p.raw[j] = float32(p.level.Light(q))
			if p.src.Cb != nil {
				y := p.src.Y.Sample(q.U, q.V)
				cb, cr := raster.SamplePair(p.src.Cb, p.src.Cr, (q.U+0.5)/cx-0.5, (q.V+0.5)/cy-0.5)
				r, g, bl := raster.RGB(y, cb, cr)
				s := max(r+g+bl, leastRGB)
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
		p.lum[j] = float32(math.Log2(float64((v + darkLight) / (ref + darkLight))))
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

// netDirection is the direction of the network's row i: the middle of a pair.
func netDirection(i int) float64 { return (2*float64(i) + 0.5) * 2 * math.Pi / polarPhi }

// picture gives what the network looks at: the light and colour round the place, pairs of
// directions averaged, and the distance itself, all brought to about -2 to 2; with mirror, as
// seen in a mirror that turns the directions round.
func (p *patch) picture(ws *convnet.Workspace, mirror bool) *convnet.Planes {
	x := ws.Planes(convnet.Inputs, convnet.Directions, p.rho)
	pair := func(c int, v []float32, k, lo, hi float32) {
		for i := range convnet.Directions {
			r := x.Row(c, i)
			if mirror {
				r = x.Row(c, convnet.Directions-1-i)
			}
			a, b := v[2*i*p.rho:], v[(2*i+1)*p.rho:]
			for j := range r {
				r[j] = (min(max(a[j]*k, lo), hi) + min(max(b[j]*k, lo), hi)) / 2
			}
		}
	}
	pair(0, p.lum, 0.5, -3, 2)
	pair(1, p.rg, 6, -2, 2)
	pair(2, p.gb, 6, -2, 2)
	for i := range convnet.Directions {
		r := x.Row(3, i)
		for j := range r {
			r[j] = 2*float32(j)/float32(p.rho-1) - 1
		}
	}
	return x
}

// netKind groups the kinds by how they look.
func netKind(k qc.Kind) int {
	switch k {
	case qc.ShopHead:
		return 0
	case qc.UniversalHead, qc.PulledHead:
		return 1
	case qc.FlushHead:
		return 2
	default:
		return 3
	}
}

// setting gives what the network is told besides the picture, [convnet.Settings] values a
// direction: the view slope outward and across and its size, times five, the logarithm of
// pixels a step, and the kind.
func (p *patch) setting(cam *geom.Camera, k qc.Kind, mirror bool) []float32 {
	g := make([]float32, convnet.Directions*convnet.Settings)
	d := cam.ViewSlope(p.centre)
	px := float32(math.Log2(cam.PxPerMM(p.centre, 0) * p.stepMM))
	for i := range convnet.Directions {
		sn, cs := math.Sincos(netDirection(i))
		r := g[i*convnet.Settings:]
		across := float32(5 * (-d.X*sn + d.Y*cs))
		if mirror {
			r, across = g[(convnet.Directions-1-i)*convnet.Settings:], -across
		}
		r[0], r[1] = float32(5*(d.X*cs+d.Y*sn)), across
		r[2], r[3] = float32(5*d.Norm()), px
		r[4+netKind(k)] = 1
	}
	return g
}

const (
	// polarRho is the number of steps outward of an unwrapped neighbourhood.
	polarRho = 64
	// From half to 1.6 times the usual radius: the whole range of sizes looked for, a
	// start that is off by a sixth of the radius, and enough sheet outside to compare with.
	polarFrom, polarTo = 0.5, 1.6
)

// polar is the neighbourhood of one fastener, unwrapped: column k of its patch lies rho(k)
// from the centre on the plane Z = 0.
type polar struct {
	*patch
	rNomMM float64
}

func (p *polar) rho(k float64) float64 { return p.rNomMM*polarFrom + k*p.stepMM }

// at is the point on the sheet at row i of the network's, column k.
func (p *polar) at(i int, k float64) geom.SheetPoint {
	sn, cs := math.Sincos(netDirection(i))
	r := p.rho(k)
	return geom.SheetPoint{X: p.centre.X + r*cs, Y: p.centre.Y + r*sn}
}

// unwrap samples the picture round centre on the sheet's plane.
func unwrap(pic *raster.Picture, cam *geom.Camera, centre geom.SheetPoint, rNomMM float64) *polar {
	p := &polar{newPatch(pic, cam, centre, rNomMM*(polarTo-polarFrom)/(polarRho-1), polarRho), rNomMM}
	for i := range polarPhi {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
		p.sample(i, cam, 9, func(k float64) geom.SheetPoint {
			r := p.rho(k)
			return geom.SheetPoint{X: centre.X + r*cs, Y: centre.Y + r*sn}
		})
	}
	p.relate()
	return p
}

const (
	// bandRho is the number of steps across a band.
	bandRho = 48
	// How far the band reaches to either side, in fractions of the usual radius: beyond what a
	// first look errs by, and enough to tell a shadow that goes on from a rim that does not.
	bandReach = 0.2
)

// band is the sheet along a contour that is known roughly, rectified: a direction is that
// of the contour's normal, column k of its patch lies off(k) outward of the contour.
type band struct {
	*patch
	contour []geom.SheetPoint // 2 polarPhi points; row i starts at the (2 i)-th
}

func (b *band) offMM(k float64) float64 { return (k - (bandRho-1)/2.0) * b.stepMM }

// at is the point on the sheet at row i of the network's, column k.
func (b *band) at(i int, k float64) geom.SheetPoint {
	sn, cs := math.Sincos(netDirection(i))
	return b.contour[4*i+1].Add(geom.SheetPoint{X: cs, Y: sn}.Scale(b.offMM(k)))
}

// rectify samples the picture along the contour that a head of outline o and height
// heightMM would show.
func rectify(pic *raster.Picture, cam *geom.Camera, o *outline.Outline, prof *outline.Profile, heightMM, rNomMM float64) *band {
	mid := o.Centre.Add(cam.ViewSlope(o.Centre).Scale(outline.SeenHeight * heightMM))
	b := &band{newPatch(pic, cam, mid, 2*bandReach*rNomMM/(bandRho-1), bandRho), o.Contour(prof, heightMM, cam, 2*polarPhi)}
	for i := range polarPhi {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
		n := geom.SheetPoint{X: cs, Y: sn}
		b.sample(i, cam, 16, func(k float64) geom.SheetPoint { return b.contour[2*i].Add(n.Scale(b.offMM(k))) })
	}
	b.relate()
	return b
}
