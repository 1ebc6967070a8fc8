package synth

import (
	"math"
	"sort"
)

// room is what surrounds a workshop scene, as bright metal mirrors it. Tones are radiances
// as multiples of the ambient light's.
type room struct {
	zenith  rgb
	sides   [4]rgb // toward x, y, -x, -y
	below   rgb
	uneven  float64
	screens []screen // sorted outward
}

// screen is a flat thing in the room: a window, a ceiling lamp's glow, a hand, a person. It
// is seen in the metal, and its light falls on matt surfaces, but it casts no shadow.
type screen struct {
	at, n, u, v vec // u and v: directions over the half sizes, so that |q.u| < 1 within
	soft        float64
	form        screenForm
	tone, other rgb
	uneven      float64
}

type screenForm uint8

const (
	formSquare screenForm = iota
	formRound
	formPerson // a head on shoulders, seen from in front or below
	formPanes  // a window with bars
	formSlats
)

func newScreen(at, toward, side vec, halfU, halfV float64) screen {
	n := toward.sub(at).unit()
	u, v := frame(n, side)
	return screen{at: at, n: n, u: u.mul(1 / halfU), v: v.mul(1 / halfV)}
}

// sortScreens brings the nearest of the origin first.
func (r *room) sortScreens() {
	sort.SliceStable(r.screens, func(i, j int) bool { return r.screens[i].at.norm() < r.screens[j].at.norm() })
}

// seen gives the light from a direction, all before the distance far first: le is what
// shines there.
func (ws *workshop) seen(amb rgb, o, d vec, far float64, le rgb) rgb {
	var out rgb
	left := 1.0
	for i := range ws.room.screens {
		s := &ws.room.screens[i]
		den := s.n.dot(d)
		if math.Abs(den) < 1e-6 {
			continue
		}
		t := s.n.dot(s.at.sub(o)) / den
		if t <= 0 || t >= far {
			continue
		}
		q := o.at(d, t).sub(s.at)
		tone, cover := s.light(q.dot(s.u), q.dot(s.v), ws.noise[0])
		if cover <= 0 {
			continue
		}
		out = out.add(tone.mul(amb).scale(left * cover / math.Pi))
		if left *= 1 - cover; left < 0.01 {
			return out
		}
	}
	if !math.IsInf(far, 1) {
		return out.add(le.scale(left))
	}
	return out.add(ws.room.walls(d, ws.noise).mul(amb).scale(left / math.Pi))
}

// walls is the room without its screens.
func (r *room) walls(d vec, noise [4]*tile) rgb {
	var c rgb
	if d.z < 0 {
		c = r.below
	} else {
		flat := max(1e-9, math.Hypot(d.x, d.y))
		ux, uy := d.x/flat, d.y/flat
		var side rgb
		for i, k := range [4]float64{ux, uy, -ux, -uy} {
			if k > 0 {
				side = side.add(r.sides[i].scale(k * k))
			}
		}
		k := d.z * d.z * (3 - 2*d.z)
		c = side.mix(r.zenith, k)
	}
	if r.uneven > 0 {
		s := 1 / (0.25 + math.Abs(d.z))
		c = c.scale(math.Exp(r.uneven * (0.8*noise[0].at(d.x*s*1.7+20, d.y*s*1.7) + 0.5*noise[1].at(d.x*s*4.3, d.y*s*4.3+9))))
	}
	return c
}

// light is a screen's tone and cover at (u, v), its half sizes at 1.
func (s *screen) light(u, v float64, noise *tile) (tone rgb, cover float64) {
	reach := 1 + s.soft
	if u < -reach || u > reach || v < -reach || v > reach {
		return
	}
	tone = s.tone
	var d float64 // outside, in half sizes
	switch s.form {
	case formRound:
		d = math.Hypot(u, v) - 1
	case formPerson:
		head := math.Hypot((u-0.05)/0.34, (v-0.62)/0.36) - 1
		body := max(math.Abs(u)-0.95+0.5*max(0, v+0.1), v-0.3)
		d = body
		if 0.35*head < body {
			d, tone = 0.35*head, s.other
		}
	default:
		d = max(math.Abs(u), math.Abs(v)) - 1
		if s.form == formPanes && (math.Abs(u) < 0.04 || math.Abs(v-0.2) < 0.04) {
			tone = s.other
		}
		if s.form == formSlats && math.Mod(v*6+12, 1) < 0.45 {
			tone = s.other
		}
	}
	cover = max(0, min(1, 0.5-d/max(0.01, s.soft)))
	if s.uneven > 0 && cover > 0 {
		tone = tone.scale(math.Exp(s.uneven * noise.cloud(u*1.7+s.at.x, v*1.7+s.at.y, 2)))
	}
	return
}

// shade is a flat thing out of sight that keeps a lamp's light off, in slats if wanted.
type shade struct {
	at, n, u, v vec // as in screen
	slats       float64
}

func newShade(at, toward, side vec, halfU, halfV float64) shade {
	s := newScreen(at, toward, side, halfU, halfV)
	return shade{at: at, n: s.n, u: s.u, v: s.v}
}

// shaded tells whether a shade stands between two places.
func (ws *workshop) shaded(p, q vec) bool {
	for i := range ws.shades {
		s := &ws.shades[i]
		a, b := s.n.dot(p.sub(s.at)), s.n.dot(q.sub(s.at))
		if (a < 0) == (b < 0) {
			continue
		}
		c := p.at(q.sub(p), a/(a-b)).sub(s.at)
		u, v := c.dot(s.u), c.dot(s.v)
		if math.Abs(u) < 1 && math.Abs(v) < 1 && (s.slats == 0 || math.Mod(u*s.slats+100, 1) < 0.5) {
			return true
		}
	}
	return false
}
