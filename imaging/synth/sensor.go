package synth

import (
	"image"
	"math"
	"sort"
)

// develop turns linear light into the picture that a phone would keep, upright.
func (p *plane3) develop(s *Scene) *image.RGBA {
	sen := &s.Sensor
	r := newRandom(s.Seed ^ 0xd1e5)
	if sen.MotionPx > 0 {
		p.smear(sen.MotionPx, sen.MotionDeg*math.Pi/180)
	}
	if sen.SoftPx > 0 {
		p.soften(sen.SoftPx)
	}
	p.expose(sen, r)
	p.mosaic()
	p.settleColour()
	p.quieten(sen)
	if sen.Sharpen > 0 {
		p.sharpen(sen.Sharpen)
	}
	out := image.NewRGBA(image.Rect(0, 0, p.w, p.h))
	// A table by the square root of the light: its steps stay below a quarter of a level.
	const steps, most = 8192, 6.0
	var table [steps + 1]uint8
	for i := range table {
		r := float64(i) / steps
		table[i] = encodeSRGB(shoulder(most * r * r))
	}
	for i := range p.w * p.h {
		for k := range 3 {
			v := max(0, min(1, float64(p.v[3*i+k])/most))
			out.Pix[4*i+k] = table[int(math.Sqrt(v)*steps+0.5)]
		}
		out.Pix[4*i+3] = 255
	}
	return out
}

// shoulder bends bright light toward white, as cameras' tone curves do: a border between
// black and white then seems to lie a little inside the black.
func shoulder(v float64) float64 { return 1.01 * (1 - math.Exp(-v)) }

