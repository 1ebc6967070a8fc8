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
	if sen.Sharpen > 0 {
		p.sharpen(sen.Sharpen)
	}
	out := image.NewRGBA(image.Rect(0, 0, p.w, p.h))
	for i := range p.w * p.h {
		for k := range 3 {
			out.Pix[4*i+k] = encodeSRGB(float64(p.v[3*i+k]))
		}
		out.Pix[4*i+3] = 255
	}
	return out
}

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
				x := math.Max(0, math.Min(float64(p.w-2), float64(i)+a*c))
				y := math.Max(0, math.Min(float64(p.h-2), float64(j)+a*s))
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

// expose scales the light as an automatic exposure would, darkens the corners and adds
// noise. 1 is then the clipping level.
func (p *plane3) expose(sen *Sensor, r *random) {
	var luma []float64
	for i := 0; i < p.w*p.h; i += 37 {
		luma = append(luma, 0.25*float64(p.v[3*i])+0.65*float64(p.v[3*i+1])+0.1*float64(p.v[3*i+2]))
	}
	sort.Float64s(luma)
	mean := 0.0
	for _, v := range luma {
		mean += math.Min(v, luma[len(luma)*9/10])
	}
	mean /= float64(len(luma))
	gain := sen.Exposure * math.Min(0.165/mean, 1.05/luma[len(luma)*97/100])
	cx, cy := float64(p.w)/2, float64(p.h)/2
	for j := range p.h {
		for i := range p.w {
			d2 := (math.Pow(float64(i)-cx, 2) + math.Pow(float64(j)-cy, 2)) / (cx*cx + cy*cy)
			g := gain * (1 - sen.Vignette*d2)
			q := 3 * (j*p.w + i)
			for ch := range 3 {
				v := float64(p.v[q+ch]) * g * sen.WhiteGain[ch]
				v += r.normal() * math.Sqrt(sen.NoiseShot*math.Max(v, 0)+sen.NoiseRead*sen.NoiseRead)
				p.v[q+ch] = float32(math.Min(v, 1.02))
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

// sharpen adds back a share of what a small blur takes away.
func (p *plane3) sharpen(amount float64) {
	soft := &plane3{p.w, p.h, append([]float32(nil), p.v...)}
	soft.soften(0.9)
	k := float32(amount)
	for i, v := range p.v {
		p.v[i] = v + k*(v-soft.v[i])
	}
}
