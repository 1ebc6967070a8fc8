package synth

import (
	"image"
	"math"
)

// Processing is what a phone and those who pass its pictures on do to them, beyond Sensor.
// The zero value is not used: only workshop scenes have it.
type Processing struct {
	Gain       float64 // of the light, so that all windows of a scene come out alike
	Shrunk     float64 // how many sensor pixels went into one of the picture, along a side
	Denoise    float64 // differences of brightness below this, of 1, are smoothed away
	Local      float64 // how much small differences of brightness are raised
	Lift       float64 // how much dark parts are lifted and bright ones held down
	Contrast   float64 // fraction of an S curve
	Black      float64 // brightness, of 1, that comes out black
	Stretch    float64 // and how much what lies above is stretched; 0 is taken as 1
	Saturation float64
	HaloPx     float64 // sharpening: its reach
	Halo       float64 // and strength
	Earlier    []int   // JPEG qualities that the picture went through before the last
}

// process turns linear light into the picture that a phone would keep, upright.
func (p *plane3) process(s *Scene) *image.RGBA {
	sen, pr := &s.Sensor, &s.Processing
	r := newRandom(s.Seed ^ 0xd1e5 ^ uint64(int(s.Camera.CxPx))<<20)
	if sen.MotionPx > 0 {
		p.smear(sen.MotionPx, sen.MotionDeg*math.Pi/180)
	}
	if sen.SoftPx > 0 {
		p.soften(sen.SoftPx)
	}
	p.gather(s, r)
	if pr.Shrunk < 1.4 {
		p.mosaic()
		p.settleColour()
	}
	for i, v := range p.v {
		p.v[i] = float32(gammaOf(shoulder(math.Max(0, float64(v)))))
	}
	if pr.Stretch > 0 {
		b, k := float32(pr.Black), float32(pr.Stretch)
		for i, v := range p.v {
			p.v[i] = max(0, (v-b)*k)
		}
	}
	if pr.Denoise > 0 {
		p.smooth(float32(pr.Denoise))
	}
	if pr.Local > 0 || pr.Lift > 0 {
		p.level(math.Max(6, 0.03*s.Camera.FocalPx), float32(pr.Local), float32(pr.Lift))
	}
	if pr.Halo > 0 {
		p.halo(pr.HaloPx, float32(pr.Halo))
	}
	out := image.NewRGBA(image.Rect(0, 0, p.w, p.h))
	k, sat := float32(pr.Contrast), float32(pr.Saturation)
	for i := range p.w * p.h {
		c := p.v[3*i : 3*i+3]
		y := lumaOf(c)
		for ch := range 3 {
			v := y + sat*(c[ch]-y)
			v = min(max(v, 0), 1)
			v += k * (v*v*(3-2*v) - v)
			out.Pix[4*i+ch] = uint8(v*255 + 0.5)
		}
		out.Pix[4*i+3] = 255
	}
	return out
}

func lumaOf(c []float32) float32 { return 0.3*c[0] + 0.6*c[1] + 0.1*c[2] }

// gammaOf is the transfer function of IEC 61966-2-1 without rounding.
func gammaOf(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(math.Min(v, 1), 1/2.4) - 0.055
}

// gather scales the light by the scene's gain, darkens what lies off the lens's axis and
// adds noise.
func (p *plane3) gather(s *Scene, r *random) {
	sen, gain := &s.Sensor, s.Processing.Gain
	shot, read := sen.NoiseShot, sen.NoiseRead*sen.NoiseRead
	for j := range p.h {
		y := (float64(j) - s.Camera.CyPx) / s.Camera.FocalPx
		for i := range p.w {
			x := (float64(i) - s.Camera.CxPx) / s.Camera.FocalPx
			g := gain * (1 - sen.Vignette*math.Min(1, 1.6*(x*x+y*y)))
			q := 3 * (j*p.w + i)
			for ch := range 3 {
				v := float64(p.v[q+ch]) * g * sen.WhiteGain[ch]
				v += r.normal() * math.Sqrt(shot*math.Max(v, 0)+read)
				p.v[q+ch] = float32(math.Min(v, 6))
			}
		}
	}
}

// smooth averages neighbours whose brightness differs by less than about tol: it takes fine
// texture with the noise, and leaves strong edges.
func (p *plane3) smooth(tol float32) {
	src := append([]float32(nil), p.v...)
	luma := make([]float32, p.w*p.h)
	for i := range luma {
		luma[i] = lumaOf(src[3*i:])
	}
	const reach = 2
	for j := range p.h {
		for i := range p.w {
			k := j*p.w + i
			var sum [3]float32
			var total float32
			for dj := -reach; dj <= reach; dj++ {
				for di := -reach; di <= reach; di++ {
					x, y := i+di, j+dj
					if x < 0 || y < 0 || x >= p.w || y >= p.h {
						continue
					}
					q := y*p.w + x
					d := (luma[q] - luma[k]) / tol
					g := 1 / (1 + d*d)
					g *= g
					sum[0] += g * src[3*q]
					sum[1] += g * src[3*q+1]
					sum[2] += g * src[3*q+2]
					total += g
				}
			}
			p.v[3*k], p.v[3*k+1], p.v[3*k+2] = sum[0]/total, sum[1]/total, sum[2]/total
		}
	}
}

// level raises small differences and evens out large ones: brightness is split into the mean
// over about reach pixels and the rest.
func (p *plane3) level(reach float64, local, lift float32) {
	step := max(1, int(reach/6))
	small := &plane3{w: (p.w + step - 1) / step, h: (p.h + step - 1) / step}
	small.v = make([]float32, 3*small.w*small.h)
	count := make([]float32, small.w*small.h)
	for j := range p.h {
		for i := range p.w {
			q := j/step*small.w + i/step
			small.v[3*q] += lumaOf(p.v[3*(j*p.w+i):])
			count[q]++
		}
	}
	for q, n := range count {
		small.v[3*q] /= n
	}
	small.soften(reach / 2 / float64(step))
	at := func(i, j int) float32 {
		return small.v[3*(min(max(j, 0), small.h-1)*small.w+min(max(i, 0), small.w-1))]
	}
	for j := range p.h {
		y := (float64(j)+0.5)/float64(step) - 0.5
		y0 := int(math.Floor(y))
		fy := float32(y - float64(y0))
		for i := range p.w {
			x := (float64(i)+0.5)/float64(step) - 0.5
			x0 := int(math.Floor(x))
			fx := float32(x - float64(x0))
			base := (at(x0, y0)*(1-fx)+at(x0+1, y0)*fx)*(1-fy) + (at(x0, y0+1)*(1-fx)+at(x0+1, y0+1)*fx)*fy
			c := p.v[3*(j*p.w+i) : 3*(j*p.w+i)+3]
			l := max(lumaOf(c), 1e-3)
			k := max(0.2, (base+lift*(0.5-base)+(1+local)*(l-base))/l)
			k = min(k, 4)
			c[0], c[1], c[2] = c[0]*k, c[1]*k, c[2]*k
		}
	}
}

// halo sharpens brightness so that strong edges get a bright and a dark seam.
func (p *plane3) halo(reach float64, amount float32) {
	soft := &plane3{w: p.w, h: p.h, v: append([]float32(nil), p.v...)}
	soft.soften(reach)
	for i := range p.w * p.h {
		c := p.v[3*i : 3*i+3]
		d := amount * (lumaOf(c) - lumaOf(soft.v[3*i:3*i+3]))
		d = min(max(d, -0.16), 0.16)
		c[0], c[1], c[2] = c[0]+d, c[1]+d, c[2]+d
	}
}
