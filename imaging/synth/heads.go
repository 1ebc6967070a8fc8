package synth

import "math"

// lipMM is the rounding of a head's lower edge where it meets the sheet.
const lipMM = 0.03

// arc appends a quarter turn from the last point to (r, z), leaving along the axis when
// upFirst is set and arriving along it otherwise.
func arc(p []profilePoint, r, z float64, upFirst bool, steps int) []profilePoint {
	a := p[len(p)-1]
	for i := 1; i <= steps; i++ {
		s, c := math.Sincos(math.Pi / 2 * float64(i) / float64(steps))
		if upFirst {
			p = append(p, profilePoint{r + (a.r-r)*c, a.z + (z-a.z)*s})
		} else {
			p = append(p, profilePoint{a.r + (r-a.r)*s, z + (a.z-z)*c})
		}
	}
	return p
}

// shopProfile is the half section of a driven head: a barrel, widest (radius r) at zw, that
// draws in to 0.935 r at the foot and 0.91 r below the flat, whose rim is rounded.
// The shape constants are those of the rendered example photos' heads.
func shopProfile(r, h, zw, rim float64) (p []profilePoint, flatFrom int) {
	lip := 0.91*r - rim*r
	rr := func(z float64) float64 {
		if z < zw {
			return r * (1 - 0.065*math.Pow((zw-z)/zw, 2))
		}
		return r * (1 - 0.09*math.Pow((z-zw)/(h-lip-zw), 2))
	}
	p = append(p, profilePoint{rr(lipMM) - lipMM, 0})
	p = arc(p, rr(lipMM), lipMM, false, 3)
	const n = 7
	for i := 1; i <= n; i++ {
		z := lipMM + (zw-lipMM)*float64(i)/n
		p = append(p, profilePoint{rr(z), z})
	}
	for i := 1; i <= n; i++ {
		z := zw + (h-lip-zw)*float64(i)/n
		p = append(p, profilePoint{rr(z), z})
	}
	p = arc(p, rim*r, h, true, 4)
	flatFrom = len(p) - 1
	return append(p, profilePoint{0, h}), flatFrom
}

// domeProfile is a made head of height h: from its lower edge it rises nearly upright and
// rounds over, (r/R)^2.2 + (z/h)^3.2 = 1, ending at radius rEnd. Seen aslant its far side
// stands out as a rim a quarter as high as the head would.
func domeProfile(r, h, rEnd float64) []profilePoint {
	p := []profilePoint{{r - lipMM, 0}}
	p = arc(p, r, lipMM, false, 3)
	const n = 20
	end := math.Acos(math.Pow(rEnd/r, 1.1))
	for i := 1; i <= n; i++ {
		s, c := math.Sincos(end * math.Pow(float64(i)/n, 1.3))
		p = append(p, profilePoint{r * math.Pow(c, 2/2.2), lipMM + (h-lipMM)*math.Pow(s, 2/3.2)})
	}
	p[len(p)-1].r = rEnd
	return p
}

// pulledProfile is the dome of a pulled rivet with its mandrel's hole and broken stem.
func pulledProfile(r, h, holeR, stemTop float64) (p []profilePoint, stemFrom int) {
	p = domeProfile(r, h, holeR+0.03)
	top := p[len(p)-1].z
	floor := min(top, stemTop) - 0.18
	p = append(p, profilePoint{holeR, top - 0.03}, profilePoint{holeR - 0.001, floor})
	p = append(p, profilePoint{holeR - 0.06, floor + 0.001})
	stemFrom = len(p) - 1
	p = append(p, profilePoint{holeR - 0.061, stemTop - 0.03}, profilePoint{holeR - 0.1, stemTop})
	return append(p, profilePoint{0, stemTop + 0.0001}), stemFrom
}

// flushProfile is a countersunk head's upper part: its rim stands at height z.
func flushProfile(r, z float64) (p []profilePoint, flatFrom int) {
	p = []profilePoint{{r - 0.3, z - 0.34}, {r, z - 0.04}}
	p = append(p, profilePoint{r, z - 0.02})
	p = arc(p, r-0.02, z, true, 3)
	flatFrom = len(p) - 1
	return append(p, profilePoint{0, z}), flatFrom
}
