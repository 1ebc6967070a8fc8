package synth

import "math"

// pattern is what a surface's tone follows besides its mottle.
type pattern uint8

const (
	patternPlain   pattern = iota
	patternTurned          // rings about the body's axis, as a lathe or a die leaves
	patternWood            // grain along the brushing
	patternChips           // pressed board of large chips
	patternSpeckle         // carpet, granite, terrazzo
	patternWeave           // cloth, carbon fabric
	patternSquares         // a cutting mat: lines each 10 mm
	patternThread          // a screw thread along the body's axis
)

// coat is how the face of a part looks. Lengths are in millimetres, slopes are tangents.
type coat struct {
	metal   bool
	tone    rgb     // metal: reflectance straight on; else the matt colour
	rough   float64 // GGX alpha along the brushing
	across  float64 // alpha across it, as a multiple of rough
	matt    float64 // metal: how much of the light it scatters
	gloss   float64 // no metal: reflectance straight on of its skin, 0 for none
	bx, by  float64 // direction of the brushing
	streak  float64 // slopes of the brushing's lines
	grain   float64 // slopes of fine pits
	wave    float64 // slopes of the sheet's waviness, 20 to 60 mm long
	cloud   float64 // unevenness of the roughness, and a little of the tone
	mottle  float64 // how the tone varies in spots
	scuff   float64 // how likely a place holds one of many short scratches
	scores  float64 // the same for few long ones
	swirl   float64 // slopes of polishing swirls
	specks  float64 // how likely each 4 mm hold a speck of dirt
	pattern pattern
	second  rgb     // the pattern's other colour
	scale   float64 // the pattern's size
	glow    rgb     // light of its own
	shift   float64 // keeps the parts' grain apart
}

// hashed turns lattice coordinates into chance bits.
func hashed(i, j int, seed uint32) uint32 {
	x := uint32(i)*0x9e3779b1 ^ uint32(j)*0x85ebca77 ^ seed*0xc2b2ae3d
	x ^= x >> 15
	x *= 0x2c1b3c6d
	x ^= x >> 12
	x *= 0x297a2d39
	return x ^ x>>15
}

func fraction(h uint32, from uint) float64 { return float64(h>>from&255) / 256 }

// scratchLine looks for one of many scratches that run along u, about long mm long, at most
// one in each strip of pitch mm: p is how likely a strip holds one. It gives the slope across
// the scratch and how much of the spot it covers.
func scratchLine(u, v, long, pitch, width, p float64, seed uint32) (slope, cover float64) {
	j := math.Floor(v / pitch)
	h0 := hashed(int(j), 7, seed)
	a := u/long + fraction(h0, 0)
	i := math.Floor(a)
	h := hashed(int(i), int(j), seed)
	if fraction(h, 0) > p {
		return 0, 0
	}
	a -= i
	from, to := 0.4*fraction(h, 8), 1-0.4*fraction(h, 16)
	if a < from || a > to {
		return 0, 0
	}
	mid := 0.2 + 0.6*fraction(h, 24) + 0.3*(fraction(h, 4)-0.5)*(a-0.5)
	g := (v/pitch - j - mid) * pitch / width
	if g < -1 || g > 1 {
		return 0, 0
	}
	k := min(1, 6*min(a-from, to-a)) * (0.35 + 0.65*fraction(h, 12))
	return k * math.Copysign(1-math.Abs(g), g+0.3), k * (1 - g*g)
}

// resolved is how much of a ripple of the given wavelength a pixel still shows.
func resolved(wave, px float64) float64 {
	return max(0, min(1, (wave/px-1)/2))
}

