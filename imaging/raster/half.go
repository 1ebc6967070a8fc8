package raster

import (
	"bucktail/imaging/cores"
	"encoding/binary"
	"sync"
)

// halves keeps a picture's luma averaged down: card, outlines and edges all look at it.
type halves struct {
	mu   sync.Mutex
	done []*Grey // [k] is halved k + 1 times
}

// Level gives the luma halved k times: k = 0 is Y itself. It may be asked from several
// goroutines; what it gives is kept with the picture and not to be changed.
func (p *Picture) Level(k int) *Grey {
	if k == 0 {
		return p.Y
	}
	p.halves.mu.Lock()
	defer p.halves.mu.Unlock()
	for len(p.halves.done) < k {
		last := p.Y
		if n := len(p.halves.done); n > 0 {
			last = p.halves.done[n-1]
		}
		p.halves.done = append(p.halves.done, last.Half())
	}
	return p.halves.done[k-1]
}

// Half gives the plane at half size, each pixel the mean of four; a last odd row or column
// is left out. Pixel (x, y) of the result has its centre at (2x + 0.5, 2y + 0.5) of g.
func (g *Grey) Half() *Grey {
	h := &Grey{}
	g.HalfInto(h)
	return h
}

// fewPx is where sharing out among the cores costs more than it saves.
const fewPx = 1 << 16

// HalfInto is [Grey.Half] into h, taking h's memory if it is large enough.
func (g *Grey) HalfInto(h *Grey) {
	h.W, h.H = g.W/2, g.H/2
	if n := h.W * h.H; cap(h.Pix) < n {
		h.Pix = make([]uint8, n)
	} else {
		h.Pix = h.Pix[:n]
	}
	if len(h.Pix) < fewPx {
		g.halveRows(h, 0, h.H)
		return
	}
	cores.Stretches(h.H, 1, func(y0, y1 int) { g.halveRows(h, y0, y1) })
}

// halveRows fills the rows of h from y0 up to y1. It adds up four pixels at a time, each in
// 16 of 64 bits.
func (g *Grey) halveRows(h *Grey, y0, y1 int) {
	const lower, two = 0x00ff00ff00ff00ff, 0x0002000200020002
	for y := y0; y < y1; y++ {
		a, b := g.Pix[2*y*g.W:][:2*h.W], g.Pix[(2*y+1)*g.W:][:2*h.W]
		out := h.Pix[y*h.W:][:h.W]
		x := 0
		for ; x+4 <= len(out); x += 4 {
			p, q := binary.LittleEndian.Uint64(a[2*x:2*x+8]), binary.LittleEndian.Uint64(b[2*x:2*x+8])
			s := (p&lower + p>>8&lower + q&lower + q>>8&lower + two) >> 2 & lower
			s = (s | s>>8) & 0x0000ffff0000ffff
			binary.LittleEndian.PutUint32(out[x:x+4], uint32(s|s>>16))
		}
		for ; x < len(out); x++ {
			i := 2 * x
			out[x] = uint8((uint32(a[i]) + uint32(a[i+1]) + uint32(b[i]) + uint32(b[i+1]) + 2) >> 2)
		}
	}
}
