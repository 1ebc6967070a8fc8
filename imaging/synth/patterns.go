package synth

import "math"

// printed gives how far a coat's pattern goes toward its second colour, and the tone.
func (ws *workshop) printed(c *coat, x, y, u, v, tone float64) (toward, shade float64) {
	n0, n1, n2 := ws.noise[0], ws.noise[1], ws.noise[2]
	k := 1 / c.scale
	switch c.pattern {
	case patternWood:
		g := 0.45*n0.at(u*0.008*k, v*0.22*k) + 0.25*n1.at(u*0.02*k, v*0.9*k) + 0.15*n2.at(u*0.1*k, v*3.1*k)
		return max(0, min(1, 0.35+0.4*g)), tone * math.Exp(0.35*g)
	case patternChips:
		return ws.chipBoard(x*k, y*k, tone)
	case patternSpeckle:
		g := 0.6*n0.at((0.8*x+0.6*y)*0.9*k, (0.8*y-0.6*x)*0.9*k) + 0.6*n1.at((0.5*x-0.87*y)*1.3*k, (0.5*y+0.87*x)*1.3*k) +
			0.5*n2.at((0.96*x+0.28*y)*2.9*k, (0.96*y-0.28*x)*2.9*k) + 0.5*n2.cloud(x*0.02*k, y*0.02*k, 3)
		return max(0, min(1, 0.5+0.55*g)), tone
	case patternWeave:
		i, j := math.Floor(x*k), math.Floor(y*k)
		fx, fy := x*k-i-0.5, y*k-j-0.5
		over := (int(i)+int(j))&1 == 0
		if !over {
			fx, fy = fy, fx
		}
		shade = tone * (1 - 1.8*fy*fy) * (1 - 0.5*fx*fx) * (1 + 0.08*n0.at(x*7, y*7))
		if over {
			return 0, shade
		}
		return 1, shade
	case patternSquares:
		line := func(q, each, width float64) bool { return math.Abs(q-each*math.Round(q/each)) < width/2 }
		if line(x*k, 10, 0.35) || line(y*k, 10, 0.35) || line((x+1.7*y)*k, 70, 0.6) {
			return 1, tone
		}
		return 0, tone * (1 + 0.05*n0.at(x*3, y*3))
	}
	return 0, tone
}

// chipBoard is board pressed from flat chips: of three layers of strips that lie at
// different angles the topmost shows.
func (ws *workshop) chipBoard(x, y, tone float64) (toward, shade float64) {
	top := -1.0
	shade = 0.8
	for layer := range uint32(4) {
		angle := 0.3 + 0.85*float64(layer)
		s, c := math.Sincos(angle)
		u, v := x*c+y*s, -x*s+y*c
		j := math.Floor(v / 13)
		u += 17 * fraction(hashed(int(j), 3, layer), 0)
		i := math.Floor(u / 38)
		h := hashed(int(i), int(j), 20+layer)
		fu, fv := u/38-i, v/13-j
		wide := 0.5 + 0.5*fraction(h, 16)
		if z := fraction(h, 0); z > top && math.Abs(fv-0.5) < wide/2 && fu > 0.05 && fu < 0.95 {
			top = z
			edge := min(min(fu-0.05, 0.95-fu)*38, (wide/2-math.Abs(fv-0.5))*13)
			toward = fraction(h, 8)
			shade = (0.75 + 0.5*fraction(h, 24)) * min(1, 0.55+0.6*edge) * (1 + 0.1*ws.noise[1].at(u*0.2, v*2.3))
		}
	}
	return toward, tone * shade
}
