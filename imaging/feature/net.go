package feature

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"math"
	"sync"
)

// The outline network: a small convolutional network that looks at an unwrapped
// neighbourhood and says, for every direction, how likely each distance is to be the
// silhouette (and, for driven heads, the rim of the flat), and whether a fastener of the
// wanted kind stands there at all.
//
// It has the shape of Ronneberger, Fischer and Brox, U-Net, MICCAI 2015, with two halvings
// and some 30,000 weights. Two networks of that shape, trained from different starts, look
// at each place: where they disagree the contour is doubtful. A third looks along the contour
// that they found, straightened. They were trained on rendered patches (package synth) and on
// part of the rendered example photos; testdata/training/README.md names them, says how, and
// holds the script.
//
//go:embed outline-a.weights
var outlineWeightsA []byte

//go:embed outline-b.weights
var outlineWeightsB []byte

//go:embed band.weights
var bandWeights []byte

// netPhi is the number of directions the network sees: pairs of the unwrapped rows.
const netPhi = polarPhi / 2

// netIn is the number of its input planes, see (*polar).planes.
const netIn = 4

// netGlobal is the number of values a direction that do not change with distance.
const netGlobal = 8

// layer is one convolution, with batch normalisation folded in.
type layer struct {
	in, out, kPhi, kRho int
	w                   []float32 // out, in, kPhi, kRho
	b                   []float32
}

// network holds the layers in the order of use.
type network struct {
	e0, e0b, e1, e1b, e2, e2b, e2c, u1, u0, last layer
	o1, o2                                       layer // fully connected
}

var (
	outlineNetA = sync.OnceValue(func() *network { return mustNetwork(outlineWeightsA) })
	outlineNetB = sync.OnceValue(func() *network { return mustNetwork(outlineWeightsB) })
	bandNet     = sync.OnceValue(func() *network { return mustNetwork(bandWeights) })
)

func mustNetwork(b []byte) *network {
	n, err := readNetwork(b)
	if err != nil {
		panic("feature: the embedded outline network is damaged: " + err.Error())
	}
	return n
}

// readNetwork reads weights as testdata/training/train.py writes them: "BTN1", then a layer
// after the other: four uint16 (in, out, kPhi, kRho), the weights and the biases, both as
// IEEE 754 half floats, little-endian.
func readNetwork(b []byte) (*network, error) {
	if len(b) < 4 || string(b[:4]) != "BTN1" {
		return nil, fmt.Errorf("no BTN1 mark at its start")
	}
	b = b[4:]
	n := &network{}
	for _, l := range []*layer{&n.e0, &n.e0b, &n.e1, &n.e1b, &n.e2, &n.e2b, &n.e2c, &n.u1, &n.u0, &n.last, &n.o1, &n.o2} {
		if len(b) < 8 {
			return nil, fmt.Errorf("it ends early")
		}
		l.in, l.out = int(binary.LittleEndian.Uint16(b)), int(binary.LittleEndian.Uint16(b[2:]))
		l.kPhi, l.kRho = int(binary.LittleEndian.Uint16(b[4:])), int(binary.LittleEndian.Uint16(b[6:]))
		b = b[8:]
		nw := l.in * l.out * l.kPhi * l.kRho
		if len(b) < 2*(nw+l.out) {
			return nil, fmt.Errorf("it ends early")
		}
		l.w, l.b = make([]float32, nw), make([]float32, l.out)
		for i := range l.w {
			l.w[i] = half(binary.LittleEndian.Uint16(b[2*i:]))
		}
		b = b[2*nw:]
		for i := range l.b {
			l.b[i] = half(binary.LittleEndian.Uint16(b[2*i:]))
		}
		b = b[2*l.out:]
	}
	if n.e0.in != netIn+netGlobal {
		return nil, fmt.Errorf("it wants %d input planes, this program makes %d", n.e0.in, netIn+netGlobal)
	}
	return n, nil
}

// half turns an IEEE 754 binary16 into a float32.
func half(h uint16) float32 {
	s, e, m := uint32(h>>15)<<31, int(h>>10&31), uint32(h&1023)
	switch e {
	case 0:
		f := float32(m) / (1 << 24)
		if s != 0 {
			f = -f
		}
		return f
	case 31:
		return float32(math.NaN())
	}
	return math.Float32frombits(s | uint32(e-15+127)<<23 | m<<13)
}

// planes is a stack of maps of phi × rho, one after the other.
type planes struct {
	n, phi, rho int
	v           []float32
}

// workspace is the memory of one look, kept for the next: taking from it is handing out the
// next stretch of one long slice, whose content is left over and must be overwritten.
type workspace struct {
	v    []float32
	used int
}

var workspaces = sync.Pool{New: func() any { return &workspace{v: make([]float32, 450_000)} }} // what a look takes

func (w *workspace) take(n int) []float32 {
	if w.used+n > len(w.v) {
		return make([]float32, n)
	}
	w.used += n
	return w.v[w.used-n : w.used : w.used]
}

func (w *workspace) planes(n, phi, rho int) *planes {
	return &planes{n, phi, rho, w.take(n * phi * rho)}
}

func (p *planes) row(c, i int) []float32 {
	k := (c*p.phi + i) * p.rho
	return p.v[k : k+p.rho]
}

