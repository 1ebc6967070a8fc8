package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

// The round things of a workshop scene that are none of the fasteners: each must not be
// read as one.
const (
	OtherHole     Kind = "other-hole" // for a bolt, a cable, lightness: round, but no rivet's
	DoubleHole    Kind = "double-hole"
	OblongHole    Kind = "oblong-hole"
	Threaded      Kind = "threaded-hole"
	Dimple        Kind = "dimple"
	Countersink   Kind = "countersink"
	Bolt          Kind = "bolt"
	Nut           Kind = "nut"
	SocketScrew   Kind = "socket-screw"
	Screw         Kind = "screw"
	Washer        Kind = "washer"
	Cleco         Kind = "cleco"
	PulledTail    Kind = "pulled-tail"
	NutplateRivet Kind = "nutplate-rivet"
	Grommet       Kind = "grommet"
	Drawn         Kind = "drawn-circle"
	PunchMark     Kind = "punch-mark"
	Corner        Kind = "corner"
	Reflection    Kind = "reflection"
	Drop          Kind = "drop"
)

// Fastens tells whether a kind is one of the fasteners or a rivet's hole.
func (k Kind) Fastens() bool {
	switch k {
	case ShopHead, Universal, Pulled, Flush, Hole:
		return true
	}
	return false
}

// Round is one round thing of a picture.
type Round struct {
	ID        string          `json:"id"`
	Kind      Kind            `json:"kind"`
	NominalMM float64         `json:"nominal_d_mm,omitempty"` // fasteners: the rivet's
	AtMM      geom.SheetPoint `json:"-"`                      // middle of the outline
	ZMM       float64         `json:"z_mm"`                   // its mean height
	MeanDMM   float64         `json:"mean_d_mm"`
	CentrePx  geom.PxPoint    `json:"-"`      // where the middle is seen
	OutlinePx []geom.PxPoint  `json:"-"`      // 32 points; may lie outside the frame
	OnTop     bool            `json:"on_top"` // it is of the sheet whose face is z = 0
	Visible   float64         `json:"visible_fraction"`
}

// round3 is a round thing in space: its outline is the bore's rim or the widest ring.
type round3 struct {
	id       string
	kind     Kind
	nominal  float64
	at       vec
	outline  []vec
	rings    [][]vec // of tall things: what else their silhouette is made of
	onTop    bool
	mirrored bool // a reflection: its points lie below the sheet as in a mirror
}

// Rounds lists all round things of a workshop scene that the frame shows at least in part,
// fasteners and others, with their outlines in this picture; nil for a scene of Draw.
func (s *Scene) Rounds() []Round {
	if s.workshop == nil {
		return nil
	}
	w := newWorld(s)
	var out []Round
	for i := range s.workshop.rounds {
		t := &s.workshop.rounds[i]
		r := Round{ID: t.id, Kind: t.kind, NominalMM: t.nominal, AtMM: sheetPoint(t.at), ZMM: round(t.at.z, 3),
			MeanDMM: round(meanWidth(t.outline), 4), CentrePx: s.project(t.at), OnTop: t.onTop}
		in, seen := false, 0
		for _, v := range t.outline {
			p := s.project(v)
			r.OutlinePx = append(r.OutlinePx, p)
			in = in || s.inFrame(p)
			if t.mirrored {
				if m := w.meet(w.eye, v.sub(w.eye), 1e-6, 1); s.inFrame(p) && m.on == onPlate && m.head == 0 && m.n.z > 0.999 {
					seen++
				}
			} else if w.sees(v, i) {
				seen++
			}
		}
		if len(t.rings) > 0 {
			pts := r.OutlinePx
			for _, ring := range t.rings {
				for _, v := range ring {
					pts = append(pts, s.project(v))
				}
			}
			r.CentrePx, r.OutlinePx = silhouette(pts)
		}
		if in || s.inFrame(r.CentrePx) {
			r.Visible = round(float64(seen)/float64(len(t.outline)), 3)
			out = append(out, r)
		}
	}
	return out
}

// RoundTruth is a Round as the truth files have it.
type RoundTruth struct {
	ID         string       `json:"id"`
	Kind       Kind         `json:"kind"`
	NominalDMM float64      `json:"nominal_d_mm,omitempty"`
	CentreMM   [2]float64   `json:"centre_mm"`
	ZMM        float64      `json:"z_mm"`
	MeanDMM    float64      `json:"mean_d_mm"`
	CentrePx   [2]float64   `json:"centre_px"`
	OutlinePx  [][2]float64 `json:"outline_px"`
	OnTop      bool         `json:"on_top"`
	Visible    float64      `json:"visible_fraction"`
}

