package convnet

import "bucktail/imaging/cores"

// conv runs l over x, round the circle in phi where x is not flat, else with the border's value
// repeated as in rho, and cuts off what is negative if relu is set. start, when given, holds for every output
// plane and direction a value to add (what the constant inputs contribute).
func (l *layer) conv(ws *Workspace, x *Planes, relu bool, start []float32) *Planes {
	c := &convolution{layer: l, out: ws.Planes(l.out, x.phi, x.rho), x: x, relu: relu, start: start}
	c.out.flat = x.flat
	c.pad, c.wide = l.pad(ws, x)
	switch {
	case c.atOnce():
	case x.flat: // a large map: its rows are shared out among the cores
		cores.Stretches(x.phi, 16, func(i0, i1 int) { c.rows(i0, i1, make([]float32, x.rho)) })
	default:
		c.rows(0, x.phi, ws.take(x.rho))
	}
	return c.out
}

// convolution is the running of one layer.
type convolution struct {
	*layer
	out, x *Planes
	pad    []float32 // x, as [layer.pad] copies it
	wide   int       // samples from a row of pad to the next
	relu   bool
	start  []float32
}

// rows makes the rows from i0 up to i1 of all output planes; spare is for its use.
func (c *convolution) rows(i0, i1 int, spare []float32) {
	l, x := c.layer, c.x
	high := x.phi + l.kPhi - 1
	per := l.in * l.kPhi * l.kRho
	base := func(o, i int) float32 {
		if c.start != nil {
			return c.start[o*x.phi+i]
		}
		return l.b[o]
	}
	// Two output planes at a time: each loaded sample is used twice, which is what the
	// speed of this loop hangs on. An odd last one is paired with itself, into a spare row.
	for i := i0; i < i1; i++ { // row by row, so that a large map's samples are still near at hand
		for o := 0; o < l.out; o += 2 {
			second := min(o+1, l.out-1)
			r1 := spare
			if second != o {
				r1 = c.out.Row(second, i)
			}
			p := rowPair{
				r0: c.out.Row(o, i), r1: r1, base0: base(o, i), base1: base(second, i), relu: c.relu,
				w0: l.w[o*per:][:per], w1: l.w[second*per:][:per], kPhi: l.kPhi, kRho: l.kRho,
				src: c.pad[i*c.wide:], in: x.n, wide: c.wide, plane: high * c.wide,
			}
			p.correlate()
		}
	}
}

// pad copies the rows of x so that the inner loops have no border: each has kRho/2 samples
// more at both ends, each plane kPhi/2 rows more. wide is the length of a padded row.
func (l *layer) pad(ws *Workspace, x *Planes) (pad []float32, wide int) {
	pp, pr := l.kPhi/2, l.kRho/2
	wide = x.rho + 2*pr
	high := x.phi + 2*pp
	pad = ws.take(x.n * high * wide)
	for c := range x.n {
		for i := range high {
			from := (i - pp + x.phi) % x.phi
			if x.flat {
				from = min(max(i-pp, 0), x.phi-1)
			}
			d, s := pad[(c*high+i)*wide:][:wide], x.Row(c, from)
			for k := range pr {
				d[k], d[wide-1-k] = s[0], s[x.rho-1]
			}
			copy(d[pr:], s)
		}
	}
	return pad, wide
}

// rowPair is the making of one row in two output planes.
type rowPair struct {
	r0, r1       []float32 // what is made
	base0, base1 float32   // where its sums start
	relu         bool      // cut off what is negative
	w0, w1       []float32 // the weights of both planes: input planes of kPhi rows of kRho
	kPhi, kRho   int
	src          []float32 // padded samples, from the first row on that counts
	in           int       // input planes
	wide, plane  int       // samples from a row to the next, from a plane to the next
}

