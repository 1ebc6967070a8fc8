package placing_test

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"

	"bucktail/qc/placing"
)

// part is an invented one: where its fasteners and its edges are, and what is known of it.
type part struct {
	form  string
	at    map[string]complex128
	tags  []string
	edges []edge
	known placing.Known
	how   string
}

// edge is a straight edge of the sheet: a point of it, and its direction.
type edge struct{ at, along complex128 }

// pitches of usual layouts, and distances of a row from its edge.
var (
	pitches = []float64{16, 18, 19.05, 20, 25, 25.4}
	margins = []float64{8, 8, 9.5, 12, 25}
)

// reachMM is how far from a fastener edges are looked for: 5 D of a 1/8 in rivet.
const reachMM = 16

func invented(r *rand.Rand) part {
	p := part{at: map[string]complex128{}}
	add := func(z complex128) {
		tag := fmt.Sprintf("R%d", len(p.tags)+1)
		p.tags, p.at[tag] = append(p.tags, tag), z
	}
	margin := func() float64 { return margins[r.IntN(len(margins))] }
	pitch := pitches[r.IntN(len(pitches))]
	switch r.IntN(5) {
	case 0, 1:
		p.form = "gusset"
		corner := r.Float64() * 0.6
		if r.IntN(2) == 0 {
			corner = 0
		}
		equal := r.IntN(3) == 0 // legs of equal length, mirrored about the corner
		n := 3 + r.IntN(10)
		up := cmplx.Rect(1, math.Pi/2-corner)
		legs := [2]complex128{1, up}
		var along [2]float64
		step := pitch
		for i := range n { // on two legs in turn, with pitches that differ or not
			if !equal || i%2 == 0 {
				if step = pitch; r.IntN(2) == 0 {
					step *= 0.8 + 0.5*r.Float64()
				}
			}
			along[i%2] += step
			add(complex(along[i%2], 0) * legs[i%2])
		}
		beside := [2]float64{margin(), margin()}
		if equal {
			beside[1] = beside[0]
		}
		p.edges = []edge{{complex(0, -beside[0]), 1}, {complex(0, beside[1]) * up, up},
			{complex(along[0]+margin(), 0), 1i}, {complex(along[1]+margin(), 0) * up, 1i * up}}
	case 2:
		p.form = "grid"
		across, down := 2+r.IntN(9), 2+r.IntN(9)
		other := pitches[r.IntN(len(pitches))]
		for j := range down {
			for i := range across {
				add(complex(float64(i)*pitch, -float64(j)*other))
			}
		}
		p.edges = box(0, -float64(down-1)*other, float64(across-1)*pitch, 0, margin(), margin(), margin(), margin())
	case 3:
		p.form = "row"
		x := 0.0
		pattern := []float64{pitch}
		for range r.IntN(3) {
			pattern = append(pattern, pitches[r.IntN(len(pitches))])
		}
		n := 3 + r.IntN(18)
		for i := range n {
			if i > 0 {
				x += pattern[(i-1)%len(pattern)]
			}
			add(complex(x, 0))
		}
		low, high := margin(), margin()
		if r.IntN(3) == 0 { // a strap, the row in its middle
			high = low
		}
		p.edges = box(0, 0, x, 0, margin(), low, margin(), high)
	case 4:
		p.form = "bracket" // the same four at both ends, one end turned round
		for range 2 {
			for _, z := range []complex128{0, complex(pitch, 0), complex(2*pitch+5, 0), complex(2*pitch+5, 12)} {
				if len(p.tags) >= 4 {
					z = complex(160, 20) - z
				}
				add(z)
			}
		}
		side, end := margin(), margin()
		p.edges = box(0, 0, 160, 20, end, side, end, side)
	}
	for _, tag := range p.tags { // drilled by hand
		p.at[tag] += complex(r.NormFloat64(), r.NormFloat64()) * 0.15
	}
	return p
}

func box(x0, y0, x1, y1, left, below, right, above float64) []edge {
	return []edge{{complex(x0-left, 0), 1i}, {complex(0, y0-below), 1}, {complex(x1+right, 0), 1i}, {complex(0, y1+above), 1}}
}

// look is what one photo makes of a part's edges: it misses some, takes a shadow for another, sees one
// that is a scratch.
func (p *part) look(tags []string, r *rand.Rand) (out []edge) {
	for _, e := range p.edges {
		switch r.IntN(50) {
		case 0, 1, 2, 3, 4, 5, 6, 7: // the card lies on it, or it is too faint
		case 8:
			e.at += e.along * 1i * complex(4*r.NormFloat64(), 0)
			fallthrough
		default:
			out = append(out, e)
		}
	}
	if r.IntN(50) == 0 {
		along := cmplx.Rect(1, 2*math.Pi*r.Float64())
		if r.IntN(2) == 0 { // a line along the row
			along = p.edges[1].along
		}
		out = append(out, edge{p.at[tags[0]] + along*1i*complex(3+13*r.Float64(), 0), along})
	}
	return out
}