// encodeSRGB is the transfer function of IEC 61966-2-1, to 8 bits.
func encodeSRGB(v float64) uint8 {
	switch {
	case !(v > 0):
		return 0
	case v >= 1:
		return 255
	case v <= 0.0031308:
		v *= 12.92
	default:
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(v*255 + 0.5)
}

// smear averages along a line: the camera moved during the exposure.
func (p *plane3) smear(length, angle float64) {
	src := append([]float32(nil), p.v...)
	n := int(2*length) + 2
	s, c := math.Sincos(angle)
	for j := range p.h {
		for i := range p.w {
			var sum [3]float32
			for k := range n {
				a := ((float64(k)+0.5)/float64(n) - 0.5) * length
				x := max(0, min(float64(p.w-2), float64(i)+a*c))
				y := max(0, min(float64(p.h-2), float64(j)+a*s))
				x0, y0 := int(x), int(y)
				fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
				q := 3 * (y0*p.w + x0)
				for ch := range 3 {
					t := src[q+ch] + (src[q+3+ch]-src[q+ch])*fx
					b := src[q+3*p.w+ch] + (src[q+3*p.w+3+ch]-src[q+3*p.w+ch])*fx
					sum[ch] += t + (b-t)*fy
				}
			}
			q := 3 * (j*p.w + i)
			for ch := range 3 {
				p.v[q+ch] = sum[ch] / float32(n)
			}
		}
	}
}

// soften is a Gaussian blur.
func (p *plane3) soften(sigma float64) {
	n := int(math.Ceil(3 * sigma))
	k := make([]float32, 2*n+1)
	sum := float32(0)
	for i := range k {
		d := float64(i-n) / sigma
		k[i] = float32(math.Exp(-d * d / 2))
		sum += k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	p.filter(k, 3, p.w, p.h, 3*p.w)
	p.filter(k, 3*p.w, p.h, p.w, 3)
}

// filter convolves each line of count lines; a line has length samples step apart and the
// lines start gap apart.
func (p *plane3) filter(k []float32, step, length, count, gap int) {
	n := len(k) / 2
	line := make([]float32, 3*(length+2*n))
	for l := range count {
		base := l * gap
		for i := range length + 2*n {
			q := base + step*min(max(i-n, 0), length-1)
			copy(line[3*i:3*i+3], p.v[q:q+3])
		}
		for i := range length {
			var a, b, c float32
			for m, kv := range k {
				q := 3 * (i + m)
				a, b, c = a+kv*line[q], b+kv*line[q+1], c+kv*line[q+2]
			}
			q := base + step*i
			p.v[q], p.v[q+1], p.v[q+2] = a, b, c
		}
	}
}

// meter gives the gain that brings white paper to 1, or without paper a bright spot.
func (p *plane3) meter() float64 {
	if p.paper > 0 {
		return 1 / p.paper
	}
	var luma []float64
	for i := 0; i < p.w*p.h; i += 7 {
		luma = append(luma, float64(p.v[3*i+1]))
	}
	sort.Float64s(luma)
	return 1 / max(1e-9, luma[len(luma)*19/20])
}

// expose scales the light to the exposure, darkens the corners and adds noise. 1 is then
// the clipping level.
func (p *plane3) expose(sen *Sensor, r *random) {
	gain := -math.Log(1-min(0.95, sen.Exposure/1.01)) * p.meter()
	cx, cy := float64(p.w)/2, float64(p.h)/2
	for j := range p.h {
		for i := range p.w {
			d2 := (math.Pow(float64(i)-cx, 2) + math.Pow(float64(j)-cy, 2)) / (cx*cx + cy*cy)
			g := gain * (1 - sen.Vignette*d2)
			q := 3 * (j*p.w + i)
			for ch := range 3 {
				v := float64(p.v[q+ch]) * g * sen.WhiteGain[ch]
				v += r.normal() * math.Sqrt(sen.NoiseShot*max(v, 0)+sen.NoiseRead*sen.NoiseRead)
				p.v[q+ch] = float32(min(v, 6))
			}
		}
	}
}

// mosaic keeps one colour a pixel (red, green over green, blue) and fills in the others with
// the linear filters of Malvar, He and Cutler, ICASSP 2004.
func (p *plane3) mosaic() {
	raw := make([]float32, p.w*p.h)
	for j := range p.h {
		for i := range p.w {
			raw[j*p.w+i] = p.v[3*(j*p.w+i)+bayer(i, j)]
		}
	}
	at := func(i, j int) float32 {
		if i < 0 {
			i = -i
		}
		if j < 0 {
			j = -j
		}
		if i >= p.w {
			i = 2*p.w - 2 - i
		}
		if j >= p.h {
			j = 2*p.h - 2 - j
		}
		return raw[j*p.w+i]
	}
	for j := range p.h {
		for i := range p.w {
			c := at(i, j)
			l, r, u, d := at(i-1, j), at(i+1, j), at(i, j-1), at(i, j+1)
			ll, rr, uu, dd := at(i-2, j), at(i+2, j), at(i, j-2), at(i, j+2)
			diag := at(i-1, j-1) + at(i+1, j-1) + at(i-1, j+1) + at(i+1, j+1)
			o := p.v[3*(j*p.w+i) : 3*(j*p.w+i)+3]
			switch k := bayer(i, j); k {
			case 1:
				h := (5*c + 4*(l+r) - diag - ll - rr + (uu+dd)/2) / 8
				v := (5*c + 4*(u+d) - diag - uu - dd + (ll+rr)/2) / 8
				o[1] = c
				if j%2 == 0 { // red stands left and right
					o[0], o[2] = h, v
				} else {
					o[0], o[2] = v, h
				}
			default:
				o[k] = c
				o[1] = (4*c + 2*(l+r+u+d) - ll - rr - uu - dd) / 8
				o[2-k] = (6*c + 2*diag - 1.5*(ll+rr+uu+dd)) / 8
			}
		}
	}
}

// bayer is the colour of a mosaic site: 0 red, 1 green, 2 blue.
func bayer(i, j int) int { return i&1 + j&1 }

// settleColour smooths colour, not brightness, as cameras do against the mosaic's fringes.
func (p *plane3) settleColour() {
	diff := &plane3{w: p.w, h: p.h, v: append([]float32(nil), p.v...)}
	for i := 0; i < len(diff.v); i += 3 {
		g := diff.v[i+1]
		diff.v[i], diff.v[i+2] = diff.v[i]-g, diff.v[i+2]-g
		diff.v[i+1] = 0.3*diff.v[i] + 0.1*diff.v[i+2] + g
	}
	bright := make([]float32, p.w*p.h)
	for i := range bright {
		bright[i] = diff.v[3*i+1]
	}
	diff.soften(2.6)
	for i, y := range bright {
		r, b := diff.v[3*i], diff.v[3*i+2]
		g := y - 0.3*r - 0.1*b
		p.v[3*i], p.v[3*i+1], p.v[3*i+2] = g+r, g, g+b
	}
}

// quieten averages neighbours that differ by no more than noise does.
func (p *plane3) quieten(sen *Sensor) {
	src := append([]float32(nil), p.v...)
	luma := func(k int) float32 { return 0.3*src[3*k] + 0.6*src[3*k+1] + 0.1*src[3*k+2] }
	for j := 1; j < p.h-1; j++ {
		for i := 1; i < p.w-1; i++ {
			k := j*p.w + i
			y := luma(k)
			tol := float32(1.8 * math.Sqrt(sen.NoiseShot*max(float64(y), 0)+sen.NoiseRead*sen.NoiseRead))
			var sum [3]float32
			n := float32(0)
			for dj := -p.w; dj <= p.w; dj += p.w {
				for di := -1; di <= 1; di++ {
					q := k + dj + di
					if d := luma(q) - y; d > tol || d < -tol {
						continue
					}
					sum[0], sum[1], sum[2] = sum[0]+src[3*q], sum[1]+src[3*q+1], sum[2]+src[3*q+2]
					n++
				}
			}
			p.v[3*k], p.v[3*k+1], p.v[3*k+2] = sum[0]/n, sum[1]/n, sum[2]/n
		}
	}
}

// sharpen adds back a fraction of what a small blur takes away.
func (p *plane3) sharpen(amount float64) {
	soft := &plane3{w: p.w, h: p.h, v: append([]float32(nil), p.v...)}
	soft.soften(0.9)
	k := float32(amount)
	for i, v := range p.v {
		p.v[i] = v + k*(v-soft.v[i])
	}
}