func (r *Round) truth() RoundTruth {
	t := RoundTruth{ID: r.ID, Kind: r.Kind, NominalDMM: r.NominalMM, CentreMM: mm2(r.AtMM), ZMM: r.ZMM, MeanDMM: r.MeanDMM,
		CentrePx: px2(r.CentrePx), OnTop: r.OnTop, Visible: r.Visible}
	for _, p := range r.OutlinePx {
		t.OutlinePx = append(t.OutlinePx, px2(p))
	}
	return t
}

// meanWidth is the mean width of a figure over all directions: its hull's perimeter over
// pi (Cauchy), taken in its own plane.
func meanWidth(pts []vec) float64 {
	sum := 0.0
	const n = 90
	for k := range n {
		s, c := math.Sincos(math.Pi * float64(k) / n)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range pts {
			v := p.x*c + p.y*s
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		sum += hi - lo
	}
	return sum / n
}

// silhouette gives the middle of points' convex hull and the hull's border in evenly spread
// directions from there.
func silhouette(pts []geom.PxPoint) (geom.PxPoint, []geom.PxPoint) {
	lo, hi := geom.PxPoint{U: math.Inf(1), V: math.Inf(1)}, geom.PxPoint{U: math.Inf(-1), V: math.Inf(-1)}
	for _, p := range pts {
		lo, hi = geom.PxPoint{U: min(lo.U, p.U), V: min(lo.V, p.V)}, geom.PxPoint{U: max(hi.U, p.U), V: max(hi.V, p.V)}
	}
	middle := geom.PxPoint{U: (lo.U + hi.U) / 2, V: (lo.V + hi.V) / 2}
	// The hull is where all its tangents are: the border in a direction is the nearest of
	// the tangents' crossings with that ray.
	const tangents = 180
	var support [tangents]float64
	for k := range support {
		s, c := math.Sincos(2 * math.Pi * float64(k) / tangents)
		support[k] = math.Inf(-1)
		for _, p := range pts {
			support[k] = max(support[k], (p.U-middle.U)*c+(p.V-middle.V)*s)
		}
	}
	var out []geom.PxPoint
	for i := range outlinePoints {
		a := 2 * math.Pi * float64(i) / outlinePoints
		far := math.Inf(1)
		for k, h := range support {
			if c := math.Cos(a - 2*math.Pi*float64(k)/tangents); c > 0.05 {
				far = min(far, h/c)
			}
		}
		s, c := math.Sincos(a)
		out = append(out, geom.PxPoint{U: middle.U + far*c, V: middle.V + far*s})
	}
	return middle, out
}

// tiltedRing is a circle about an axis.
func tiltedRing(at, axis vec, r float64) []vec {
	t, b := frame(axis, vec{1, 0, 0})
	var out []vec
	for k := range outlinePoints {
		s, c := math.Sincos(2 * math.Pi * float64(k) / outlinePoints)
		out = append(out, at.at(t, r*c).at(b, r*s))
	}
	return out
}

// outlinePoints is how many points a round thing's outline has.
const outlinePoints = 32

// ringAt is a circle's outline at a height, its radius changed by lobes and drawn out by
// long on both sides along angle.
func ringAt(at vec, r float64, lobes []lobe, angle, long float64) []vec {
	var out []vec
	sn, cs := math.Sincos(angle)
	for k := range outlinePoints {
		a := 2 * math.Pi * float64(k) / outlinePoints
		s, c := math.Sincos(a)
		q := r * lobedRadius(lobes, a)
		x, y := q*c+math.Copysign(long, c), q*s
		out = append(out, vec{at.x + x*cs - y*sn, at.y + x*sn + y*cs, at.z})
	}
	return out
}

// addRound notes a round thing and gives its number.
func (ws *workshop) addRound(kind Kind, nominal float64, at vec, outline []vec, level int) int {
	n := len(ws.rounds)
	ws.rounds = append(ws.rounds, round3{id: fmt.Sprintf("t%d", n+1), kind: kind, nominal: nominal, at: at, outline: outline, onTop: ws.levels[level].zTop == 0})
	return n
}
