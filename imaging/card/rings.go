package card

import (
	"cmp"
	"math"
	"slices"
)

// ring is a dark ring seen in the picture: a candidate for a target. Pixels are those of the
// full picture.
type ring struct {
	x, y float64
	// Second moments of the filled outer ellipse: a disc of radius R has R²/4 in xx and yy.
	xx, xy, yy float64
	full       bool
	quality    float64 // 1 is a perfect ellipse with a perfect hole
	factor     int     // of the level it was seen in
}

// moments of a filled blob: centre, second central moments with the pixels' own 1/12.
func (b *blob) moments() (x, y, xx, xy, yy float64) {
	x, y = b.sx/b.n, b.sy/b.n
	return x, y, b.sxx/b.n - x*x + 1.0/12, b.sxy/b.n - x*y, b.syy/b.n - y*y + 1.0/12
}

// roundness is 1 for a filled ellipse, less for any other shape: area over that of the
// ellipse with the same second moments.
func roundness(n, xx, xy, yy float64) float64 {
	d := xx*yy - xy*xy
	if !(d > 0) {
		return 0
	}
	return n / (4 * math.Pi * math.Sqrt(d))
}

// axesRatio is the smaller over the larger axis of the ellipse.
func axesRatio(xx, xy, yy float64) float64 {
	m, d := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	if !(m > d) {
		return 0
	}
	return math.Sqrt((m - d) / (m + d))
}

// Shape limits of a ring candidate. Printed, hole to ring is 0.64 in diameter and dot to
// ring 0.30; ink gain, blur and the threshold move them. They only weed out candidates: the
// pattern of all targets together decides later. Rendered cards with every kind of trouble are
// found with them, see TestTroubleNeverMisreads.
const (
	minHolePx    = 12.0 // pixels in a hole: below, a ring cannot be told from noise
	minHoleRatio = 0.42
	maxHoleRatio = 0.82
	minDotRatio  = 0.12
	maxDotRatio  = 0.48
	minAxes      = 0.45 // 60 degrees of view angle and some error of small rings
	minRound     = 0.88
	maxRound     = 1.10
	maxOff       = 0.10 // hole's centre from the ring's, in outer diameters
)

// rings appends the ring candidates among the blobs segmented from lv to out. A ring already
// there, from another threshold or level, is replaced if the new one is cleaner.
func (s *segmenter) rings(out []ring, lv *level) []ring {
	for i := range s.blobs {
		d := &s.blobs[i]
		if d.root != int32(i) || !d.dark || d.border || d.largest < 0 || d.largestN < minHolePx {
			continue
		}
		h := &s.blobs[d.largest]
		q := h.n / d.n // area of the hole to the whole
		if q < minHoleRatio*minHoleRatio || q > maxHoleRatio*maxHoleRatio {
			continue
		}
		x, y, xx, xy, yy := d.moments()
		ro := roundness(d.n, xx, xy, yy)
		if ro < minRound || ro > maxRound || axesRatio(xx, xy, yy) < minAxes {
			continue
		}
		hx, hy, hxx, hxy, hyy := h.moments()
		rh := roundness(h.n, hxx, hxy, hyy)
		if rh < minRound-0.06 || rh > maxRound+0.06 || axesRatio(hxx, hxy, hyy) < minAxes-0.1 {
			continue
		}
		diameter := 4 * math.Sqrt((xx+yy)/2)
		if math.Hypot(hx-x, hy-y) > maxOff*diameter+0.3 {
			continue
		}
		k := float64(lv.factor)
		r := ring{x: lv.toFull(x), y: lv.toFull(y), xx: xx * k * k, xy: xy * k * k, yy: yy * k * k, factor: lv.factor}
		r.quality = 1 - math.Abs(1-ro) - math.Abs(1-rh)
		if h.largest >= 0 {
			dot := &s.blobs[h.largest]
			p := math.Sqrt(dot.n / d.n)
			dx, dy := dot.sx/dot.n-x, dot.sy/dot.n-y
			r.full = p > minDotRatio && p < maxDotRatio && math.Hypot(dx, dy) < 0.15*diameter
		}
		out = addRing(out, r)
	}
	return out
}

// addRing appends r unless it is a ring that is there already.
func addRing(out []ring, r ring) []ring {
	for i := range out {
		o := &out[i]
		dx, dy := o.x-r.x, o.y-r.y
		// Two rings of one card are more than 1.8 outer diameters apart.
		if dx*dx+dy*dy < (o.xx + o.yy + r.xx + r.yy) {
			if r.quality > o.quality {
				*o = r
			}
			return out
		}
	}
	return append(out, r)
}

// maxRings bounds the search; a card has 12, and print, holes and swarf add some tens.
const maxRings = 300

// cleanest keeps the maxRings best.
func cleanest(r []ring) []ring {
	if len(r) <= maxRings {
		return r
	}
	slices.SortStableFunc(r, func(a, b ring) int { return cmp.Compare(b.quality, a.quality) })
	return r[:maxRings]
}
