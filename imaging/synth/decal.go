package synth

import "math"

// decal is a coverage picture laid on a plane: how much of each spot is inked, 0 to 255.
type decal struct {
	x0, y0, perMM float64
	w, h          int
	cover         []uint8
}

func newDecal(x0, y0, x1, y1, perMM float64) *decal {
	w, h := int((x1-x0)*perMM)+1, int((y1-y0)*perMM)+1
	return &decal{x0, y0, perMM, w, h, make([]uint8, w*h)}
}

// at interpolates the coverage, 0 to 1.
func (d *decal) at(x, y float64) float64 {
	fx, fy := (x-d.x0)*d.perMM-0.5, (y-d.y0)*d.perMM-0.5
	i, j := int(math.Floor(fx)), int(math.Floor(fy))
	if i < 0 || j < 0 || i >= d.w-1 || j >= d.h-1 {
		return 0
	}
	c := d.cover[j*d.w+i:]
	if c[0]|c[1]|c[d.w]|c[d.w+1] == 0 {
		return 0
	}
	a, b := fx-float64(i), fy-float64(j)
	p := float64(c[0]) + (float64(c[1])-float64(c[0]))*a
	q := float64(c[d.w]) + (float64(c[d.w+1])-float64(c[d.w]))*a
	return (p + (q-p)*b) / 255
}

// stroke inks a straight line of the given width; strength and its fading toward the
// second end are 0 to 1. ragged makes the ink patchy.
func (d *decal) stroke(x0, y0, x1, y1, width, strength, fade float64, ragged float64, noise *tile) {
	r := width / 2
	soft := 0.6 / d.perMM
	lx, ly := x1-x0, y1-y0
	l2 := max(lx*lx+ly*ly, 1e-9)
	i0 := max(0, int((min(x0, x1)-r-soft-d.x0)*d.perMM))
	i1 := min(d.w-1, int((max(x0, x1)+r+soft-d.x0)*d.perMM)+1)
	j0 := max(0, int((min(y0, y1)-r-soft-d.y0)*d.perMM))
	j1 := min(d.h-1, int((max(y0, y1)+r+soft-d.y0)*d.perMM)+1)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			x, y := d.x0+(float64(i)+0.5)/d.perMM, d.y0+(float64(j)+0.5)/d.perMM
			s := max(0, min(1, ((x-x0)*lx+(y-y0)*ly)/l2))
			dist := math.Hypot(x-x0-s*lx, y-y0-s*ly) - r
			c := max(0, min(1, 0.5-dist/(2*soft)))
			if c == 0 {
				continue
			}
			c *= strength * (1 - fade*s)
			if ragged > 0 {
				c *= max(0, min(1.15, 1+ragged*(0.5*noise.at(x*3.1, y*3.1)+0.4*noise.at(x*9.3, y*9.3))))
			}
			v := uint8(min(255, c*255))
			if p := &d.cover[j*d.w+i]; v > *p {
				*p = v
			}
		}
	}
}

// write inks text with its lower left at (x, y), running along the angle.
func (d *decal) write(text string, x, y, size, angleRad, width, strength, ragged float64, noise *tile) {
	s, c := math.Sincos(angleRad)
	textStrokes(text, size, func(ax, ay, bx, by float64) {
		d.stroke(x+ax*c-ay*s, y+ax*s+ay*c, x+bx*c-by*s, y+bx*s+by*c, width, strength, 0, ragged, noise)
	})
}
