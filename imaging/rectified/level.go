package rectified

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// Level is the photo's light at full size or averaged down.
type Level struct {
	*raster.Grey
	Scale float64 // pixels a pixel of the photo
}

// LevelOf gives the light of pic halved so many times.
func LevelOf(pic *raster.Picture, halved int) Level {
	return Level{pic.Level(halved), 1 / float64(int(1)<<halved)}
}

// LevelFor gives the light of pic halved, four times at most, until stepPx pixels of the full
// picture are no more than limit pixels of it.
func LevelFor(pic *raster.Picture, stepPx, limit float64) Level {
	halved := 0
	for scale := 1.0; stepPx*scale > limit && halved < 4; scale /= 2 {
		halved++
	}
	return LevelOf(pic, halved)
}

// Pixel gives the level's pixel for the photo's pixel p.
func (y Level) Pixel(p geom.PxPoint) geom.PxPoint {
	return geom.PxPoint{U: (p.U+0.5)*y.Scale - 0.5, V: (p.V+0.5)*y.Scale - 0.5}
}

// Light gives the linear light, 0 to 1, at the photo's pixel p.
func (y Level) Light(p geom.PxPoint) float64 {
	at := y.Pixel(p)
	return y.SampleLinear(at.U, at.V)
}

// Holds tells whether p lies at least a pixel inside the picture.
func (y Level) Holds(p geom.PxPoint) bool {
	return p.U >= 1 && p.V >= 1 && p.U <= float64(y.W-2) && p.V <= float64(y.H-2)
}

// LightUnit is full light in what addRow adds: 12 rows of it fit an int32.
const LightUnit = 1 << 24

// lightTable turns luma into linear light, full light being 2^16, and lightTableHigh into that
// in the upper half of the word.
var lightTable, lightTableHigh = func() (t, high [256]int64) {
	for i, x := range raster.Linear {
		t[i] = int64(math.Round(float64(x) * (1 << 16)))
		high[i] = t[i] << 32
	}
	return t, high
}()

// AddRow adds to row the linear light at len(row) places, of which n lie from a to b and the
// last is b. The picture holds both.
func (y Level) AddRow(row []int32, a, b geom.PxPoint, n int) {
	const bits = 24 // of a pixel; light takes the upper 8 of them
	u, v := int64(a.U*(1<<bits)), int64(a.V*(1<<bits))
	du, dv := int64((b.U-a.U)/float64(n-1)*(1<<bits)), int64((b.V-a.V)/float64(n-1)*(1<<bits))
	w := y.W
	upper, lower := y.Pix, y.Pix[w:]
	for i := range row {
		at := int(v>>bits)*w + int(u>>bits)
		p, q := upper[at:at+2:at+2], lower[at:at+2:at+2]
		// Both rows go in one word, the lower in its upper half: what they sum to is never
		// below nought, so neither borrows from the other.
		left, right := lightTable[p[0]]+lightTableHigh[q[0]], lightTable[p[1]]+lightTableHigh[q[1]]
		both := left<<8 + (right-left)*(u>>(bits-8)&255)
		c, d := both&0xffffffff, both>>32
		row[i] += int32((c<<8 + (d-c)*(v>>(bits-8)&255)) >> 8)
		u += du
		v += dv
	}
}
