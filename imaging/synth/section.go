package synth

import "math"

// zone is a part of a body that has a look of its own.
type zone uint8

// The zones of bodies: each uses those that it has.
const (
	zoneFlank zone = iota
	zoneFlat       // the flat of a driven head, the top of a nut or bolt
	zoneStem       // what is left of a mandrel, a stud, a plunger
	zoneBore       // the inside of a bore or recess
	zoneRim        // a brim, lip or chamfer
	zones
)

// section is the half section of a solid of revolution in the making: points (radius,
// height) from the foot outward and up to the axis, each piece with its zone.
type section struct {
	pts  []profilePoint
	zone []zone // of the piece that ends at each point but the first
	now  zone
}

func startSection(r, z float64) *section { return &section{pts: []profilePoint{{r, z}}} }

func (s *section) in(z zone) *section {
	s.now = z
	return s
}

// to goes straight to a point; a step of no length is left out.
func (s *section) to(r, z float64) *section {
	a := s.pts[len(s.pts)-1]
	if math.Hypot(a.r-r, a.z-z) < 1e-6 {
		return s
	}
	s.pts, s.zone = append(s.pts, profilePoint{r, z}), append(s.zone, s.now)
	return s
}

// round goes to a point by a quarter ellipse, leaving along the axis when upFirst is set
// and arriving along it otherwise.
func (s *section) round(r, z float64, upFirst bool) *section {
	const steps = 4
	for _, p := range arc(s.pts[len(s.pts)-1:], r, z, upFirst, steps)[1:] {
		s.to(p.r, p.z)
	}
	return s
}

// along follows a curve given over 0 to 1 in n steps.
func (s *section) along(n int, f func(k float64) (r, z float64)) *section {
	for i := 1; i <= n; i++ {
		s.to(f(float64(i) / float64(n)))
	}
	return s
}

func (s *section) end() profilePoint { return s.pts[len(s.pts)-1] }

// dome goes in and up to height h at radius rEnd: (r/R)^p + (z/H)^q = 1 from the last
// point's radius R and height, with the axis's height H such that h is reached at the axis.
func (s *section) dome(h, rEnd, p, q float64) *section {
	a := s.end()
	last := math.Acos(math.Pow(rEnd/a.r, p/2))
	return s.along(14, func(k float64) (float64, float64) {
		sn, cs := math.Sincos(last * math.Pow(k, 1.2))
		if k == 1 {
			return rEnd, a.z + (h-a.z)*math.Pow(sn, 2/q)
		}
		return a.r * math.Pow(cs, 2/p), a.z + (h-a.z)*math.Pow(sn, 2/q)
	})
}

// pulledForm is a pulled rivet's head: a brim, a dome, a bore with what is left of the stem.
type pulledForm struct {
	brim       float64 // height of the brim's upright edge
	height     float64
	p, q       float64 // the dome's exponents
	boreR      float64
	lip        float64 // rounding of the bore's edge
	collar     float64 // height of a raised ring round the bore, 0 for none
	stem       string  // "open", "sunk", "flush", "proud" or "pit"
	stemTop    float64
	stemR, pit float64
}

func (f *pulledForm) section(r float64) *section {
	s := startSection(r-lipMM, 0).in(zoneRim).round(r, lipMM, false)
	e := math.Min(0.4*f.brim, 0.08)
	s.to(r, math.Max(lipMM+0.002, f.brim-e)).round(r-e, math.Max(lipMM+0.004, f.brim), true)
	s.in(zoneFlank).dome(f.height, f.boreR+f.lip, f.p, f.q)
	top := s.end().z
	if f.collar > 0 {
		a, b := f.boreR+f.lip, f.boreR+0.2*f.lip
		s.in(zoneRim).along(6, func(k float64) (float64, float64) {
			return a + (b-a)*k, top + f.collar*math.Sin(math.Pi*k)
		})
	}
	s.in(zoneRim).round(f.boreR, top-f.lip, false)
	s.in(zoneBore)
	if f.stem == "open" {
		return s.to(f.boreR-0.01, f.stemTop).to(0, f.stemTop-0.001)
	}
	floor := math.Min(top-f.lip-0.02, f.stemTop-0.15)
	s.to(f.boreR-0.001, floor).to(f.stemR, floor+0.001).in(zoneStem)
	s.to(f.stemR-0.001, f.stemTop-0.03).to(f.stemR-0.035, f.stemTop)
	switch {
	case f.stem == "pit":
		s.to(0.72*f.stemR, f.stemTop+0.001).to(0.1*f.stemR, f.stemTop-f.pit)
	case f.stem == "proud":
		s.to(0.6*f.stemR, f.stemTop+0.25*f.stemR)
	}
	return s.to(0, s.end().z+0.0001)
}

