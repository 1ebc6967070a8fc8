package synth

import "math"

// Reflectances of metals straight on, linear; read off photographs and rounded.
var (
	steel    = rgb{0.56, 0.55, 0.53}
	zinc     = rgb{0.66, 0.67, 0.68}
	cadmium  = rgb{0.74, 0.60, 0.30}
	copper   = rgb{0.86, 0.56, 0.42}
	brass    = rgb{0.80, 0.66, 0.36}
	paleGold = rgb{0.84, 0.78, 0.58}
)

// tinted is a colour of any hue: saturation and brightness from 0 to 1.
func tinted(r *random, saturation, brightness float64) rgb {
	h := r.span(0, 6)
	var c rgb
	for k, off := range [3]float64{0, 4, 2} {
		x := math.Mod(h+off, 6)
		c[k] = brightness * (1 - saturation*math.Max(0, math.Min(1, math.Min(x, 4-x))))
	}
	return c
}

// drawSheetCoat makes up a sheet's finish; name is one for the conditions.
func drawSheetCoat(r *random) (c coat, name string) {
	c = coat{metal: true, tone: aluminium, bx: 1, shift: r.span(0, 40), across: 1, specks: r.span(0, 0.12)}
	c.tone = c.tone.mul(rgb{1 + 0.01*r.normal(), 1, 1 + 0.012*r.normal()})
	if r.chance(0.5) {
		c.scuff = r.span(0, 0.5) * r.unit()
	}
	if r.chance(0.6) {
		c.scores = r.span(0, 0.35)
	}
	c.wave = r.span(0.001, 0.012)
	switch name = pick(r, []float64{30, 20, 24, 12, 5, 5, 2, 6}, "mill", "brushed", "polished", "scuffed", "blasted", "green", "yellow", "paint"); name {
	case "mill":
		c.rough, c.across, c.matt = r.span(0.045, 0.14), r.span(1.3, 3.2), r.span(0.02, 0.1)
		c.streak, c.grain, c.cloud, c.mottle = r.span(0.004, 0.025), r.span(0.002, 0.012), r.span(0.02, 0.16), r.span(0.003, 0.025)
	case "brushed":
		c.rough, c.across, c.matt = r.span(0.10, 0.22), r.span(1.8, 3.5), r.span(0.08, 0.25)
		c.streak, c.grain, c.cloud, c.mottle = r.span(0.01, 0.045), r.span(0.003, 0.015), r.span(0.03, 0.22), r.span(0.005, 0.045)
		c.tone = c.tone.scale(r.span(0.55, 0.95))
	case "polished":
		c.rough, c.matt = r.span(0.025, 0.09), r.span(0.01, 0.04)
		c.streak, c.grain, c.cloud = r.span(0, 0.008), r.span(0, 0.006), r.span(0, 0.2)
		c.swirl, c.wave = r.span(0, 0.02), r.span(0.003, 0.02)
	case "scuffed":
		c.rough, c.across, c.matt = r.span(0.09, 0.2), r.span(1, 1.5), r.span(0.05, 0.2)
		c.scuff, c.swirl, c.scores = r.span(0.35, 0.9), r.span(0.02, 0.07), r.span(0.1, 0.5)
		c.grain, c.cloud, c.mottle = r.span(0.004, 0.02), r.span(0.05, 0.25), r.span(0.005, 0.04)
	case "blasted": // tumbled, etched or long oxidised
		c.rough, c.matt, c.grain, c.mottle = r.span(0.28, 0.5), r.span(0.2, 0.45), r.span(0.03, 0.09), r.span(0.03, 0.12)
		c.tone = c.tone.scale(r.span(0.5, 0.9))
	default:
		c = drawPaint(r)
		switch name {
		case "green":
			c.tone = rgb{0.165, 0.255, 0.085}.mul(rgb{r.span(0.7, 1.4), r.span(0.8, 1.3), r.span(0.6, 1.8)})
		case "yellow":
			c.tone = rgb{0.46, 0.40, 0.08}.mul(rgb{r.span(0.8, 1.2), r.span(0.8, 1.2), r.span(0.6, 1.6)})
		}
	}
	return c, name
}

// drawPaint is a painted or primed face of any colour.
func drawPaint(r *random) coat {
	c := coat{bx: 1, shift: r.span(0, 40), across: 1, gloss: 0.045, rough: r.span(0.08, 0.4), grain: r.span(0.004, 0.03),
		mottle: r.span(0.005, 0.05), wave: r.span(0, 0.01), specks: r.span(0, 0.15)}
	c.tone = pick(r, []float64{1.5, 3, 2, 2, 2}, tinted(r, r.span(0.3, 0.85), r.span(0.1, 0.7)), rgb{1, 1, 1}.scale(r.span(0.15, 0.5)),
		rgb{0.8, 0.8, 0.78}.scale(r.span(0.8, 1)), rgb{0.04, 0.04, 0.045}.scale(r.span(0.6, 1.6)),
		even(r, rgb{0.02, 0.07, 0.28}, rgb{0.35, 0.02, 0.02}, rgb{0.3, 0.09, 0.05}, rgb{0.03, 0.12, 0.05}, rgb{0.55, 0.35, 0.04}, rgb{0.5, 0.46, 0.36}).scale(r.span(0.7, 1.4)))
	if r.chance(0.4) {
		c.scuff, c.scores = r.span(0, 0.3), r.span(0, 0.3)
	}
	if r.chance(0.2) {
		c.gloss = 0
	}
	return c
}

