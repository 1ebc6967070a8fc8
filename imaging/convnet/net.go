// Package convnet runs the small convolutional networks that look at outlines: numbers in,
// numbers out. A network sees [Inputs] planes of [Directions] rows, which go round in a
// circle, by any number of columns, which go outward; it says in logits where in each row
// the outline lies, and whether there is one at all. What rows and columns mean on the sheet
// is the caller's. Start with [Read] and [Network.See].
package convnet

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"sync"
)

// Directions is the number of directions that a network sees.
const Directions = 32

// Inputs is the number of its input planes.
const Inputs = 4

// Settings is the number of values a direction that do not change with distance.
const Settings = 8

// layer is one convolution, with batch normalisation folded in.
type layer struct {
	in, out, kPhi, kRho int
	w                   []float32 // out, in, kPhi, kRho
	b                   []float32
}

// Network holds the layers in the order of use.
type Network struct {
	e0, e0b, e1, e1b, e2, e2b, e2c, u1, u0, last layer
	o1, o2                                       layer // fully connected
}

// Read reads weights as testdata/training/export.py writes them: "BTN3", then a layer after the
// other: four uint16 (in, out, kPhi, kRho), for each output plane the step of its weights and then
// its bias, as IEEE 754 half floats, and the weights as so many steps, a signed byte each; all
// little-endian.
func Read(b []byte) (*Network, error) {
	n := &Network{}
	if err := readLayers(b, &n.e0, &n.e0b, &n.e1, &n.e1b, &n.e2, &n.e2b, &n.e2c, &n.u1, &n.u0, &n.last, &n.o1, &n.o2); err != nil {
		return nil, err
	}
	if n.e0.in != Inputs+Settings {
		return nil, fmt.Errorf("it wants %d input planes, this program makes %d", n.e0.in, Inputs+Settings)
	}
	return n, nil
}

// Lazy is an embedded network that is read when it is first asked for. A caller names its weights in
// functions alone, not where its package is set up, so that a program which never looks leaves
// them out.
type Lazy struct {
	once sync.Once
	net  *Network
}

// Read gives the network of the embedded weights b, always the same.
func (l *Lazy) Read(b []byte) *Network {
	l.once.Do(func() {
		n, err := Read(b)
		if err != nil {
			panic("convnet: an embedded network is damaged: " + err.Error())
		}
		l.net = n
	})
	return l.net
}

var errEarly = errors.New("it ends early")

