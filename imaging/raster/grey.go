// Package raster samples pictures: grey planes, interpolation, linear light and
// edges along a profile. It knows pixels of the upright picture and nothing else.
// Start with [Grey] and [Picture].
package raster

import "math"

// Grey is one 8-bit plane, row by row without gaps; (0, 0) is the top left pixel's centre.
type Grey struct {
	W, H int
	Pix  []uint8 // len W*H
}

// NewGrey makes a black plane of w × h.
func NewGrey(w, h int) *Grey { return &Grey{W: w, H: h, Pix: make([]uint8, w*h)} }

// At gives the pixel (x, y), the nearest inside one beyond the border.
func (g *Grey) At(x, y int) uint8 {
	x, y = min(max(x, 0), g.W-1), min(max(y, 0), g.H-1)
	return g.Pix[y*g.W+x]
}

// Sample gives the bilinear value at (u, v), the border's value beyond it.
func (g *Grey) Sample(u, v float64) float64 {
	ix, iy := int(u), int(v) // rounded down where they are not negative
	if u >= 0 && v >= 0 && ix >= 0 && iy >= 0 && ix < g.W-1 && iy < g.H-1 {
		fx, fy := u-float64(ix), v-float64(iy)
		i := iy*g.W + ix
		p, q := g.Pix[i:i+2:i+2], g.Pix[i+g.W:i+g.W+2:i+g.W+2]
		return Bilinear(float64(p[0]), float64(p[1]), float64(q[0]), float64(q[1]), fx, fy)
	}
	x, y := math.Floor(u), math.Floor(v)
	ix, iy = int(x), int(y)
	return Bilinear(float64(g.At(ix, iy)), float64(g.At(ix+1, iy)), float64(g.At(ix, iy+1)), float64(g.At(ix+1, iy+1)), u-x, v-y)
}

// SamplePair gives the bilinear values at (u, v) of two planes, as [Grey.Sample] does; of one
// size they take little more than one.
func SamplePair(a, b *Grey, u, v float64) (x, y float64) {
	ix, iy := int(u), int(v)
	if !(u >= 0 && v >= 0 && ix < a.W-1 && iy < a.H-1 && a.W == b.W && a.H == b.H) {
		return a.Sample(u, v), b.Sample(u, v)
	}
	fx, fy := u-float64(ix), v-float64(iy)
	at := iy*a.W + ix
	p, q := a.Pix[at:at+2:at+2], a.Pix[at+a.W:at+a.W+2:at+a.W+2]
	r, s := b.Pix[at:at+2:at+2], b.Pix[at+a.W:at+a.W+2:at+a.W+2]
	return Bilinear(float64(p[0]), float64(p[1]), float64(q[0]), float64(q[1]), fx, fy),
		Bilinear(float64(r[0]), float64(r[1]), float64(s[0]), float64(s[1]), fx, fy)
}

// Bilinear is the value between a and b of one row and c and d below them, (fx, fy) of the way
// from a to b and to c.
func Bilinear(a, b, c, d, fx, fy float64) float64 {
	return (a*(1-fx)+b*fx)*(1-fy) + (c*(1-fx)+d*fx)*fy
}

// Picture is the upright photo as JPEG keeps it: luma at full size, chroma perhaps smaller.
// Its pixels don't change once it is made.
type Picture struct {
	Y      *Grey // luma, W × H
	Cb, Cr *Grey // chroma about 128; nil in a grey photo
	// Full pixels a chroma pixel across and down (1 or 2, 4 at most), after turning upright.
	ChromaX, ChromaY int

	halves halves
}

// Bounds gives the picture's width and height in pixels.
func (p *Picture) Bounds() (w, h int) { return p.Y.W, p.Y.H }

// Inside tells whether (u, v) lies at least margin pixels inside the picture.
func (p *Picture) Inside(u, v, margin float64) bool {
	return u >= margin && v >= margin && u <= float64(p.Y.W-1)-margin && v <= float64(p.Y.H-1)-margin
}