// edgesAt are the edges within reach of a fastener as they are measured.
func edgesAt(z complex128, edges []edge, r *rand.Rand) (out []placing.Edge) {
	for _, e := range edges {
		off := (e.at - z) * cmplx.Conj(e.along)
		if d := math.Abs(imag(off)); d > 1 && d <= reachMM {
			to := complex(0, imag(off)+0.08*r.NormFloat64()) * e.along
			out = append(out, placing.Edge{To: to, UMM: 0.15})
		}
	}
	return out
}

// places are where a map has some locations, with the edges that it knows.
func (p *part) places(tags []string, spread float64, edges []edge, mirror bool, r *rand.Rand) (out []placing.Place) {
	for _, tag := range tags {
		l := placing.Place{ID: tag, At: p.at[tag] + complex(r.NormFloat64(), r.NormFloat64())*complex(spread, 0), Edges: edgesAt(p.at[tag], edges, r)}
		if mirror {
			l.At = -cmplx.Conj(l.At)
			for i := range l.Edges {
				l.Edges[i].To = -cmplx.Conj(l.Edges[i].To)
			}
		}
		out = append(out, l)
	}
	return out
}

// apart is how far it is to the nearest other one.
func (p *part) apart(tag string) float64 {
	least := math.Inf(1)
	for other, at := range p.at {
		if other != tag {
			least = min(least, cmplx.Abs(at-p.at[tag]))
		}
	}
	return least
}

// near are n tags round one of them: what one photo shows.
func (p *part) near(tags []string, n int, r *rand.Rand) []string {
	mid := p.at[tags[r.IntN(len(tags))]]
	out := slices.Clone(tags)
	slices.SortStableFunc(out, func(a, b string) int {
		return cmp.Compare(cmplx.Abs(p.at[a]-mid), cmplx.Abs(p.at[b]-mid))
	})
	return out[:min(n, len(out))]
}

// learn says what is known before the photo.
func (p *part) learn(r *rand.Rand) {
	size := 0.0
	for _, a := range p.at {
		for _, b := range p.at {
			size = max(size, cmplx.Abs(a-b))
		}
	}
	measured := placing.Map{Scaled: true, Whole: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	pinned := placing.Map{Scaled: true, Whole: true, NearMM: max(1, 0.01*size), FarMM: max(2.5, 0.025*size), MovedMM: placing.MovedMM}
	switch r.IntN(6) {
	case 0:
		p.how = "pins"
		pinned.Places = p.places(p.tags, 0.002*size, nil, r.IntN(8) == 0, r)
		p.known.Maps = []placing.Map{pinned}
	case 1:
		p.how = "laid out"
		pinned.NearMM, pinned.FarMM = placing.MeasuredNearMM, placing.MeasuredFarMM
		pinned.Places = p.places(p.tags, 0.2, p.edges, r.IntN(8) == 0, r)
		for i := range pinned.Places {
			for j := range pinned.Places[i].Edges {
				pinned.Places[i].Edges[j].UMM = placing.LaidOutUMM
			}
		}
		p.known.Maps = []placing.Map{pinned}
	case 2:
		p.how = "photos of the heads, all"
		measured.OneSide = true
		measured.Places = p.places(p.tags, 0.1, p.look(p.tags, r), false, r)
		p.known.Maps = []placing.Map{measured}
	case 3:
		p.how = "photos of the holes, all"
		measured.NearMM, measured.FarMM = placing.MeasuredNearMM, placing.MeasuredFarMM
		measured.Places = p.places(p.tags, 0.1, p.look(p.tags, r), r.IntN(4) == 0, r)
		p.known.Maps = []placing.Map{measured}
	case 4:
		p.how = "photos of some"
		seen := p.near(p.tags, 3+r.IntN(6), r)
		if p.form == "bracket" {
			seen = p.tags[:4]
		}
		measured.Whole, measured.OneSide = false, r.IntN(2) == 0
		measured.Places = p.places(seen, 0.1, p.look(seen, r), false, r)
		p.known.Maps = []placing.Map{measured}
	case 5:
		p.how = "pins, no scale"
		m := placing.Map{Places: p.places(p.tags, 0.004*size, nil, false, r), Whole: true, MovedMM: placing.MovedMM}
		lo, hi := m.Places[0].At, m.Places[0].At
		for i := range m.Places {
			m.Places[i].At *= 12.5
			lo = complex(min(real(lo), real(m.Places[i].At)), min(imag(lo), imag(m.Places[i].At)))
			hi = complex(max(real(hi), real(m.Places[i].At)), max(imag(hi), imag(m.Places[i].At)))
		}
		wide := max(real(hi-lo), imag(hi-lo)) * 1.3
		m.NearMM, m.FarMM = 0.02*wide, 0.05*wide
		p.known.Maps = []placing.Map{m}
	}
}