// metalCoat is a small part's face.
func metalCoat(r *random, tone rgb, rough, matt float64) coat {
	return coat{metal: true, tone: tone, rough: rough, across: 1, bx: 1, matt: matt, grain: r.span(0.002, 0.02), mottle: r.span(0.003, 0.04),
		shift: r.span(0, 60), scale: 1}
}

// drawHeadMetal is what a fastener's head is made of or coated with.
func drawHeadMetal(r *random) (c coat, f Finish) {
	switch name := pick(r, []float64{52, 16, 9, 8, 9, 6}, "plain", "alodine", "steel", "pale", "dull", "painted"); name {
	case "alodine":
		return metalCoat(r, gold.mul(rgb{1, r.span(0.88, 1.05), r.span(0.55, 1.15)}), r.span(0.12, 0.34), r.span(0.05, 0.25)), Alodine
	case "steel":
		return metalCoat(r, steel.scale(r.span(0.6, 1.2)), r.span(0.08, 0.3), r.span(0.03, 0.15)), Bare
	case "pale":
		return metalCoat(r, paleGold.scale(r.span(0.85, 1)), r.span(0.25, 0.5), r.span(0.15, 0.45)), Bare
	case "dull":
		return metalCoat(r, aluminium.scale(r.span(0.45, 0.85)), r.span(0.28, 0.5), r.span(0.2, 0.45)), Bare
	case "painted":
		c = drawPaint(r)
		if r.chance(0.7) {
			c.tone = even(r, rgb{0.165, 0.255, 0.085}, rgb{0.22, 0.225, 0.23}, rgb{0.75, 0.75, 0.73}, rgb{0.03, 0.03, 0.032}, rgb{0.42, 0.38, 0.1}).scale(r.span(0.7, 1.2))
		}
		return c, Grey
	}
	return metalCoat(r, aluminium.scale(r.span(0.85, 1)), r.span(0.08, 0.26), r.span(0.03, 0.2)), Bare
}

// darkCoat is the inside of something.
func darkCoat(k float64) coat { return coat{tone: rgb{k, k, k}, bx: 1, rough: 0.4} }

// drawFloor is what lies far below: a bench, a floor, the sky through an open structure.
func drawFloor(r *random) (c coat, name string) {
	c = coat{bx: 1, scale: 1, rough: 0.4, shift: r.span(0, 300)}
	a := r.span(0, math.Pi)
	c.by, c.bx = math.Sincos(a)
	name = pick(r, []float64{16, 10, 14, 7, 9, 12, 14, 6, 6, 6}, "wood", "chips", "carpet", "granite", "mat", "concrete", "cloth", "paper", "bright", "dark")
	switch name {
	case "wood":
		c.pattern, c.scale = patternWood, r.span(0.6, 1.8)
		c.tone = rgb{0.40, 0.25, 0.11}.scale(r.span(0.5, 1.5))
		c.second = c.tone.mul(rgb{0.55, 0.5, 0.45})
		c.gloss = r.span(0.01, 0.04)
	case "chips":
		c.pattern, c.scale = patternChips, r.span(0.8, 1.3)
		c.tone, c.second = rgb{0.58, 0.40, 0.20}.scale(r.span(0.8, 1.2)), rgb{0.36, 0.22, 0.09}
	case "carpet":
		c.pattern, c.scale, c.mottle = patternSpeckle, r.span(1.2, 5), 0.1
		k := r.span(0.10, 0.3)
		c.tone, c.second = rgb{k, k, k * 1.04}, rgb{k, k, k * 1.04}.scale(r.span(1.6, 2.6))
		if r.chance(0.25) {
			c.tone = tinted(r, 0.7*r.unit(), r.span(0.1, 0.4))
			c.second = c.tone.scale(r.span(0.4, 0.7))
		}
	case "granite":
		c.pattern, c.scale = patternSpeckle, r.span(0.5, 1.6)
		k := r.span(0.1, 0.3)
		c.tone, c.second = rgb{k, k, k}, rgb{0.6, 0.58, 0.55}.scale(r.span(0.6, 1.2))
		c.gloss, c.rough = 0.04, 0.1
	case "mat":
		c.pattern, c.scale = patternSquares, r.span(0.8, 1.3)
		c.tone = even(r, rgb{0.02, 0.16, 0.09}, rgb{0.02, 0.07, 0.2}, rgb{0.05, 0.05, 0.055}, rgb{0.35, 0.05, 0.05})
		c.second = rgb{0.55, 0.6, 0.5}
		c.gloss = 0.03
	case "concrete":
		k := r.span(0.2, 0.5)
		c.tone, c.mottle, c.specks, c.cloud = rgb{k, k * 0.98, k * 0.94}, r.span(0.1, 0.3), 0.3, 0.3
	case "cloth":
		c.pattern, c.scale = patternWeave, r.span(0.5, 3)
		c.tone = tinted(r, 0.8*r.unit()*r.unit(), r.span(0.05, 0.6))
		c.second = c.tone.scale(r.span(0.5, 1.6))
	case "paper":
		c.tone, c.mottle = rgb{0.8, 0.79, 0.76}.scale(r.span(0.7, 1)), 0.02
	case "bright":
		c.tone, c.glow = rgb{0.8, 0.8, 0.8}, rgb{r.span(0.7, 1), 1, r.span(0.8, 1.3)}
	case "dark":
		k := r.span(0.01, 0.05)
		c.tone, c.mottle = rgb{k, k, k * 1.1}, 0.3
	}
	return c, name
}
