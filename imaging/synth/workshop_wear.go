package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// blob is a convex figure about a place.
func (d *workshopDrawing) blob(p geom.SheetPoint, a, b, angle float64) *outline {
	const n = 14
	var pts [][2]float64
	s, c := math.Sincos(angle)
	for k := range n {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / n)
		x, y := a*cs, b*sn
		pts = append(pts, [2]float64{p.X + x*c - y*s, p.Y + x*s + y*c})
	}
	return newOutline(pts, make([]float64, n))
}

// drawWear lays what sticks to sheets or has been wiped over them: film, tape, finger marks,
// dull and bright patches.
func (d *workshopDrawing) drawWear() {
	r := d.r
	for i, l := range d.k.levels[:d.sheets] {
		add := func(f film) { l.films = append(l.films, f) }
		if r.chance(0.35) {
			for range 1 + r.intn(3) {
				p := d.somewhere()
				add(film{out: d.blob(p, d.half*r.span(0.1, 0.9), d.half*r.span(0.05, 0.4), r.span(0, 3)), ragged: r.span(0.5, 3), soft: r.span(1, 12),
					rough: r.span(0.05, 0.5), tone: l.coat.tone.scale(r.span(0.1, 0.6)), cover: r.span(0, 0.35)})
			}
		}
		if r.chance(0.25) {
			for range 1 + r.intn(3) {
				add(film{out: d.blob(d.somewhere(), r.span(5, 8), r.span(7, 11), r.span(0, 3)), soft: 3, rough: math.Min(0.6, l.coat.rough*r.span(1.5, 3)),
					tone: rgb{0.5, 0.49, 0.46}, cover: r.span(0.02, 0.25), fingermark: r.span(0.4, 0.6), angle: r.span(0, 6.28)})
			}
		}
		if i == 0 && r.chance(0.12) {
			d.drawProtection(l)
		}
	}
	if r.chance(0.2) {
		for range 4 + r.intn(25) {
			d.drawSwarf()
		}
	}
}

// drawProtection is what is left of protective film, or a piece of tape: a straight border
// or a torn one.
func (d *workshopDrawing) drawProtection(l *level) {
	r := d.r
	p := d.somewhere()
	a := r.span(0, math.Pi)
	w, h := d.long*r.span(0.3, 2), d.half*r.span(0.2, 1.2)
	f := film{soft: 0.05, rough: r.span(0.05, 0.3), gloss: 0.04, wrinkle: r.span(0, 0.06)}
	switch r.intn(3) {
	case 0:
		f.tone, f.cover = rgb{0.05, 0.2, 0.6}, r.span(0.25, 0.9)
	case 1:
		f.tone, f.cover = rgb{0.75, 0.75, 0.75}, r.span(0.2, 0.95)
	default:
		f.tone, f.cover, h = even(r, rgb{0.05, 0.25, 0.65}, rgb{0.65, 0.58, 0.4}, rgb{0.5, 0.5, 0.5}), 0.95, r.span(9, 13)
	}
	if r.chance(0.5) {
		f.ragged = r.span(0.2, 2)
	}
	pts := turnedAbout(rectangle(p.X, p.Y, p.X+w, p.Y+h), p.X, p.Y, a)
	f.out = newOutline(pts, []float64{0.5, 0.5, 0.5, 0.5})
	l.films = append(l.films, f)
	d.say("film or tape")
}

func (d *workshopDrawing) drawSwarf() {
	r := d.r
	if len(d.s.Chips) > 40 {
		return
	}
	p := d.somewhere()
	size := r.span(0.2, 1)
	for _, t := range d.taken {
		if p.Sub(t.at).Norm() < size+t.r {
			return
		}
	}
	z := 0.02
	if d.s.Card != nil && d.s.Card.Covers(p) {
		z += d.s.Card.ThicknessMM
	}
	corner := func(k float64) [3]float64 {
		a := r.span(0, 2*math.Pi)
		return [3]float64{p.X + k*math.Cos(a), p.Y + k*math.Sin(a), z + r.span(0, 0.5)*k}
	}
	d.s.Chips = append(d.s.Chips, Chip{corner(size), corner(size), corner(size * 0.3)})
}

// pen draws with one ink; strokes are collected and laid on a decal that just holds them.
type pen struct {
	strokes []Stroke
	tone    rgb
	bodies  bool
}

func (p *pen) line(a, b geom.SheetPoint, width, strength, ragged, fade float64) {
	p.strokes = append(p.strokes, Stroke{From: a, To: b, WidthMM: width, Strength: strength, Ragged: ragged, Fade: fade})
}

func (p *pen) circle(c geom.SheetPoint, radius, wobble, from, arc, width, strength, ragged float64) {
	const n = 28
	at := func(k int) geom.SheetPoint {
		a := from + arc*float64(k)/n
		q := radius * (1 + wobble*math.Sin(2*a+c.X))
		return geom.SheetPoint{X: c.X + q*math.Cos(a), Y: c.Y + q*math.Sin(a)}
	}
	for k := range n {
		p.line(at(k), at(k+1), width, strength, ragged, 0)
	}
}

// decal lays the strokes on a picture of 16 dots a millimetre, coarser where that would be
// large.
func (p *pen) decal(noise *tile) *decal {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	grow := func(q geom.SheetPoint, m float64) {
		x0, y0, x1, y1 = math.Min(x0, q.X-m), math.Min(y0, q.Y-m), math.Max(x1, q.X+m), math.Max(y1, q.Y+m)
	}
	for _, s := range p.strokes {
		grow(s.From, s.WidthMM+1)
		if s.Text == "" {
			grow(s.To, s.WidthMM+1)
			continue
		}
		grow(s.From, s.SizeMM*float64(len(s.Text)+1))
	}
	perMM := math.Min(16, 2500/math.Max(x1-x0, y1-y0))
	d := newDecal(x0, y0, x1, y1, perMM)
	for _, s := range p.strokes {
		if s.Text != "" {
			d.write(s.Text, s.From.X, s.From.Y, s.SizeMM, s.AngleDeg*math.Pi/180, s.WidthMM, s.Strength, s.Ragged, noise)
			continue
		}
		d.stroke(s.From.X, s.From.Y, s.To.X, s.To.Y, s.WidthMM, s.Strength, s.Fade, s.Ragged, noise)
	}
	return d
}
