package feature

import (
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// layColour fills in L, Seen and the colour ratios.
func (v *View) layColour(pic *raster.Picture, level photoLevel, cam *geom.Camera) {
	kx, ky := 1/float64(pic.ChromaX), 1/float64(pic.ChromaY)
	chroma := func(q geom.PxPoint) geom.PxPoint {
		return geom.PxPoint{U: (q.U+0.5)*kx - 0.5, V: (q.V+0.5)*ky - 0.5}
	}
	cbs, crs := photoLevel{pic.Cb, kx}, photoLevel{pic.Cr, kx}
	run := func(p, n int, a, b geom.PxPoint) {
		ca, cb := chroma(a), chroma(b)
		if pic.Cb.W == pic.Cr.W && level.holds(level.of(a)) && level.holds(level.of(b)) && cbs.holds(ca) && cbs.holds(cb) && crs.holds(ca) && crs.holds(cb) {
			v.colourRun(pic, level, p, n, a, b)
			return
		}
		for i := range n {
			q := between(a, b, float64(i)/viewRun)
			if !within(pic.Y, q) {
				continue
			}
			at, c := level.of(q), chroma(q)
			yy, light := sampleBoth(level.Grey, at.U, at.V)
			cb, cr := samplePair(pic.Cb, pic.Cr, c.U, c.V)
			v.lay(p+i, light, yy, cb, cr)
		}
	}
	v.runs(cam, func() func(p, n int, a, b geom.PxPoint) { return run })
}

// lay fills in pixel p.
func (v *View) lay(p int, light, y, cb, cr float64) {
	r, g, b := raster.RGB(y, cb, cr)
	s := 1 / max(r+g+b, 12) // below that the ratio is noise
	v.L[p], v.Seen[p] = float32(light), true
	v.RG[p], v.GB[p] = float32((r-g)*s), float32((g-b)*s)
}

// colourRun fills in one run that the photo holds as a whole: what [sampleBoth] and
// [samplePair] give, without asking for the border at each place.
func (v *View) colourRun(pic *raster.Picture, level photoLevel, p, n int, a, b geom.PxPoint) {
	kx, ky := 1/float64(pic.ChromaX), 1/float64(pic.ChromaY)
	w, cw := level.W, pic.Cb.W
	linear := &raster.Linear64
	lum, cbs, crs := level.Pix, pic.Cb.Pix, pic.Cr.Pix
	for i := range n {
		q := between(a, b, float64(i)/viewRun)
		x, y := (q.U+0.5)*level.scale-0.5, (q.V+0.5)*level.scale-0.5
		ix, iy := int(x), int(y)
		fx, fy := x-float64(ix), y-float64(iy)
		at := iy*w + ix
		s, t := lum[at:at+2:at+2], lum[at+w:at+w+2:at+w+2]
		yy := mix(float64(s[0]), float64(s[1]), float64(t[0]), float64(t[1]), fx, fy)
		light := mix(linear[s[0]], linear[s[1]], linear[t[0]], linear[t[1]], fx, fy)
		x, y = (q.U+0.5)*kx-0.5, (q.V+0.5)*ky-0.5
		ix, iy = int(x), int(y)
		fx, fy = x-float64(ix), y-float64(iy)
		at = iy*cw + ix
		s, t = cbs[at:at+2:at+2], cbs[at+cw:at+cw+2:at+cw+2]
		cb := mix(float64(s[0]), float64(s[1]), float64(t[0]), float64(t[1]), fx, fy)
		s, t = crs[at:at+2:at+2], crs[at+cw:at+cw+2:at+cw+2]
		cr := mix(float64(s[0]), float64(s[1]), float64(t[0]), float64(t[1]), fx, fy)
		v.lay(p+i, light, yy, cb, cr)
	}
}

// sampleBoth gives the bilinear value at (u, v), as it is and in linear light.
func sampleBoth(y *raster.Grey, u, v float64) (value, light float64) {
	ix, iy := int(u), int(v)
	if !(u >= 0 && v >= 0 && ix < y.W-1 && iy < y.H-1) {
		return y.Sample(u, v), y.SampleLinear(u, v)
	}
	fx, fy := u-float64(ix), v-float64(iy)
	at := iy*y.W + ix
	p, q := y.Pix[at:at+2:at+2], y.Pix[at+y.W:at+y.W+2:at+y.W+2]
	lin := &raster.Linear64
	return mix(float64(p[0]), float64(p[1]), float64(q[0]), float64(q[1]), fx, fy),
		mix(lin[p[0]], lin[p[1]], lin[q[0]], lin[q[1]], fx, fy)
}

// samplePair gives the bilinear values at (u, v) of two planes of one size.
func samplePair(a, b *raster.Grey, u, v float64) (x, y float64) {
	ix, iy := int(u), int(v)
	if !(u >= 0 && v >= 0 && ix < a.W-1 && iy < a.H-1 && a.W == b.W && a.H == b.H) {
		return a.Sample(u, v), b.Sample(u, v)
	}
	fx, fy := u-float64(ix), v-float64(iy)
	at := iy*a.W + ix
	p, q := a.Pix[at:at+2:at+2], a.Pix[at+a.W:at+a.W+2:at+a.W+2]
	r, s := b.Pix[at:at+2:at+2], b.Pix[at+a.W:at+a.W+2:at+a.W+2]
	return mix(float64(p[0]), float64(p[1]), float64(q[0]), float64(q[1]), fx, fy),
		mix(float64(r[0]), float64(r[1]), float64(s[0]), float64(s[1]), fx, fy)
}

// mix is bilinear between two values of a row and the two below them.
func mix(a, b, c, d, fx, fy float64) float64 {
	return (a*(1-fx)+b*fx)*(1-fy) + (c*(1-fx)+d*fx)*fy
}
