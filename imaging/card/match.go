package card

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// Sight tells how a target of the layout shows in the picture.
type Sight uint8

const (
	Hidden     Sight = iota // something covers it, or glare or shade swallow it
	Seen                    // a ring of the right kind, most of it
	OtherKind               // a ring, but with a dot where there should be none or the other way round
	Blank                   // bare paper where the ring should be
	OutOfFrame              // beyond the picture's border
)

// TargetMatch is one target of the layout in the picture.
type TargetMatch struct {
	Index    int // in Layout.Targets
	Sight    Sight
	CentrePx geom.PxPoint // found where seen, else predicted; good to about half a pixel
	// Rough image of the outer ring: half axes in pixels and the direction of the major one,
	// from u toward v.
	MajorPx, MinorPx, AngleRad float64
}

// Match is a card found in a picture. Its geometry is rough, without lens or thickness.
type Match struct {
	Layout  *Layout
	Targets []TargetMatch // one for each target of the layout, in its order
	H       fit.H         // printed card millimetres to px
	RMSMM   float64       // residual of the targets against H, printed millimetres
	PxPerMM float64       // at the middle of the seen targets
	// Rough tilt of the camera's axis against the card's normal, by a usual focal length.
	TiltDeg float64
	// Unit vector in the picture toward which the card comes nearer to the camera.
	NearerPx geom.PxPoint
}

// SeenCount gives how many targets are seen.
func (m *Match) SeenCount() int {
	n := 0
	for _, t := range m.Targets {
		if t.Sight == Seen {
			n++
		}
	}
	return n
}

// ToPx maps a printed point by the rough homography.
func (m *Match) ToPx(p geom.CardPoint) geom.PxPoint {
	q := m.H.Apply(fit.Point(p))
	return geom.PxPoint{U: q.X, V: q.Y}
}

// OutlinePx gives the card's outline in the picture.
func (m *Match) OutlinePx() []geom.PxPoint {
	var out []geom.PxPoint
	for _, p := range m.Layout.Outline {
		out = append(out, m.ToPx(p))
	}
	return out
}

// finish fills scale, tilt, ellipses from the homography. focalPx is a rough focal length,
// the picture's middle the principal point.
func (m *Match) finish(w, h int, focalPx float64) {
	var c geom.CardPoint
	n := 0.0
	for _, t := range m.Targets {
		if t.Sight == Seen {
			at := m.Layout.Targets[t.Index].At
			c.X, c.Y, n = c.X+at.X, c.Y+at.Y, n+1
		}
	}
	if n > 0 {
		c.X, c.Y = c.X/n, c.Y/n
	}
	ux, uy, vx, vy := m.H.Jacobian(fit.Point(c))
	m.PxPerMM = math.Sqrt(math.Abs(ux*vy - uy*vx))
	for i := range m.Targets {
		t := &m.Targets[i]
		ux, uy, vx, vy := m.H.Jacobian(fit.Point(m.Layout.Targets[t.Index].At))
		r2 := RingOuterRadiusMM * RingOuterRadiusMM
		xx, xy, yy := (ux*ux+uy*uy)*r2, (ux*vx+uy*vy)*r2, (vx*vx+vy*vy)*r2
		mid, d := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
		t.MajorPx, t.MinorPx = math.Sqrt(mid+d), math.Sqrt(math.Max(0, mid-d))
		t.AngleRad = math.Atan2(2*xy, xx-yy) / 2
	}
	// Columns of K⁻¹H span the card's plane in the camera; their cross product is its normal.
	cx, cy := float64(w-1)/2, float64(h-1)/2
	col := func(k int) [3]float64 {
		z := m.H[6+k]
		return [3]float64{(m.H[k] - cx*z) / focalPx, (m.H[3+k] - cy*z) / focalPx, z}
	}
	a, b := col(0), col(1)
	nx, ny, nz := a[1]*b[2]-a[2]*b[1], a[2]*b[0]-a[0]*b[2], a[0]*b[1]-a[1]*b[0]
	l := math.Sqrt(nx*nx + ny*ny + nz*nz)
	m.TiltDeg = math.Acos(math.Min(1, math.Abs(nz)/l)) * 180 / math.Pi
	// Depth falls along the picture's direction in which the plane's normal points away
	// from the axis: on the plane n.X = const > 0, so depth grows against (nx, ny)/nz.
	if s := math.Hypot(nx, ny); s > 0 {
		if nz < 0 {
			s = -s
		}
		m.NearerPx = geom.PxPoint{U: nx / s, V: ny / s}
	}
}