// look gives the surface of a coat at texture place (x, y) of a face with normal n. turned
// is the distance from the body's axis, along the height on it, px the size of a pixel: what
// is finer makes the face rougher instead (after Olano and Baker, LEAN mapping, I3D 2010).
func (ws *workshop) look(c *coat, n vec, x, y, turned, along, px float64) surface {
	x, y = x+c.shift, y+0.7*c.shift
	n0, n1, n2 := ws.noise[0], ws.noise[1], ws.noise[2]
	t, b := frame(n, vec{c.bx, c.by, 0})
	u, v := x*c.bx+y*c.by, -x*c.by+y*c.bx
	st, sb, tone, rough, lost := 0.0, 0.0, 1.0, c.rough, 0.0
	if c.wave > 0 {
		st += c.wave * (n1.at(x*0.031, y*0.027) + 0.5*n0.at(x*0.083, y*0.09))
		sb += c.wave * (n2.at(x*0.027, y*0.033) + 0.5*n1.at(x*0.09+40, y*0.081))
	}
	if c.cloud > 0 {
		big := n2.cloud(x*0.045, y*0.045, 3)
		rough *= math.Exp(c.cloud * big)
		tone += 0.15 * c.cloud * big
	}
	if c.streak > 0 {
		f, g := resolved(0.35, px), resolved(0.13, px)
		k := 0.8 * n0.at(u*0.035, v*1.9)
		if f > 0 {
			k += f * n1.at(u*0.09+20, v*5.7)
		}
		if g > 0 {
			k += g * 0.8 * n2.at(u*0.21, v*15.3)
		}
		sb += c.streak * k
		tone += 0.7 * c.streak * k
		lost += c.streak * c.streak * (1 - f*f + 0.6*(1-g*g))
	}
	if c.grain > 0 {
		f := resolved(0.43, px)
		if f > 0 {
			st += f * c.grain * n0.at(x*4.6, y*4.6)
			sb += f * c.grain * n1.at(x*4.6, y*4.6)
		}
		lost += c.grain * c.grain * (1 - f*f)
	}
	if c.swirl > 0 && px < 1 {
		sx, sy, cover := c.swirls(x, y)
		st, sb = st+sx*c.bx+sy*c.by, sb-sx*c.by+sy*c.bx
		rough += 0.08 * cover
	}
	if c.mottle > 0 {
		along, over := 1.0, 1.0
		if c.across > 1.2 { // rolled and brushed metal varies along its lines
			along, over = 0.12, 1.4
		}
		tone += c.mottle * (0.6*resolved(0.5, px)*n2.at(u*3.7*along, v*3.7*over) + 0.5*n0.at(u*1.6*along+7, v*1.6*over) + 0.35*n1.cloud(x*0.11, y*0.11, 2))
	}
	if (c.scuff > 0 || c.scores > 0) && px < 1 {
		ds, db, cover := c.scratches(x, y)
		st, sb = st+ds*c.bx+db*c.by, sb-ds*c.by+db*c.bx
		rough += 0.12 * cover
		if !c.metal {
			tone += 0.8 * cover
		}
	}
	colour := c.tone
	switch c.pattern {
	case patternPlain:
	case patternTurned:
		k := n0.at(turned*9*c.scale+c.shift, 3) + 0.7*n1.at(turned*21*c.scale, 8)
		st += 0.06 * k
		tone += 0.06 * k
		t, b = frame(n, vec{x - c.shift, y - 0.7*c.shift, 0})
	case patternThread:
		st += 0.9 * math.Sin(2*math.Pi*(along/c.scale+math.Atan2(y-0.7*c.shift, x-c.shift)/(2*math.Pi)))
		t, b = frame(n, vec{0, 0, 1})
	default:
		var k float64
		k, tone = ws.printed(c, x, y, u, v, tone)
		colour = colour.mix(c.second, k)
	}
	if c.specks > 0 && px < 1 {
		if k := speck(x, y, c.specks); k > 0 {
			colour, rough = colour.mix(rgb{0.05, 0.045, 0.04}, 0.8*k), rough+0.3*k
		}
	}
	tone = max(0.15, tone)
	s := surface{n: n.at(t, st).at(b, sb).unit(), tan: t}
	rough = max(0.02, min(0.7, rough))
	if c.glow != (rgb{}) {
		s.glow = c.glow.scale(ws.glow)
	}
	across := rough * max(1, c.across)
	s.ax, s.ay = rough, min(0.8, math.Sqrt(across*across+2*lost))
	if c.metal {
		s.diff, s.spec, s.pd = colour.scale(c.matt*tone), colour.scale(min(1.05, tone)), 0.02+0.8*c.matt
		return s
	}
	s.diff, s.pd = colour.scale(min(tone, 1.6)), 1
	if c.gloss > 0 {
		s.spec, s.pd = rgb{c.gloss, c.gloss, c.gloss}, 0.8
	}
	return s
}

// scratches adds up short scratches in all directions and few long ones.
func (c *coat) scratches(x, y float64) (sx, sy, cover float64) {
	add := func(angle, long, pitch, width, p, depth float64, seed uint32) {
		s, co := math.Sincos(angle)
		k, cv := scratchLine(x*co+y*s, -x*s+y*co, long, pitch, width, p, seed)
		if cv > 0 {
			sx, sy, cover = sx-depth*k*s, sy+depth*k*co, max(cover, cv)
		}
	}
	if c.scuff > 0 {
		add(0.3+c.shift, 7, 0.8, 0.05, c.scuff, 0.16, 1)
		add(1.9+c.shift, 11, 0.9, 0.04, c.scuff, 0.16, 2)
		add(2.6+c.shift, 5, 0.7, 0.06, c.scuff, 0.20, 3)
		add(1.1+c.shift, 16, 1.3, 0.05, c.scuff, 0.12, 4)
	}
	if c.scores > 0 {
		add(0.7+2*c.shift, 45, 4.1, 0.09, c.scores, 0.35, 5)
		add(2.2+2*c.shift, 70, 6.3, 0.07, c.scores, 0.35, 6)
	}
	return
}

// swirls are the arcs that polishing by hand leaves: each patch of the sheet has them about
// a centre of its own, in two layers.
func (c *coat) swirls(x, y float64) (sx, sy, cover float64) {
	const cell = 26
	for layer := range 2 {
		off := cell / 2 * float64(layer)
		i, j := math.Floor((x+off)/cell), math.Floor((y+off)/cell)
		h := hashed(int(i), int(j), 90+uint32(layer))
		fx, fy := (x+off)/cell-i, (y+off)/cell-j
		dx, dy := (fx-0.2-0.6*fraction(h, 0))*cell, (fy-0.2-0.6*fraction(h, 8))*cell
		rho := math.Hypot(dx, dy)
		if rho < 2 {
			continue
		}
		inside := max(0, min(1, 5*min(min(fx, 1-fx), min(fy, 1-fy))))
		k, cv := scratchLine(math.Atan2(dy, dx)*9, rho, 7, 0.45, 0.05, inside*min(0.9, 14*c.swirl), h)
		if cv > 0 {
			sx, sy, cover = sx+5*c.swirl*k*dx/rho, sy+5*c.swirl*k*dy/rho, max(cover, cv)
		}
	}
	return
}

// speck tells how much of a speck of dirt lies at a place: at most one each 4 mm.
func speck(x, y, p float64) float64 {
	const cell = 4
	i, j := math.Floor(x/cell), math.Floor(y/cell)
	h := hashed(int(i), int(j), 77)
	if fraction(h, 0) > p {
		return 0
	}
	dx, dy := x-(i+0.15+0.7*fraction(h, 8))*cell, y-(j+0.15+0.7*fraction(h, 16))*cell
	r := 0.06 + 0.3*fraction(h, 24)*fraction(h, 12)
	return max(0, min(1, 2*(1-math.Hypot(dx, dy*(0.7+fraction(h, 20)))/r)))
}
