package placing

import (
	"math"
	"math/cmplx"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/sketch"
	"bucktail/qc/standing"
)

// Tight is a pin that lies nearer to another one, or to the edge, than the limits in force allow.
type Tight struct {
	A     int      `json:"a"` // index of the pin
	B     int      `json:"b"` // of the other pin, -1: the edge
	MM    float64  `json:"mm"`
	D     float64  `json:"d"` // the same in shank diameters
	Limit qc.Limit `json:"limit"`
	Basis string   `json:"basis"` // how the limit was had: see [qc.Limit.Provenance]
}

// Tights holds pins, while they are placed, against the least pitch and the least edge distance in
// force on a part: 3 D and 2 D where nobody chose others. scaled is false where the layout has no
// scale, or the part no fastener: then nothing can be said. The edge is the border of a drawn grid,
// or the outline of what was laid out; a photo shows none that is known.
func Tights(st *history.State, part string, pins []history.Pin) (out []Tight, scaled bool) {
	p, _, _ := st.Part(part)
	l := p.Layout
	spec, _ := standing.InForce(projectOf(st, p.Project), p, nil)
	if l == nil || l.WidthMM <= 0 || l.HeightMM <= 0 || spec == nil {
		return nil, false
	}
	limits, err := spec.Limits()
	if err != nil {
		return nil, false
	}
	pitch, edge := leastOf(limits, qc.Pitch), leastOf(limits, qc.EdgeDistance)
	border := borderOf(l)
	add := func(a, b int, mm float64, limit qc.Limit) {
		if mm < limit.MinMM-1e-9 {
			out = append(out, Tight{a, b, mm, mm / spec.NominalMM, limit, limit.Provenance()})
		}
	}
	for i := range pins {
		at := placeOf(l, &pins[i])
		for j := range i {
			add(i, j, cmplx.Abs(at-placeOf(l, &pins[j])), pitch)
		}
		if mm := toBorder(at, border); !math.IsInf(mm, 1) {
			add(i, -1, mm, edge)
		}
	}
	return out, true
}

// leastOf is the limit of a quantity that asks for most.
func leastOf(limits []qc.Limit, q qc.Quantity) (most qc.Limit) {
	for _, l := range limits {
		if l.Quantity == q && l.MinMM > most.MinMM {
			most = l
		}
	}
	return most
}

// borderOf lists the lines of the sheet's edge in the layout's frame, each as pairs of points.
func borderOf(l *history.LayoutData) (out [][2]Point) {
	closed := func(pts []Point, shut bool) {
		for i := 1; i < len(pts); i++ {
			out = append(out, [2]Point{pts[i-1], pts[i]})
		}
		if shut && len(pts) > 2 {
			out = append(out, [2]Point{pts[len(pts)-1], pts[0]})
		}
	}
	switch {
	case l.Plan != nil:
		part := l.Plan.Outline()
		for _, line := range part.Lines {
			if line.Role != sketch.Outline {
				continue
			}
			var pts []Point
			for _, q := range line.Points {
				pts = append(pts, complex(q[0]-part.Min[0], part.Min[1]-q[1]))
			}
			closed(pts, line.Closed)
		}
	case l.Photo == "" && l.From == "":
		w, h := l.WidthMM, l.HeightMM
		closed([]Point{0, complex(w, 0), complex(w, -h), complex(0, -h)}, true)
	}
	return out
}

func toBorder(q Point, border [][2]Point) float64 {
	least := math.Inf(1)
	for _, s := range border {
		along := s[1] - s[0]
		t := 0.0
		if n := cmplx.Abs(along); n > 0 {
			t = math.Max(0, math.Min(1, real((q-s[0])*cmplx.Conj(along))/(n*n)))
		}
		least = math.Min(least, cmplx.Abs(q-s[0]-complex(t, 0)*along))
	}
	return least
}

func projectOf(st *history.State, id string) history.Project {
	for _, p := range st.Projects() {
		if p.ID == id {
			return p
		}
	}
	return history.ProjectOf(id, nil)
}
