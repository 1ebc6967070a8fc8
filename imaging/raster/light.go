package raster

import "math"

// Linear turns an 8-bit sRGB value into linear light, 0 to 1.
// Edges are placed in linear light: a blurred step has its true place at the half level
// of light, not of its gamma-coded value.
//
// Source: IEC 61966-2-1:1999, the sRGB transfer function.
var Linear = func() (t [256]float32) {
	for i := range t {
		v := float64(i) / 255
		if v <= 0.04045 {
			t[i] = float32(v / 12.92)
		} else {
			// Powers by Exp2: math.Pow rounds differently in the browser.
			t[i] = float32(math.Exp2(2.4 * math.Log2((v+0.055)/1.055)))
		}
	}
	return t
}()

// Linear64 is [Linear] in the precision that samples are reckoned in.
var Linear64 = func() (t [256]float64) {
	for i, x := range Linear {
		t[i] = float64(x)
	}
	return t
}()

// SampleLinear gives the bilinear value at (u, v) in linear light, 0 to 1.
func (g *Grey) SampleLinear(u, v float64) float64 {
	ix, iy := int(u), int(v) // rounded down where they are not negative
	if u >= 0 && v >= 0 && ix >= 0 && iy >= 0 && ix < g.W-1 && iy < g.H-1 {
		fx, fy := u-float64(ix), v-float64(iy)
		i := iy*g.W + ix
		p, q := g.Pix[i:i+2:i+2], g.Pix[i+g.W:i+g.W+2:i+g.W+2]
		return Bilinear(Linear64[p[0]], Linear64[p[1]], Linear64[q[0]], Linear64[q[1]], fx, fy)
	}
	x, y := math.Floor(u), math.Floor(v)
	ix, iy = int(x), int(y)
	return Bilinear(Linear64[g.At(ix, iy)], Linear64[g.At(ix+1, iy)], Linear64[g.At(ix, iy+1)], Linear64[g.At(ix+1, iy+1)], u-x, v-y)
}

// SampleBoth gives what [Grey.Sample] and [Grey.SampleLinear] do.
func (g *Grey) SampleBoth(u, v float64) (value, light float64) {
	ix, iy := int(u), int(v)
	if !(u >= 0 && v >= 0 && ix < g.W-1 && iy < g.H-1) {
		return g.Sample(u, v), g.SampleLinear(u, v)
	}
	fx, fy := u-float64(ix), v-float64(iy)
	at := iy*g.W + ix
	p, q := g.Pix[at:at+2:at+2], g.Pix[at+g.W:at+g.W+2:at+g.W+2]
	lin := &Linear64
	return Bilinear(float64(p[0]), float64(p[1]), float64(q[0]), float64(q[1]), fx, fy),
		Bilinear(lin[p[0]], lin[p[1]], lin[q[0]], lin[q[1]], fx, fy)
}

// RGB gives the bilinear colour at (u, v) as gamma-coded R, G, B in 0 to 255 (not clipped).
func (p *Picture) RGB(u, v float64) (r, g, b float64) {
	y := p.Y.Sample(u, v)
	if p.Cb == nil {
		return y, y, y
	}
	cu, cv := (u+0.5)/float64(p.ChromaX)-0.5, (v+0.5)/float64(p.ChromaY)-0.5
	return RGB(y, p.Cb.Sample(cu, cv), p.Cr.Sample(cu, cv))
}

// RGB turns luma and chroma about 128 into R, G, B.
// Source: ITU-T T.871 (JFIF) section 7, YCbCr to RGB.
func RGB(y, cb, cr float64) (r, g, b float64) {
	cb, cr = cb-128, cr-128
	return y + 1.402*cr, y - 0.344136*cb - 0.714136*cr, y + 1.772*cb
}