// correlateGo makes the rows in plain Go. How its sums are grouped is part of what it does:
// the assembly, for amd64 and for WebAssembly, gives the same to the last bit.
func (p *rowPair) correlateGo() {
	fill(p.r0, p.base0)
	fill(p.r1, p.base1)
	n := p.kPhi * p.kRho
	for c := range p.in {
		w0, w1, src := p.w0[c*n:][:n], p.w1[c*n:][:n], p.src[c*p.plane:]
		if p.kPhi == 3 && p.kRho == 3 {
			correlate2x9(p.r0, p.r1, src, src[p.wide:], src[2*p.wide:], w0, w1)
			continue
		}
		for a := range p.kPhi {
			correlate2(p.r0, p.r1, src[a*p.wide:], w0[a*p.kRho:][:p.kRho], w1[a*p.kRho:][:p.kRho])
		}
	}
	if p.relu {
		cutNegative(p.r0)
		cutNegative(p.r1)
	}
}

func fill(row []float32, v float32) {
	for k := range row {
		row[k] = v
	}
}

func cutNegative(row []float32) {
	for k, v := range row {
		if v < 0 {
			row[k] = 0
		}
	}
}

// correlate adds to row the correlation of src with the few weights w.
func correlate(row, src, w []float32) {
	for j, f := range w {
		s := src[j : j+len(row)]
		for k := range row {
			row[k] += f * s[k]
		}
	}
}

// correlate2 is correlate for two rows over the same samples.
func correlate2(r0, r1, src, w0, w1 []float32) {
	n := len(r0)
	r1 = r1[:n]
	switch len(w0) {
	case 3:
		a0, a1, a2 := w0[0], w0[1], w0[2]
		b0, b1, b2 := w1[0], w1[1], w1[2]
		s := src[:n+2]
		x, y := s[0], s[1]
		for k := range r0 {
			z := s[k+2]
			r0[k] += a0*x + a1*y + a2*z
			r1[k] += b0*x + b1*y + b2*z
			x, y = y, z
		}
	case 5:
		a0, a1, a2, a3, a4 := w0[0], w0[1], w0[2], w0[3], w0[4]
		b0, b1, b2, b3, b4 := w1[0], w1[1], w1[2], w1[3], w1[4]
		s := src[:n+4]
		v, x, y, z := s[0], s[1], s[2], s[3]
		for k := range r0 {
			t := s[k+4]
			r0[k] += a0*v + a1*x + a2*y + a3*z + a4*t
			r1[k] += b0*v + b1*x + b2*y + b3*z + b4*t
			v, x, y, z = x, y, z, t
		}
	default:
		correlate(r0, src, w0)
		correlate(r1, src, w1)
	}
}

// correlate2x9 adds to two rows the correlation of three rows of samples with 3 × 3 weights.
func correlate2x9(r0, r1, s0, s1, s2, w0, w1 []float32) {
	n := len(r0)
	r1, s0, s1, s2 = r1[:n], s0[:n+2], s1[:n+2], s2[:n+2]
	w0, w1 = w0[:9], w1[:9]
	a0, a1, a2, a3, a4, a5, a6, a7, a8 := w0[0], w0[1], w0[2], w0[3], w0[4], w0[5], w0[6], w0[7], w0[8]
	b0, b1, b2, b3, b4, b5, b6, b7, b8 := w1[0], w1[1], w1[2], w1[3], w1[4], w1[5], w1[6], w1[7], w1[8]
	p, q, t, u, x, y := s0[0], s0[1], s1[0], s1[1], s2[0], s2[1]
	for k := range r0 {
		r, v, z := s0[k+2], s1[k+2], s2[k+2]
		r0[k] += (a0*p + a1*q + a2*r) + (a3*t + a4*u + a5*v) + (a6*x + a7*y + a8*z)
		r1[k] += (b0*p + b1*q + b2*r) + (b3*t + b4*u + b5*v) + (b6*x + b7*y + b8*z)
		p, q, t, u, x, y = q, r, u, v, y, z
	}
}