// conv runs l over x, round the circle in phi and with the border's value repeated in rho,
// and cuts off what is negative if relu is set. start, when given, holds for every output
// plane and direction a value to add (what the constant inputs contribute).
func (l *layer) conv(ws *workspace, x *planes, relu bool, start []float32) *planes {
	out := ws.planes(l.out, x.phi, x.rho)
	in := x.n
	pp, pr := l.kPhi/2, l.kRho/2
	// One padded copy of the rows, so that the inner loop has no border.
	wide := x.rho + 2*pr
	pad := ws.take(in * x.phi * wide)
	for r := range in * x.phi {
		d, s := pad[r*wide:(r+1)*wide], x.v[r*x.rho:(r+1)*x.rho]
		for k := range pr {
			d[k], d[wide-1-k] = s[0], s[x.rho-1]
		}
		copy(d[pr:], s)
	}
	base := func(o, i int) float32 {
		if start != nil {
			return start[o*x.phi+i]
		}
		return l.b[o]
	}
	weights := func(o, c, a int) []float32 { return l.w[((o*l.in+c)*l.kPhi+a)*l.kRho:][:l.kRho] }
	// Two output planes at a time: each loaded sample is used twice, which is what the
	// speed of this loop hangs on.
	for o := 0; o < l.out; o += 2 {
		second := min(o+1, l.out-1)
		for i := range x.phi {
			r0, r1 := out.row(o, i), out.row(second, i)
			fill(r0, base(o, i))
			if second != o {
				fill(r1, base(second, i))
			}
			for c := range in {
				if l.kPhi == 3 && l.kRho == 3 && second != o {
					at := func(a int) []float32 { return pad[(c*x.phi+(i+a-1+x.phi)%x.phi)*wide:][:wide] }
					correlate2x9(r0, r1, at(0), at(1), at(2), l.w[(o*l.in+c)*9:][:9], l.w[(second*l.in+c)*9:][:9])
					continue
				}
				for a := range l.kPhi {
					src := pad[(c*x.phi+(i+a-pp+x.phi)%x.phi)*wide:][:wide]
					if second == o {
						correlate(r0, src, weights(o, c, a))
					} else {
						correlate2(r0, r1, src, weights(o, c, a), weights(second, c, a))
					}
				}
			}
			if relu {
				cutNegative(r0)
				cutNegative(r1)
			}
		}
	}
	return out
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

// pool halves both sides, keeping the greatest of four.
func (x *planes) pool(ws *workspace) *planes {
	out := ws.planes(x.n, x.phi/2, x.rho/2)
	for c := range x.n {
		for i := range out.phi {
			a, b, o := x.row(c, 2*i), x.row(c, 2*i+1), out.row(c, i)
			for k := range o {
				o[k] = max(a[2*k], a[2*k+1], b[2*k], b[2*k+1])
			}
		}
	}
	return out
}

// join stacks x and y, y doubled in size by repeating.
func join(ws *workspace, x, y *planes) *planes {
	out := ws.planes(x.n+y.n, x.phi, x.rho)
	copy(out.v, x.v)
	for c := range y.n {
		for i := range x.phi {
			o, s := out.row(x.n+c, i), y.row(c, i/2)
			for k := range o {
				o[k] = s[k/2]
			}
		}
	}
	return out
}

// constants gives, for each output plane and direction of the first layer, its bias and
// what the inputs that do not change with distance add to it. global is netGlobal values a
// direction; the planes after those that vary.
func (l *layer) constants(global []float32) []float32 {
	out := make([]float32, l.out*netPhi)
	for o := range l.out {
		for i := range netPhi {
			s := l.b[o]
			for c := range netGlobal {
				for a := range l.kPhi {
					g := global[((i+a-l.kPhi/2+netPhi)%netPhi)*netGlobal+c]
					if g == 0 {
						continue
					}
					w := l.w[((o*l.in+netIn+c)*l.kPhi+a)*l.kRho:][:l.kRho]
					for _, f := range w {
						s += f * g
					}
				}
			}
			out[o*netPhi+i] = s
		}
	}
	return out
}

// encode runs the first half: what is there, and the likelihood (as a logit) that a
// fastener of the wanted kind is.
func (n *network) encode(ws *workspace, x *planes, global []float32) (x0, x1, x2 *planes, logit float64) {
	x0 = n.e0b.conv(ws, n.e0.conv(ws, x, true, n.e0.constants(global)), true, nil)
	x1 = n.e1b.conv(ws, n.e1.conv(ws, x0.pool(ws), true, nil), true, nil)
	x2 = n.e2c.conv(ws, n.e2b.conv(ws, n.e2.conv(ws, x1.pool(ws), true, nil), true, nil), true, nil)
	g := make([]float32, 2*x2.n)
	for c := range x2.n {
		var mean, top float32
		for i := range x2.phi {
			r := x2.row(c, i)
			m := r[0]
			for _, v := range r {
				mean += v
				m = max(m, v)
			}
			top += m
		}
		g[c] = mean / float32(x2.phi*x2.rho)
		g[x2.n+c] = top / float32(x2.phi)
	}
	h := n.o1.dense(g)
	for i, v := range h {
		h[i] = max(v, 0)
	}
	return x0, x1, x2, float64(n.o2.dense(h)[0])
}

// decode runs the second half: two maps of logits, silhouette and flat's rim.
func (n *network) decode(ws *workspace, x0, x1, x2 *planes) *planes {
	y1 := n.u1.conv(ws, join(ws, x1, x2), true, nil)
	y0 := n.u0.conv(ws, join(ws, x0, y1), true, nil)
	return n.last.conv(ws, y0, false, nil)
}

func (l *layer) dense(x []float32) []float32 {
	out := make([]float32, l.out)
	for o := range out {
		s := l.b[o]
		for c, v := range x {
			s += l.w[o*l.in+c] * v
		}
		out[o] = s
	}
	return out
}
