package annotate

import (
	"math"
	"slices"
	"sort"

	"bucktail/imaging/answer"
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

	// out is the way from the centre to the nearest edge, in the tag away from it; the zero
	// value where no edge was read.
	out geom.SheetPoint
	// The tag stands at the end of an extension line: its direction and its length from the centre.
	tagWay geom.SheetPoint
	tagOff float64
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
	verdict qc.Verdict // that it makes: out or too close; "" else
	keep    int        // what is left out last has the least
	a, b    geom.SheetPoint
	// The edge's own two ends, for an extension line to a foot beyond them.
	edge [2]geom.SheetPoint
}

// plan is what is to be drawn, on the sheet.
type plan struct {
	doc *answer.Document
	opt *Options
	cam *geom.Camera
	all []*fastener
	// dims stand in the order in which they are placed; chains are the pitches' extension lines.
	dims []*dim
	rows []*row
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

func newPlan(doc *answer.Document, opt *Options) *plan {
	p := &plan{doc: doc, opt: opt, cam: doc.Scale.Camera.Geom()}
	for i := range doc.Locations {
		l := &doc.Locations[i]
		p.all = append(p.all, &fastener{i: i, loc: l, at: geom.SheetPoint{X: l.SheetMM[0], Y: l.SheetMM[1]}, r: l.RadiusMM,
			verdict: l.Whole, ask: l.Ask != nil})
	}
	for _, f := range p.all {
		if !f.ask {
			p.diameter(f)
			p.edges(f)
		}
	}
	p.pitches()
	p.tags()
	p.thin()
	return p
}

// number writes a length for a dimension; with its U where there is one fastener alone.
func (p *plan) number(r qc.Reading, uMM float64) string {
	s := p.opt.Units.WithU(r.ValueMM, uMM)
	s = s[:len(s)-len(" ")-len(p.opt.Units)]
	if len(p.all) > 1 {
		s = p.opt.Units.Number(r.ValueMM)
	}
	return s
}

// judged finds the worst check of a reading that makes its location's verdict: only that
// dimension takes the verdict's colour. The U, in millimetres, is the one that a check of the
// reading was made with, as tables and lists have it; the reading's own where there is none.
func judged(l *answer.Location, r qc.Reading) (qc.Verdict, float64) {
	v, u := qc.Verdict(""), r.UMM
	for _, c := range l.Checks {
		if c.Reading.Quantity != r.Quantity || c.Reading.ValueMM != r.ValueMM {
			continue
		}
		u = max(u, c.UMM)
		if c.Verdict == l.Verdict && c.Verdict != qc.Within {
			v = c.Verdict
		}
	}
	return v, u
}

// diameter shows the mean; the least or greatest where that one makes the verdict.
func (p *plan) diameter(f *fastener) {
	var shown *answer.Reading
	word := ""
	for i := range f.loc.Readings {
		r := &f.loc.Readings[i]
		switch r.Quantity {
		case qc.HeadDMean, qc.HoleDMean:
			if shown == nil {
				shown = r
			}
		case qc.HeadDMin, qc.HoleDMin, qc.HeadDMax, qc.HoleDMax:
			if v, _ := judged(f.loc, r.Reading); v != "" {
				shown, word = r, "min "
				if r.Quantity == qc.HeadDMax || r.Quantity == qc.HoleDMax {
					word = "max "
				}
			}
		}
	}
	if shown == nil {
		return
	}
	d := &dim{kind: diameter, of: f.i, keep: keepDiameter}
	var u float64
	d.verdict, u = judged(f.loc, shown.Reading)
	d.text = "Ø " + word + p.number(shown.Reading, u)
	if d.verdict != "" {
		d.keep = keepBad
	}
	p.dims = append(p.dims, d)
}

// edges shows the nearest, and every other that makes the verdict.
func (p *plan) edges(f *fastener) {
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
		if k == 0 {
			f.out = way.Scale(1 / way.Norm())
		}
		d := &dim{kind: edge, of: f.i, keep: keepEdge, a: f.at, b: foot, edge: [2]geom.SheetPoint{a, b}}
		var uMM float64
		d.verdict, uMM = judged(f.loc, r.Reading)
		d.text = p.number(r.Reading, uMM)
		switch {
		case d.verdict != "":
			d.keep = keepBad
		case k == 0:
			d.keep = keepNearest
		}
		p.dims = append(p.dims, d)
	}
}

func (p *plan) onSheet(q answer.Point) geom.SheetPoint {
	return p.cam.ToSheet(geom.PxPoint{U: q[0], V: q[1]}, 0)
}

// pitches shows the shortest ways that join all fasteners, and every other pitch that makes a
// verdict.
func (p *plan) pitches() {
	var read []*fastener
	for _, f := range p.all {
		if !f.ask {
			read = append(read, f)
		}
	}
	var pairs [][2]int
	pairs = append(pairs, tree(read)...)
	for _, f := range read {
		for _, r := range f.loc.Readings {
			if r.Quantity != qc.Pitch || r.To == nil || *r.To < 0 || *r.To >= len(p.all) {
				continue
			}
			pair := [2]int{min(f.i, *r.To), max(f.i, *r.To)}
			if v, _ := judged(f.loc, r.Reading); v != "" && !slices.Contains(pairs, pair) {
				pairs = append(pairs, pair)
			}
		}
	}
	p.rows = rowsOf(p.all, pairs)
	for _, w := range p.rows {
		w.side(p)
		for k := range w.of[1:] {
			if d := p.pitch(w, k); d != nil {
				p.dims = append(p.dims, d)
			}
		}
	}
}

// pitch makes the dimension between a row's fasteners k and k+1, nil where it was not read.
func (p *plan) pitch(w *row, k int) *dim {
	i, j := w.of[k], w.of[k+1]
	var d *dim
	for _, way := range [2][2]int{{i, j}, {j, i}} {
		l := p.all[way[0]].loc
		for _, r := range l.Readings {
			if r.Quantity != qc.Pitch || r.To == nil || *r.To != way[1] {
				continue
			}
			v, u := judged(l, r.Reading)
			if d == nil {
				d = &dim{kind: pitch, of: i, to: j, keep: keepPitch, text: p.number(r.Reading, u)}
				off := w.way.Scale(w.off)
				d.a, d.b = p.all[i].at.Add(off), p.all[j].at.Add(off)
			}
			if v = qc.Worst(v, d.verdict); v != "" {
				d.verdict, d.keep = v, keepBad
			}
		}
	}
	return d
}

// tags lets each fastener's tag end an extension line on the inner side.
func (p *plan) tags() {
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
func (p *plan) screenLeft(f *fastener) geom.SheetPoint {
	px := geom.PxPoint{U: f.loc.CentrePx[0] - 50, V: f.loc.CentrePx[1]}
	w := p.cam.ToSheet(px, 0).Sub(f.at)
	if l := w.Norm(); l > 0 && !math.IsNaN(l) {
		return w.Scale(1 / l)
	}
	return geom.SheetPoint{X: -1}
}

// thin leaves out what is too much for one picture, and puts the rest in the order in which
// it is served: out first, then too close, then within, top to bottom.
func (p *plan) thin() {
	sort.SliceStable(p.dims, func(a, b int) bool { return p.dims[a].keep < p.dims[b].keep })
	for len(p.dims) > mostValues && p.dims[len(p.dims)-1].keep != keepBad {
		p.dims = p.dims[:len(p.dims)-1]
	}
	rank := func(v qc.Verdict) int {
		switch v {
		case qc.Out:
			return 0
		case qc.TooClose:
			return 1
		}
		return 2
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
