package dimension

import (
	"math"
	"slices"
	"sort"

	"bucktail/imaging/answer"
	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// fastener is one location as it is drawn. Lengths on the sheet are mm.
type fastener struct {
	i       int // index in the document
	loc     *answer.Location
	at      geom.SheetPoint
	r       float64 // mm
	verdict qc.Verdict
	ask     bool

	// out is the way from the centre to the nearest edge, its tag away from it; the zero value
	// where no edge was read.
	out geom.SheetPoint
	// The tag stands at the end of an extension line: its direction and its length from the centre.
	tagWay geom.SheetPoint
	tagOff float64
}

// ring is one of the card's targets on the sheet, mm.
type ring struct {
	at geom.SheetPoint
	r  float64
}

type dimKind int

const (
	diameter dimKind = iota
	edge
	pitch
)

// dim is one dimension to be drawn.
type dim struct {
	kind    dimKind
	of      int        // index of the fastener
	to      int        // pitch: of the other
	text    string     // value as it is written
	verdict qc.Verdict // of its own checks where that is not within; "" else
	keep    int        // what is left out last has the least
	a, b    geom.SheetPoint
	// The edge's own two ends, for an extension line to a foot beyond them.
	edge [2]geom.SheetPoint
}

// The order in which dimensions are kept when it gets full: what is not within always, then
// nearest edges, diameters, other edges, pitches.
const (
	keepBad = iota
	keepNearest
	keepDiameter
	keepEdge
	keepPitch
)

// judged gives how a reading stands to its limits: the worst verdict of its own checks where that
// is not within, "" else. The U, in millimetres, is the one that a check of the reading was made
// with, as tables and lists have it; the reading's own where there is none.
func judged(l *answer.Location, r qc.Reading) (qc.Verdict, float64) {
	v, u := qc.Verdict(""), r.UMM
	for _, c := range l.Checks {
		if c.Reading.Quantity != r.Quantity || c.Reading.ValueMM != r.ValueMM {
			continue
		}
		u = max(u, c.UMM)
		if c.Verdict != qc.Within {
			v = qc.Worst(v, c.Verdict)
		}
	}
	return v, u
}

// add puts a dimension in with its reading's verdict and value.
func (p *Plan) add(d *dim, f *fastener, r qc.Reading, word string) {
	v, u := judged(f.loc, r)
	d.verdict, d.text = v, word+p.number(r.ValueMM, u)
	if v != "" {
		d.keep = keepBad
	}
	p.dims = append(p.dims, d)
}

// diameterWords stand before a value.
var diameterWords = map[qc.Quantity]string{
	qc.HeadDMean: "Ø ", qc.HoleDMean: "Ø ", qc.HeadDMin: "Ø min ", qc.HoleDMin: "Ø min ", qc.HeadDMax: "Ø max ", qc.HoleDMax: "Ø max ",
}

// diameter shows the mean; the least or greatest where that one governs among the diameters and
// is not within.
func (p *Plan) diameter(f *fastener) {
	var checks []qc.Check
	for _, c := range f.loc.Checks {
		if diameterWords[c.Reading.Quantity] != "" {
			checks = append(checks, c)
		}
	}
	var shown *qc.Reading
	if i := qc.Governing(checks); i >= 0 && checks[i].Verdict != qc.Within {
		shown = &checks[i].Reading
	}
	for i := range f.loc.Readings {
		if r := &f.loc.Readings[i].Reading; shown == nil && (r.Quantity == qc.HeadDMean || r.Quantity == qc.HoleDMean) {
			shown = r
		}
	}
	if shown != nil {
		p.add(&dim{kind: diameter, of: f.i, keep: keepDiameter}, f, *shown, diameterWords[shown.Quantity])
	}
}

// edges shows the nearest, every other that is not within, and what else was read as far as there
// is room.
func (p *Plan) edges(f *fastener) {
	var es []*answer.Reading
	for i := range f.loc.Readings {
		if r := &f.loc.Readings[i]; r.Quantity == qc.EdgeDistance && r.EdgePx != nil {
			es = append(es, r)
		}
	}
	sort.SliceStable(es, func(a, b int) bool { return es[a].ValueMM < es[b].ValueMM })
	for k, r := range es {
		a, b := p.onSheet(r.EdgePx[0]), p.onSheet(r.EdgePx[1])
		u := b.Sub(a)
		if !(u.Norm() > 1e-6) {
			continue
		}
		u = u.Scale(1 / u.Norm())
		foot := a.Add(u.Scale(f.at.Sub(a).Dot(u)))
		way := foot.Sub(f.at)
		if !(way.Norm() > 1e-6) {
			continue
		}
		d := &dim{kind: edge, of: f.i, keep: keepEdge, a: f.at, b: foot, edge: [2]geom.SheetPoint{a, b}}
		if k == 0 {
			f.out, d.keep = way.Scale(1/way.Norm()), keepNearest
		}
		p.add(d, f, r.Reading, "")
	}
}

func (p *Plan) onSheet(q answer.Point) geom.SheetPoint {
	return p.cam.ToSheet(geom.PxPoint{U: q[0], V: q[1]}, 0)
}

// mostPitches of one fastener alone.
const mostPitches = 2

// pitches shows the shortest ways that join all fasteners, or the shortest two of the one that is
// chosen with no other between; and every other pitch that is not within.
func (p *Plan) pitches() {
	var pairs [][2]int
	if p.what.Chosen == 0 {
		var read []*fastener
		for _, f := range p.all {
			if !f.ask {
				read = append(read, f)
			}
		}
		pairs = tree(read)
	}
	for _, f := range p.shown() {
		var rs []answer.Reading
		for _, r := range f.loc.Readings {
			if r.Quantity == qc.Pitch && p.neighbour(f, r) {
				rs = append(rs, r)
			}
		}
		sort.SliceStable(rs, func(a, b int) bool { return rs[a].ValueMM < rs[b].ValueMM })
		for _, r := range rs {
			pair := [2]int{min(f.i, *r.To), max(f.i, *r.To)}
			v, _ := judged(f.loc, r.Reading)
			next := p.what.Chosen > 0 && len(pairs) < mostPitches && !p.between(f, p.all[*r.To])
			if (v != "" || next) && !slices.Contains(pairs, pair) {
				pairs = append(pairs, pair)
			}
		}
	}
	rows := rowsOf(p.all, pairs)
	for _, w := range rows {
		w.side(p)
		p.rows = append(p.rows, w)
		for k := range w.of[1:] {
			if d := p.pitch(w, k); d != nil {
				p.dims = append(p.dims, d)
			}
		}
	}
}

// neighbour tells whether a pitch goes to another fastener of the document.
func (p *Plan) neighbour(f *fastener, r answer.Reading) bool {
	return r.To != nil && *r.To >= 0 && *r.To < len(p.all) && *r.To != f.i
}

// between tells whether another fastener stands between two.
func (p *Plan) between(a, b *fastener) bool {
	return slices.ContainsFunc(p.all, func(g *fastener) bool { return g != a && g != b && offLine(g.at, a.at, b.at) < g.r })
}

// pitch makes the dimension between a row's fasteners k and k+1, nil where it was not read. It is
// read from both; the worse verdict counts, of one that is chosen its own.
func (p *Plan) pitch(w *row, k int) *dim {
	i, j := w.of[k], w.of[k+1]
	var d *dim
	for _, way := range [2][2]int{{i, j}, {j, i}} {
		f := p.all[way[0]]
		if c := p.what.Chosen; c > 0 && f.i != c-1 {
			continue
		}
		for _, r := range f.loc.Readings {
			if r.Quantity != qc.Pitch || r.To == nil || *r.To != way[1] {
				continue
			}
			v, u := judged(f.loc, r.Reading)
			if d == nil {
				off := w.way.Scale(w.off)
				d = &dim{kind: pitch, of: f.i, to: way[1], keep: keepPitch, text: p.number(r.ValueMM, u), a: f.at.Add(off), b: p.all[way[1]].at.Add(off)}
			}
			if v = qc.Worst(v, d.verdict); v != "" {
				d.verdict, d.keep = v, keepBad
			}
		}
	}
	return d
}

// tags lets each fastener's tag end an extension line on the inner side.
func (p *Plan) tags() {
	for _, w := range p.rows {
		for _, i := range w.of {
			if f := p.all[i]; f.tagOff == 0 {
				f.tagWay, f.tagOff = w.way, w.off+extensionPast
			}
		}
	}
	for _, f := range p.all {
		if f.tagOff != 0 {
			continue
		}
		f.tagOff = f.r + extensionOff + 2.5
		switch {
		case f.out.Norm() > 0:
			f.tagWay = f.out.Scale(-1)
		case len(p.rows) > 0: // one that the program asks about, beside others
			f.tagWay = p.rows[0].way
		default:
			f.tagWay = p.screenLeft(f)
		}
	}
}

// screenLeft is the way on the sheet that points to the left of the picture.
func (p *Plan) screenLeft(f *fastener) geom.SheetPoint {
	px := geom.PxPoint{U: f.loc.CentrePx[0] - 50, V: f.loc.CentrePx[1]}
	w := p.cam.ToSheet(px, 0).Sub(f.at)
	if l := w.Norm(); l > 0 && !math.IsNaN(l) {
		return w.Scale(1 / l)
	}
	return geom.SheetPoint{X: -1}
}

// keepWorst leaves out what is too much for one picture, and puts the rest in the order in which it is
// served: the worst verdict first, of one verdict top to bottom.
func (p *Plan) keepWorst() {
	sort.SliceStable(p.dims, func(a, b int) bool { return p.dims[a].keep < p.dims[b].keep })
	for len(p.dims) > mostValues && p.dims[len(p.dims)-1].keep != keepBad {
		p.dims = p.dims[:len(p.dims)-1]
	}
	sort.SliceStable(p.dims, func(a, b int) bool {
		x, y := p.dims[a], p.dims[b]
		if r, s := rank(x.verdict), rank(y.verdict); r != s {
			return r < s
		}
		if u, v := p.all[x.of].loc.CentrePx[1], p.all[y.of].loc.CentrePx[1]; u != v {
			return u < v
		}
		return x.kind < y.kind
	})
}

// rank orders by verdict, the worst first; last where there is none.
func rank(v qc.Verdict) int {
	if i := slices.Index(qc.Verdicts, v); i >= 0 {
		return i
	}
	return len(qc.Verdicts)
}

// cardRings finds the card's targets on the sheet.
func (p *Plan) cardRings() {
	l := card.ByName(p.doc.Scale.Layout)
	if l == nil {
		return
	}
	for _, t := range l.Targets {
		// Print scale and the card's thickness move a ring by less than its own line's width.
		p.rings = append(p.rings, ring{geom.SheetPoint{X: t.At.X, Y: -t.At.Y}, card.RingOuterRadiusMM})
	}
}
