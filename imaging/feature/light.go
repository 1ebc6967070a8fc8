package feature

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// photoLevel is the photo's light at full size or averaged down.
type photoLevel struct {
	*raster.Grey
	scale float64 // pixels a pixel of the photo
}

// half averages the level down to the next one, on all cores.
func (y photoLevel) half() photoLevel {
	h := raster.NewGrey(y.W/2, y.H/2)
	shareOut(h.H, func(j0, j1 int) { y.HalfRows(h, j0, j1) })
	return photoLevel{h, y.scale / 2}
}

// of gives the level's pixel for the photo's pixel p.
func (y photoLevel) of(p geom.PxPoint) geom.PxPoint {
	return geom.PxPoint{U: (p.U+0.5)*y.scale - 0.5, V: (p.V+0.5)*y.scale - 0.5}
}

func between(a, b geom.PxPoint, t float64) geom.PxPoint {
	return geom.PxPoint{U: a.U + t*(b.U-a.U), V: a.V + t*(b.V-a.V)}
}

// holds tells whether p lies at least a pixel inside the picture.
func (y photoLevel) holds(p geom.PxPoint) bool {
	return p.U >= 1 && p.V >= 1 && p.U <= float64(y.W-2) && p.V <= float64(y.H-2)
}

// lightUnit is full light in what addRow adds: 12 rows of it fit an int32.
const lightUnit = 1 << 24

// lightTable turns luma into linear light, full light being 2^16.
var lightTable = func() (t [256]int64) {
	for i, x := range raster.Linear {
		t[i] = int64(math.Round(float64(x) * (1 << 16)))
	}
	return t
}()

// addRow adds to row the linear light at len(row) places from a to b, which the picture holds.
func (y photoLevel) addRow(row []int32, a, b geom.PxPoint) {
	const bits = 24 // of a pixel; light takes the upper 8 of them
	n := float64(len(row) - 1)
	u, v := int64(a.U*(1<<bits)), int64(a.V*(1<<bits))
	du, dv := int64((b.U-a.U)/n*(1<<bits)), int64((b.V-a.V)/n*(1<<bits))
	pix, w := y.Pix, y.W
	for i := range row {
		at := int(v>>bits)*w + int(u>>bits)
		fu, fv := u>>(bits-8)&255, v>>(bits-8)&255
		p, q := pix[at:at+2:at+2], pix[at+w:at+w+2:at+w+2]
		c, d := lightTable[p[0]], lightTable[q[0]]
		c = c<<8 + (lightTable[p[1]]-c)*fu
		d = d<<8 + (lightTable[q[1]]-d)*fu
		row[i] += int32((c<<8 + (d-c)*fv) >> 8)
		u += du
		v += dv
	}
}