// readLayers fills the layers in their order.
func readLayers(b []byte, layers ...*layer) error {
	if len(b) < 4 || string(b[:4]) != "BTN3" {
		return errors.New("no BTN3 mark at its start")
	}
	b = b[4:]
	for _, l := range layers {
		if len(b) < 8 {
			return errEarly
		}
		l.in, l.out = int(binary.LittleEndian.Uint16(b)), int(binary.LittleEndian.Uint16(b[2:]))
		l.kPhi, l.kRho = int(binary.LittleEndian.Uint16(b[4:])), int(binary.LittleEndian.Uint16(b[6:]))
		b = b[8:]
		per := l.in * l.kPhi * l.kRho
		if len(b) < l.out*(4+per) {
			return errEarly
		}
		steps, biases, weights := b[:2*l.out], b[2*l.out:4*l.out], b[4*l.out:l.out*(4+per)]
		b = b[l.out*(4+per):]
		l.w, l.b = make([]float32, l.out*per), make([]float32, l.out)
		for o := range l.b {
			l.b[o] = half(binary.LittleEndian.Uint16(biases[2*o:]))
			step := half(binary.LittleEndian.Uint16(steps[2*o:]))
			for i := o * per; i < (o+1)*per; i++ {
				l.w[i] = step * float32(int8(weights[i]))
			}
		}
	}
	return nil
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

// Planes is a stack of maps of phi × rho, one after the other.
type Planes struct {
	n, phi, rho int
	v           []float32
	flat        bool // the rows don't go round: beyond the first and the last is more of the same
}

// Workspace is the memory of one look, kept for the next: taking from it is handing out the
// next stretch of one long slice, whose content is left over and must be overwritten.
type Workspace struct {
	v    []float32
	used int
}

var workspaces = sync.Pool{New: func() any { return &Workspace{v: make([]float32, 640_000)} }} // what a look takes

// Borrow gives a workspace for one look; [Workspace.Return] ends it.
func Borrow() *Workspace {
	ws := workspaces.Get().(*Workspace)
	ws.used = 0
	return ws
}

// Return ends the look that a workspace was borrowed for: what was made in it is no longer good.
func (w *Workspace) Return() { workspaces.Put(w) }

func (w *Workspace) take(n int) []float32 {
	if w.used+n > len(w.v) {
		return make([]float32, n)
	}
	w.used += n
	return w.v[w.used-n : w.used : w.used]
}

// Planes gives n planes, which hold whatever was left over.
func (w *Workspace) Planes(n, phi, rho int) *Planes {
	return &Planes{n: n, phi: phi, rho: rho, v: w.take(n * phi * rho)}
}

// Strip gives n planes whose rows do not go round: beyond the first and the last is more of the
// same. They hold whatever was left over.
func (w *Workspace) Strip(n, phi, rho int) *Planes {
	p := w.Planes(n, phi, rho)
	p.flat = true
	return p
}

// Row gives row i, a direction, of plane c.
func (p *Planes) Row(c, i int) []float32 {
	k := (c*p.phi + i) * p.rho
	return p.v[k : k+p.rho]
}

// pool halves both sides, keeping the greatest of four.
func (x *Planes) pool(ws *Workspace) *Planes {
	out := ws.Planes(x.n, x.phi/2, x.rho/2)
	out.flat = x.flat
	for c := range x.n {
		for i := range out.phi {
			a, b, o := x.Row(c, 2*i), x.Row(c, 2*i+1), out.Row(c, i)
			for k := range o {
				o[k] = max(a[2*k], a[2*k+1], b[2*k], b[2*k+1])
			}
		}
	}
	return out
}

// join stacks x and y, y doubled in size by repeating.
func join(ws *Workspace, x, y *Planes) *Planes {
	out := ws.Planes(x.n+y.n, x.phi, x.rho)
	out.flat = x.flat
	copy(out.v, x.v)
	for c := range y.n {
		for i := range x.phi {
			o, s := out.Row(x.n+c, i), y.Row(c, i/2)
			for k := range o {
				o[k] = s[k/2]
			}
		}
	}
	return out
}

// constants gives, for each output plane and direction of the first layer, its bias and
// what the inputs that do not change with distance add to it. global is [Settings] values a
// direction; the planes after those that vary.
func (l *layer) constants(global []float32, flat bool) []float32 {
	out := make([]float32, l.out*Directions)
	for o := range l.out {
		for i := range Directions {
			s := l.b[o]
			for c := range Settings {
				for a := range l.kPhi {
					row := (i + a - l.kPhi/2 + Directions) % Directions
					if flat {
						row = min(max(i+a-l.kPhi/2, 0), Directions-1)
					}
					g := global[row*Settings+c]
					if g == 0 {
						continue
					}
					w := l.w[((o*l.in+Inputs+c)*l.kPhi+a)*l.kRho:][:l.kRho]
					for _, f := range w {
						s += f * g
					}
				}
			}
			out[o*Directions+i] = s
		}
	}
	return out
}

// See looks at the planes x, [Inputs] of them, and at what does not change with distance, [Settings]
// values a direction. It gives two maps of logits, direction by distance: of the silhouette and
// of the flat's rim; and the logit that a fastener of the wanted kind is there. Where that is
// below least it stops early, without maps. The maps are good until ws is given back.
func (n *Network) See(ws *Workspace, x *Planes, global []float32, least float64) (maps *Planes, logit float64) {
	x0, x1, x2, logit := n.encode(ws, x, global)
	if logit < least {
		return nil, logit
	}
	return n.decode(ws, x0, x1, x2), logit
}

// encode runs the first half: what is there, and the likelihood (as a logit) that a
// fastener of the wanted kind is.
func (n *Network) encode(ws *Workspace, x *Planes, global []float32) (x0, x1, x2 *Planes, logit float64) {
	x0 = n.e0b.conv(ws, n.e0.conv(ws, x, true, n.e0.constants(global, x.flat)), true, nil)
	x1 = n.e1b.conv(ws, n.e1.conv(ws, x0.pool(ws), true, nil), true, nil)
	x2 = n.e2c.conv(ws, n.e2b.conv(ws, n.e2.conv(ws, x1.pool(ws), true, nil), true, nil), true, nil)
	g := make([]float32, 2*x2.n)
	for c := range x2.n {
		var mean, top float32
		for i := range x2.phi {
			r := x2.Row(c, i)
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
func (n *Network) decode(ws *Workspace, x0, x1, x2 *Planes) *Planes {
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
