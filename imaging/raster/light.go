package raster

import (
	"encoding/binary"
	"math"
)

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

// SampleLinear gives the bilinear value at (u, v) in linear light, 0 to 1.
func (g *Grey) SampleLinear(u, v float64) float64 {
	x, y := math.Floor(u), math.Floor(v)
	fx, fy := u-x, v-y
	ix, iy := int(x), int(y)
	if ix >= 0 && iy >= 0 && ix < g.W-1 && iy < g.H-1 {
		i := iy*g.W + ix
		a, b := float64(Linear[g.Pix[i]]), float64(Linear[g.Pix[i+1]])
		c, d := float64(Linear[g.Pix[i+g.W]]), float64(Linear[g.Pix[i+g.W+1]])
		return (a*(1-fx)+b*fx)*(1-fy) + (c*(1-fx)+d*fx)*fy
	}
	a, b := float64(Linear[g.At(ix, iy)]), float64(Linear[g.At(ix+1, iy)])
	c, d := float64(Linear[g.At(ix, iy+1)]), float64(Linear[g.At(ix+1, iy+1)])
	return (a*(1-fx)+b*fx)*(1-fy) + (c*(1-fx)+d*fx)*fy
}

// RGB gives the bilinear colour at (u, v) as gamma-coded R, G, B in 0 to 255 (not clipped).
// Source: ITU-T T.871 (JFIF) section 7, YCbCr to RGB.
func (p *Picture) RGB(u, v float64) (r, g, b float64) {
	y := p.Y.Sample(u, v)
	if p.Cb == nil {
		return y, y, y
	}
	cu, cv := (u+0.5)/float64(p.ChromaX)-0.5, (v+0.5)/float64(p.ChromaY)-0.5
	cb, cr := p.Cb.Sample(cu, cv)-128, p.Cr.Sample(cu, cv)-128
	return y + 1.402*cr, y - 0.344136*cb - 0.714136*cr, y + 1.772*cb
}

// Half gives the plane at half size, each pixel the mean of four.
// Pixel (x, y) of the result has its centre at (2x + 0.5, 2y + 0.5) of g.
func (g *Grey) Half() *Grey {
	h := NewGrey(g.W/2, g.H/2)
	g.HalfRows(h, 0, h.H)
	return h
}

// HalfRows fills in the rows from y0 up to y1 of h, which is to be g at half size.
func (g *Grey) HalfRows(h *Grey, y0, y1 int) {
	const (
		even = 0x00ff00ff00ff00ff // every other of eight pixels in one word
		two  = 0x0002000200020002
	)
	for y := y0; y < y1; y++ {
		a, b := g.Pix[2*y*g.W:(2*y+1)*g.W], g.Pix[(2*y+1)*g.W:(2*y+2)*g.W]
		out := h.Pix[y*h.W : (y+1)*h.W]
		x := 0
		for ; x+4 <= len(out); x += 4 {
			p, q := binary.LittleEndian.Uint64(a[2*x:]), binary.LittleEndian.Uint64(b[2*x:])
			s := (p&even + p>>8&even + q&even + q>>8&even + two) >> 2 & even
			s = (s | s>>8) & 0x0000ffff0000ffff
			binary.LittleEndian.PutUint32(out[x:], uint32(s|s>>16))
		}
		for ; x < len(out); x++ {
			out[x] = uint8((int(a[2*x]) + int(a[2*x+1]) + int(b[2*x]) + int(b[2*x+1]) + 2) >> 2)
		}
	}
}