// shopForm is a driven head's: a barrel whose foot and top are drawn in.
type shopForm struct {
	height, widest, foot, top float64 // foot and top radii as fractions of the widest
	rim                       float64 // radius of the flat, likewise
	crown                     float64 // how far the flat bulges (or, below 0, is dished)
	pitR, pit                 float64 // a centre mark: radius and depth
}

func (f *shopForm) section(r float64) *section {
	lip := math.Max(0.03, (f.top-f.rim)*r)
	rr := func(z float64) float64 {
		if z < f.widest {
			return r * (1 - (1-f.foot)*math.Pow((f.widest-z)/f.widest, 2))
		}
		return r * (1 - (1-f.top)*math.Pow((z-f.widest)/math.Max(0.02, f.height-lip-f.widest), 2))
	}
	s := startSection(rr(lipMM)-lipMM, 0).in(zoneFlank).round(rr(lipMM), lipMM, false)
	s.along(7, func(k float64) (float64, float64) { z := lipMM + (f.widest-lipMM)*k; return rr(z), z })
	s.along(7, func(k float64) (float64, float64) {
		z := f.widest + (f.height-lip-f.widest)*k
		return rr(z), z
	})
	s.in(zoneRim).round(f.rim*r, f.height, true).in(zoneFlat)
	in := f.pitR
	s.along(4, func(k float64) (float64, float64) {
		x := f.rim*r + (in-f.rim*r)*k
		return x, f.height + f.crown*(1-x*x/(f.rim*f.rim*r*r))
	})
	if f.pit > 0 {
		z := s.end().z
		s.in(zoneStem).to(0.75*in, z-0.7*f.pit).to(0.3*in, z-f.pit)
	}
	return s.to(0, s.end().z+0.0001)
}

// roundForm is a made head: a dome with a flat of radius flat on it.
type roundForm struct{ height, brim, p, q, flat, pit float64 }

func (f *roundForm) section(r float64) *section {
	s := startSection(r-lipMM, 0).in(zoneRim).round(r, lipMM, false)
	s.to(r, math.Max(lipMM+0.001, f.brim))
	s.in(zoneFlank).dome(f.height, f.flat+0.001, f.p, f.q).in(zoneFlat)
	if f.pit > 0 && f.flat > 0.2 {
		s.to(0.5*f.flat, s.end().z+0.0002).to(0.1*f.flat, s.end().z-f.pit)
	}
	return s.to(0, s.end().z+0.0001)
}

// flushForm is a countersunk head's upper part, its rim at height z; a pulled one has a
// bore with the stem's end in it.
type flushForm struct{ z, crown, boreR, boreDepth, ring float64 }

func (f *flushForm) section(r float64) *section {
	s := startSection(r-0.3, f.z-0.34).in(zoneRim).to(r, f.z-0.04).to(r, f.z-0.02).round(r-0.02, f.z, true).in(zoneFlat)
	edge := f.boreR
	s.along(5, func(k float64) (float64, float64) {
		x := r - 0.02 + (edge-r+0.02)*k
		return x, f.z + f.crown*(1-x*x/(r*r))
	})
	if f.boreR > 0 {
		z := s.end().z
		s.in(zoneBore).to(f.boreR-0.04, z-0.05).to(f.boreR-0.05, z-f.boreDepth)
		s.in(zoneStem).to(0.4*f.boreR, z-f.boreDepth+f.ring)
	}
	return s.to(0, s.end().z+0.0001)
}

