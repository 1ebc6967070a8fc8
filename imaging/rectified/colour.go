package rectified

import (
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// layColour fills in L, Seen and the colour ratios.
func (v *View) layColour(pic *raster.Picture, level Level, cam *geom.Camera) {
	kx, ky := 1/float64(pic.ChromaX), 1/float64(pic.ChromaY)
	chroma := func(q geom.PxPoint) geom.PxPoint {
		return geom.PxPoint{U: (q.U+0.5)*kx - 0.5, V: (q.V+0.5)*ky - 0.5}
	}
	cbs, crs := Level{pic.Cb, kx}, Level{pic.Cr, kx}
	run := func(p, n int, a, b geom.PxPoint) {
		ca, cb := chroma(a), chroma(b)
		if pic.Cb.W == pic.Cr.W && level.Holds(level.Pixel(a)) && level.Holds(level.Pixel(b)) && cbs.Holds(ca) && cbs.Holds(cb) && crs.Holds(ca) && crs.Holds(cb) {
			v.colourRun(pic, level, p, n, a, b)
			return
		}
		for i := range n {
			q := a.Between(b, float64(i)/viewRun)
			if !within(pic.Y, q) {
				continue
			}
			at, c := level.Pixel(q), chroma(q)
			yy, light := level.SampleBoth(at.U, at.V)
			cb, cr := raster.SamplePair(pic.Cb, pic.Cr, c.U, c.V)
			v.lay(p+i, light, yy, cb, cr)
		}
	}
	v.runs(cam, func() func(p, n int, a, b geom.PxPoint) { return run })
}

// LeastRGB is the least sum of the gamma-coded R, G and B, 0 to 255 each, over which a colour
// ratio is taken: four levels of each, below which noise would make any ratio.
const LeastRGB = 12

// lay fills in pixel p.
func (v *View) lay(p int, light, y, cb, cr float64) {
	r, g, b := raster.RGB(y, cb, cr)
	s := 1 / max(r+g+b, LeastRGB)
	v.L[p], v.Seen[p] = float32(light), true
	v.RG[p], v.GB[p] = float32((r-g)*s), float32((g-b)*s)
}

// colourRun fills in one run that the photo holds as a whole: what SampleBoth and
// SamplePair give, without asking for the border at each place.
func (v *View) colourRun(pic *raster.Picture, level Level, p, n int, a, b geom.PxPoint) {
	kx, ky := 1/float64(pic.ChromaX), 1/float64(pic.ChromaY)
	w, cw := level.W, pic.Cb.W
	linear := &raster.Linear64
	lum, cbs, crs := level.Pix, pic.Cb.Pix, pic.Cr.Pix
	for i := range n {
		q := a.Between(b, float64(i)/viewRun)
		x, y := (q.U+0.5)*level.Scale-0.5, (q.V+0.5)*level.Scale-0.5
		ix, iy := int(x), int(y)
		fx, fy := x-float64(ix), y-float64(iy)
		at := iy*w + ix
		s, t := lum[at:at+2:at+2], lum[at+w:at+w+2:at+w+2]
		yy := raster.Bilinear(float64(s[0]), float64(s[1]), float64(t[0]), float64(t[1]), fx, fy)
		light := raster.Bilinear(linear[s[0]], linear[s[1]], linear[t[0]], linear[t[1]], fx, fy)
		x, y = (q.U+0.5)*kx-0.5, (q.V+0.5)*ky-0.5
		ix, iy = int(x), int(y)
		fx, fy = x-float64(ix), y-float64(iy)
		at = iy*cw + ix
		s, t = cbs[at:at+2:at+2], cbs[at+cw:at+cw+2:at+cw+2]
		cb := raster.Bilinear(float64(s[0]), float64(s[1]), float64(t[0]), float64(t[1]), fx, fy)
		s, t = crs[at:at+2:at+2], crs[at+cw:at+cw+2:at+cw+2]
		cr := raster.Bilinear(float64(s[0]), float64(s[1]), float64(t[0]), float64(t[1]), fx, fy)
		v.lay(p+i, light, yy, cb, cr)
	}
}
