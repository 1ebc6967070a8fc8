// Package cardtest draws cards for tests: in go a known camera and a layout, out comes the picture.
// Lengths are mm, places on the sheet and pixels as in package geom.
package cardtest

import (
	"math"
	"math/rand"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// Drawing is a card drawn for a test: rings on white paper on a grey sheet, by a camera that is known.
type Drawing struct {
	Cam     geom.Camera
	Layout  *card.Layout
	Scale   [2]float64 // of the print along the card's x and y
	ThickMM float64
	GainMM  float64                        // by which ink spreads on each border
	BlurPx  float64                        // standard deviation
	Noise   float64                        // grey levels
	W, H    int                            // px
	Surface func(p geom.CardPoint) float64 // height of the paper over its flat place, mm
	Piece   *Piece                         // nil: no circles lie beside it
}

// Piece is where the piece with the circles lies: its top left corner on the sheet, turned by AngleRad
// against the card; and how far its face lies above the card's.
type Piece struct {
	At       geom.SheetPoint
	AngleRad float64
	RaisedMM float64
}

// on gives a point of the sheet as printed on the piece.
func (p *Piece) on(q geom.SheetPoint, scale [2]float64) geom.CardPoint {
	sn, cs := math.Sincos(p.AngleRad)
	q = q.Sub(p.At)
	return geom.CardPoint{X: (q.X*cs + q.Y*sn) / scale[0], Y: -(q.Y*cs - q.X*sn) / scale[1]}
}

// Sheet gives where a printed point of the piece lies on the sheet.
func (p *Piece) Sheet(q geom.CardPoint, scale [2]float64) geom.SheetPoint {
	sn, cs := math.Sincos(p.AngleRad)
	x, y := q.X*scale[0], -q.Y*scale[1]
	return p.At.Add(geom.SheetPoint{X: x*cs - y*sn, Y: x*sn + y*cs})
}

// ink gives the fraction of ink at p.
func (d *Drawing) ink(p geom.CardPoint) bool {
	for _, t := range d.Layout.Targets {
		if math.Abs(p.X-t.At.X) > 3 || math.Abs(p.Y-t.At.Y) > 3 {
			continue
		}
		r := math.Hypot(p.X-t.At.X, p.Y-t.At.Y)
		if r < card.RingOuterRadiusMM+d.GainMM && r > card.RingInnerRadiusMM-d.GainMM || t.Full && r < card.DotRadiusMM+d.GainMM {
			return true
		}
	}
	return false
}

// circle tells whether there is ink at a printed point of the piece.
func (d *Drawing) circle(p geom.CardPoint) bool {
	for _, c := range card.Circles {
		outer, inner := c.Radii()
		if r := math.Hypot(p.X-c.At.X, p.Y-c.At.Y); r < outer+d.GainMM && r > inner-d.GainMM {
			return true
		}
	}
	return false
}

// light gives the linear light seen at pixel position (u, v).
func (d *Drawing) light(u, v float64) float64 {
	if p := d.Piece; p != nil {
		q := p.on(d.Cam.ToSheet(geom.PxPoint{U: u, V: v}, d.ThickMM+p.RaisedMM), d.Scale)
		if q.X > 0 && q.Y > 0 && q.X < card.CirclesWidthMM && q.Y < card.CirclesHeightMM {
			if d.circle(q) {
				return 0.03
			}
			return 0.6
		}
	}
	z := d.ThickMM
	var p geom.CardPoint
	for range 4 { // the paper's height where the ray meets it
		s := d.Cam.ToSheet(geom.PxPoint{U: u, V: v}, z)
		p = geom.CardPoint{X: s.X / d.Scale[0], Y: -s.Y / d.Scale[1]}
		if d.Surface == nil {
			break
		}
		z = d.ThickMM + d.Surface(p)
	}
	switch {
	case !(d.Layout.DepthMM(p) > 0):
		return 0.25
	case d.ink(p):
		return 0.03
	}
	return 0.6
}

// Draw paints it; rng makes the noise.
func (d *Drawing) Draw(rng *rand.Rand) *raster.Picture {
	light := make([]float64, d.W*d.H)
	const sub = 4
	// Light at the pixels' corners; only pixels with unlike corners are sampled finer.
	above, below := make([]float64, d.W+1), make([]float64, d.W+1)
	corners := func(row []float64, y int) {
		for x := range row {
			row[x] = d.light(float64(x)-0.5, float64(y)-0.5)
		}
	}
	corners(below, 0)
	for y := 0; y < d.H; y++ {
		above, below = below, above
		corners(below, y+1)
		for x := 0; x < d.W; x++ {
			first := above[x]
			if first == above[x+1] && first == below[x] && first == below[x+1] {
				light[y*d.W+x] = first
				continue
			}
			sum := 0.0
			for k := 0; k < sub*sub; k++ {
				sum += d.light(float64(x)+(float64(k%sub)+0.5)/sub-0.5, float64(y)+(float64(k/sub)+0.5)/sub-0.5)
			}
			light[y*d.W+x] = sum / (sub * sub)
		}
	}
	if d.BlurPx > 0 {
		r := int(3*d.BlurPx) + 1
		kernel := make([]float64, 2*r+1)
		total := 0.0
		for k := range kernel {
			e := float64(k-r) / d.BlurPx
			kernel[k] = math.Exp(-e * e / 2)
			total += kernel[k]
		}
		for pass := 0; pass < 2; pass++ {
			next := make([]float64, len(light))
			for y := 0; y < d.H; y++ {
				for x := 0; x < d.W; x++ {
					sum := 0.0
					for k, f := range kernel {
						u, v := x, y
						if pass == 0 {
							u = min(max(x+k-r, 0), d.W-1)
						} else {
							v = min(max(y+k-r, 0), d.H-1)
						}
						sum += f * light[v*d.W+u]
					}
					next[y*d.W+x] = sum / total
				}
			}
			light = next
		}
	}
	g := raster.NewGrey(d.W, d.H)
	for i, l := range light {
		s := 12.92 * l
		if l > 0.0031308 {
			s = 1.055*math.Pow(l, 1/2.4) - 0.055
		}
		g.Pix[i] = uint8(math.Max(0, math.Min(255, 255*s+d.Noise*rng.NormFloat64()+0.5)))
	}
	return &raster.Picture{Y: g, ChromaX: 1, ChromaY: 1}
}

// Look gives a camera tilted by tilt about the sheet's direction az, turned by roll about
// its axis, that sees the layout's middle in the picture's middle from distance mm.
func Look(l *card.Layout, f, tiltDeg, az, roll, distance float64, w, h int) geom.Camera {
	a := turn([3]float64{math.Cos(az), math.Sin(az), 0}, tiltDeg*math.Pi/180)
	b := turn([3]float64{0, 0, 1}, roll)
	down := [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}
	c := geom.Camera{FocalPx: f, CxPx: float64(w-1) / 2, CyPx: float64(h-1) / 2, R: mul(b, mul(a, down))}
	mid := Middle(l)
	for i := range c.T {
		c.T[i] = -c.R[i][0]*mid.X - c.R[i][1]*mid.Y
	}
	c.T[2] += distance
	return c
}

// turn is a rotation about a unit axis, by Rodrigues' formula.
func turn(n [3]float64, rad float64) (r [3][3]float64) {
	sn, cs := math.Sincos(rad)
	k := [3][3]float64{{0, -n[2], n[1]}, {n[2], 0, -n[0]}, {-n[1], n[0], 0}}
	kk := mul(k, k)
	for i := range r {
		for j := range r {
			r[i][j] = sn*k[i][j] + (1-cs)*kk[i][j]
		}
		r[i][i]++
	}
	return r
}

func mul(a, b [3][3]float64) (c [3][3]float64) {
	for i := range c {
		for j := range c {
			for k := range c {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return c
}

// Middle of the layout's targets on the sheet.
func Middle(l *card.Layout) (m geom.SheetPoint) {
	for _, t := range l.Targets {
		m.X += t.At.X / float64(len(l.Targets))
		m.Y -= t.At.Y / float64(len(l.Targets))
	}
	return m
}