// dimpleSection is sheet pressed into a cone: from radius r at z = 0 down to a hole of
// radius hole, depth below; up turns it the other way round.
func dimpleSection(r, hole, depth, thick float64, up bool) *section {
	if up {
		s := startSection(r, 0).in(zoneFlank)
		s.along(5, func(k float64) (float64, float64) { return r - 0.22*(r-hole)*k, 0.16 * depth * k * k })
		s.to(hole+0.14*(r-hole), 0.93*depth).in(zoneRim).to(hole+0.04*(r-hole), depth).to(hole, depth-0.02)
		return s.in(zoneBore).to(hole-0.001, depth-thick-0.1)
	}
	s := startSection(hole-0.001, -depth-thick).in(zoneBore).to(hole, -depth-0.02).in(zoneRim).to(hole+0.03, -depth)
	z0, r0 := -depth, hole+0.03
	s.in(zoneFlank).to(r-0.25*(r-hole), z0+(depth*0.86)*(r-0.25*(r-hole)-r0)/(r-0.25*(r-hole)-r0))
	e := s.end()
	return s.along(6, func(k float64) (float64, float64) {
		return e.r + (r-e.r)*k, e.z * (1 - k) * (1 - 0.5*k)
	})
}

// tailSection is the far side of a pulled rivet: a sleeve that bulges, with the mandrel's
// head on it.
func tailSection(sleeveR, bulge, bulgeAt, height, mandrelR, mandrelH float64) *section {
	s := startSection(sleeveR, 0).in(zoneFlank)
	s.along(12, func(k float64) (float64, float64) {
		g := math.Exp(-math.Pow((k*height-bulgeAt)/(0.25*height), 2))
		return sleeveR * (1 + (bulge-1)*g), k * height
	})
	s.in(zoneRim).round(0.86*sleeveR, height+0.1*sleeveR, true).to(mandrelR+0.02, height+0.1*sleeveR+0.001)
	s.in(zoneStem).to(mandrelR, height+0.12*sleeveR).to(mandrelR*1.02, height+0.6*mandrelH)
	s.round(0.5*mandrelR, height+mandrelH, true)
	return s.to(0.18*mandrelR, height+mandrelH-0.02).to(0, height+mandrelH-0.06)
}

// washerSection is a flat ring with rounded edges.
func washerSection(r0, r1, thick float64) *section {
	e := 0.2 * thick
	s := startSection(r1, 0).in(zoneRim).to(r1, thick-e).round(r1-e, thick, true)
	return s.in(zoneFlat).to(r0+e, thick+0.0001).in(zoneRim).to(r0, thick-e).in(zoneBore).to(r0-0.0005, 0)
}

// studSection is a bolt's threaded end, its face chamfered.
func studSection(r, z0, z1 float64) *section {
	return startSection(r, z0).in(zoneStem).to(r, z1-0.12*r).to(0.86*r, z1).to(0, z1+0.0001)
}

// capSection is a flat or domed round head: a cylinder of height h with its top edge
// rounded by e and bulging by crown.
func capSection(r, h, e, crown float64) *section {
	s := startSection(r, 0).in(zoneFlank).to(r, h-e).in(zoneRim).round(r-e, h, true).in(zoneFlat)
	return s.along(5, func(k float64) (float64, float64) {
		x := (r - e) * (1 - k)
		return x, h + crown*(1-math.Pow(x/(r-e), 2)) + 0.0001*k
	})
}

// ringSection is a raised lip round a hole: half a ring of section radius e.
func ringSection(r0, e, height float64) *section {
	s := startSection(r0+2*e, 0).in(zoneRim)
	s.along(8, func(k float64) (float64, float64) {
		sn, cs := math.Sincos(math.Pi * k)
		return r0 + e + e*cs, height * sn
	})
	return s.in(zoneBore).to(r0-0.001, -2*e)
}

// clecoSection is a temporary fastener from above: a body with a collar and a plunger.
func clecoSection(r, h, plungerR, plungerH float64) *section {
	s := startSection(0.55*r, 0).in(zoneStem).to(0.55*r, 0.16*h).in(zoneFlank).to(r, 0.18*h)
	s.to(r, 0.9*h).round(0.86*r, 0.94*h, true).in(zoneRim).to(plungerR+0.15, 0.94*h+0.001)
	s.in(zoneStem).to(plungerR, 0.94*h-0.3).to(plungerR+0.001, h+plungerH-0.5).round(0.6*plungerR, h+plungerH, true)
	return s.to(0, h+plungerH+0.05)
}
