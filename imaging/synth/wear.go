package synth

import "math"

// halo is what work has left on the sheet round a fastener or a hole.
type halo struct {
	x, y, r           float64 // of the thing that it surrounds
	grime, grimeMM    float64 // dirt at its foot: strength and width
	burnishMM         float64 // width of a ring that a tool has rubbed
	burnish           float64 // roughness there, as a multiple
	burnishTone       float64
	pucker, puckerMM  float64 // slope of the sheet toward the thing and how far it reaches
	rings, ringsMM    float64 // fine circular scratches: how dense, how far out
	dentR, dentWidth  float64 // a tool's curved dent
	dentFrom, dentArc float64
	dent              float64
	bed, bedMM        float64 // slope and width of the ring that a set or a tool has pressed flat about it
	bedRough          float64 // its roughness, as a multiple
}

func (h *halo) reach() float64 {
	return h.r + max(max(3*h.grimeMM, h.burnishMM), max(max(3*h.puckerMM, h.ringsMM), max(h.bedMM, h.dentR-h.r+h.dentWidth)))
}

// worn changes the surface of a sheet by what surrounds things near (x, y).
func (ws *workshop) worn(s *surface, level *level, x, y float64) {
	for _, i := range level.haloGrid.at(x, y) {
		h := &level.halos[i]
		dx, dy := x-h.x, y-h.y
		rho := math.Hypot(dx, dy)
		if rho < 0.3*h.r || rho > h.reach() {
			continue
		}
		u := vec{dx / rho, dy / rho, 0}
		out := rho - h.r
		slope := 0.0
		if h.pucker != 0 && out > 0 {
			slope += h.pucker * math.Exp(-out/h.puckerMM)
		}
		if h.burnishMM > 0 {
			edge := 0.06 * h.burnishMM * ws.noise[0].at(x*0.9, y*0.9)
			if k := max(0, min(1, (h.burnishMM+edge-out)/(0.4*h.burnishMM))); k > 0 && out > -0.4 {
				s.ax, s.ay = s.ax*(1+(h.burnish-1)*k), s.ay*(1+(h.burnish-1)*k)
				s.tan = vec{-u.y, u.x, 0}
				s.spec, s.diff = s.spec.scale(1+(h.burnishTone-1)*k), s.diff.scale(1+(h.burnishTone-1)*k)
				slope += 0.03 * k * ws.noise[1].at(rho*8, 0.8*math.Atan2(dy, dx))
			}
		}
		if h.bedMM > 0 && out > -0.3 {
			if k := max(0, min(1, (h.bedMM-out)/0.04)); k > 0 {
				s.ax, s.ay = s.ax*(1+(h.bedRough-1)*k), s.ay*(1+(h.bedRough-1)*k)
				slope += k * (h.bed + 0.25*math.Abs(h.bed)*ws.noise[1].at(x*1.3, y*1.3))
			}
		}
		if h.grime > 0 && out > -0.2 {
			k := h.grime * math.Exp(-max(0, out)/h.grimeMM)
			s.cover(rgb{0.045, 0.042, 0.04}, min(0.9, k*(1+0.3*ws.noise[2].at(x*3, y*3))))
		}
		if h.rings > 0 && out > 0 && out < h.ringsMM {
			p := h.rings * (1 - out/h.ringsMM)
			angle := math.Atan2(dy, dx)
			for k := range 2 {
				e := 0.12 * float64(k) * math.Sin(angle+h.r*9)
				sl, cover := scratchLine(angle*h.r*1.7, rho+e, 3.1*h.r, 0.28, 0.05, p, uint32(h.x*97+h.y*31)+uint32(k))
				slope += 0.3 * sl
				if cover > 0 {
					s.ax, s.ay = s.ax+0.1*cover, s.ay+0.1*cover
				}
			}
		}
		if h.dent != 0 {
			a := math.Mod(math.Atan2(dy, dx)-h.dentFrom+4*math.Pi, 2*math.Pi)
			if g := (rho - h.dentR) / h.dentWidth; a < h.dentArc && math.Abs(g) < 1 {
				slope += h.dent * g * (1 - math.Abs(g)) * 2 * min(1, 5*min(a, h.dentArc-a))
			}
		}
		if slope != 0 {
			s.n = s.n.at(u, slope).unit()
		}
	}
}

// film is a patch that lies on a sheet: protective film, tape, a dull or bright spot.
type film struct {
	out        *outline
	tone       rgb
	cover      float64 // how much of the sheet's own look it hides
	rough      float64 // sets the roughness; 0 leaves the sheet's
	gloss      float64
	ragged     float64 // mm
	soft       float64 // width of its border, mm
	wrinkle    float64
	fingermark float64 // spacing of ridges, mm; 0 for none
	angle      float64
}

func (ws *workshop) filmed(s *surface, films []film, x, y float64) {
	for i := range films {
		f := &films[i]
		o := f.out
		if x < o.x0-f.ragged*3 || x > o.x1+f.ragged*3 || y < o.y0-f.ragged*3 || y > o.y1+f.ragged*3 {
			continue
		}
		d := o.dist(x, y)
		if f.ragged > 0 {
			d += f.ragged * ws.noise[1].cloud(x*0.35+3*float64(i), y*0.35, 3)
		}
		k := max(0, min(1, 0.5-d/max(0.02, f.soft)))
		if k == 0 {
			continue
		}
		if f.fingermark > 0 {
			sn, cs := math.Sincos(f.angle)
			u, v := (x-o.x0)*cs+(y-o.y0)*sn, -(x-o.x0)*sn+(y-o.y0)*cs
			warp := 1.6*ws.noise[0].at(u*0.18, v*0.18) + math.Hypot(0.8*u-4, v-5)
			k *= max(0, 0.35+0.65*math.Sin(2*math.Pi*warp/f.fingermark)) * max(0, min(1, 0.7+0.5*ws.noise[2].at(x*0.7, y*0.7)))
		}
		s.diff = s.diff.mix(f.tone, f.cover*k)
		s.spec = s.spec.scale(1 - f.cover*k)
		if f.cover > 0 && s.pd < 0.8 {
			s.pd = min(0.8, s.pd+0.7*f.cover*k)
		}
		if f.rough > 0 {
			s.ax, s.ay = s.ax+(f.rough-s.ax)*k, s.ay+(f.rough-s.ay)*k
		}
		if f.gloss > 0 && f.cover*k > 0.3 {
			s.spec = s.spec.add(rgb{f.gloss, f.gloss, f.gloss}.scale(k))
		}
		if f.wrinkle > 0 {
			s.n = s.n.add(vec{ws.noise[0].at(x*0.5, y*0.5), ws.noise[1].at(x*0.5, y*0.5), 0}.mul(f.wrinkle * k)).unit()
		}
	}
}

// ink is one pen's marks on the sheets.
type ink struct {
	cover  *decal
	tone   rgb
	bodies bool // it ran over heads too
}

func (ws *workshop) inked(s *surface, x, y float64, body bool) {
	for i := range ws.inks {
		if p := &ws.inks[i]; !body || p.bodies {
			s.cover(p.tone, p.cover.at(x, y))
		}
	}
}
