package convnet

import "fmt"

// MapInputs is the number of planes that a [Map] looks at.
const MapInputs = 3

// MapCell is how many steps of what a [Map] looks at make a cell of its answer, each way.
const MapCell = 4

// Map is a network that looks at a whole picture at once and answers for each cell of it. It sees
// each 2 × 2 steps as one cell at first; in the middle it looks at cells of 8 × 8 steps.
type Map struct {
	s1, s2, m1, m2, m3, d1, d2, d3, u1, last layer
}

// ReadMap reads the weights of a [Map], written as [Read] tells.
func ReadMap(b []byte) (*Map, error) {
	n := &Map{}
	if err := readLayers(b, &n.s1, &n.s2, &n.m1, &n.m2, &n.m3, &n.d1, &n.d2, &n.d3, &n.u1, &n.last); err != nil {
		return nil, err
	}
	if n.s1.in != 4*MapInputs {
		return nil, fmt.Errorf("it wants %d input planes, this program makes %d", n.s1.in, 4*MapInputs)
	}
	return n, nil
}

// Flat gives [MapInputs] planes of h rows by w steps for [Map.See], which hold whatever was left
// over. Both are rounded down to whole cells of 8 steps.
func (w *Workspace) Flat(h, wide int) *Planes {
	p := w.Planes(MapInputs, h&^7, wide&^7)
	p.flat = true
	return p
}

// Size gives the rows and columns of each plane.
func (p *Planes) Size() (rows, columns int) { return p.phi, p.rho }

// See looks at planes from [Workspace.Flat] and gives, for each cell, what the network was trained
// to say of it, without an activation. The answer is good until ws is given back.
func (n *Map) See(ws *Workspace, x *Planes) *Planes {
	s := n.s2.conv(ws, n.s1.conv(ws, unshuffle(ws, x), true, nil), true, nil)
	m := n.m3.conv(ws, n.m2.conv(ws, n.m1.conv(ws, s.pool(ws), true, nil), true, nil), true, nil)
	d := n.d3.conv(ws, n.d2.conv(ws, n.d1.conv(ws, m.pool(ws), true, nil), true, nil), true, nil)
	return n.last.conv(ws, n.u1.conv(ws, join(ws, m, d), true, nil), false, nil)
}

// unshuffle makes of each 2 × 2 steps one cell with four times as many planes: plane 4c+2i+j holds
// of plane c the steps at row i and column j of their cells.
func unshuffle(ws *Workspace, x *Planes) *Planes {
	out := ws.Planes(4*x.n, x.phi/2, x.rho/2)
	out.flat = x.flat
	for c := range x.n {
		for i := range x.phi {
			row := x.Row(c, i)
			a, b := out.Row(4*c+2*(i%2), i/2), out.Row(4*c+2*(i%2)+1, i/2)
			for k := range a {
				a[k], b[k] = row[2*k], row[2*k+1]
			}
		}
	}
	return out
}
