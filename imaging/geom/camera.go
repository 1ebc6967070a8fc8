package geom

import "math"

// Camera is a pinhole with square pixels and one term of radial distortion:
// with X_cam = R X_sheet + T and (x, y) = (X/Z, Y/Z) of it, a point is seen at
// (Cx, Cy) + F g (x, y), g = 1 + K1 (x² + y²).
//
// Source: D. C. Brown, Photogrammetric Engineering 37 (1971) 855-866, first radial term.
type Camera struct {
	FocalPx    float64       // focal length in pixels
	CxPx, CyPx float64       // principal point in pixels
	K1         float64       // radial distortion, no unit
	R          [3][3]float64 // rotation, sheet to camera (camera x right, y down, z forward)
	T          [3]float64    // the sheet's origin in the camera, mm
}

// Project gives the pixel at which the point (x, y) at height zMM over the sheet is seen.
// A point behind the camera gives NaN.
func (c *Camera) Project(p SheetPoint, zMM float64) PxPoint {
	X := c.R[0][0]*p.X + c.R[0][1]*p.Y + c.R[0][2]*zMM + c.T[0]
	Y := c.R[1][0]*p.X + c.R[1][1]*p.Y + c.R[1][2]*zMM + c.T[1]
	Z := c.R[2][0]*p.X + c.R[2][1]*p.Y + c.R[2][2]*zMM + c.T[2]
	if Z <= 0 {
		return PxPoint{math.NaN(), math.NaN()}
	}
	x, y := X/Z, Y/Z
	g := c.FocalPx * (1 + c.K1*(x*x+y*y))
	return PxPoint{c.CxPx + g*x, c.CyPx + g*y}
}

// ToSheet gives the point at height zMM over the sheet that is seen at p.
// A ray that does not meet that plane in front of the camera gives NaN.
func (c *Camera) ToSheet(p PxPoint, zMM float64) SheetPoint {
	xd, yd := (p.U-c.CxPx)/c.FocalPx, (p.V-c.CyPx)/c.FocalPx
	x, y := xd, yd
	// The distortion is small (|K1| r² below 0.1), so plain iteration gains a digit or
	// more a round: 8 rounds leave less than 1e-9 of a focal length.
	for range 8 {
		g := 1 + c.K1*(x*x+y*y)
		x, y = xd/g, yd/g
	}
	// Ray direction and origin in the sheet frame: Rᵀ (x, y, 1) from the centre.
	dx := c.R[0][0]*x + c.R[1][0]*y + c.R[2][0]
	dy := c.R[0][1]*x + c.R[1][1]*y + c.R[2][1]
	dz := c.R[0][2]*x + c.R[1][2]*y + c.R[2][2]
	cx, cy, cz := c.Centre()
	s := (zMM - cz) / dz
	if !(s > 0) {
		return SheetPoint{math.NaN(), math.NaN()}
	}
	return SheetPoint{cx + s*dx, cy + s*dy}
}

// Centre gives the camera's centre in sheet millimetres; z is its height over the sheet.
func (c *Camera) Centre() (x, y, z float64) {
	x = -(c.R[0][0]*c.T[0] + c.R[1][0]*c.T[1] + c.R[2][0]*c.T[2])
	y = -(c.R[0][1]*c.T[0] + c.R[1][1]*c.T[1] + c.R[2][1]*c.T[2])
	z = -(c.R[0][2]*c.T[0] + c.R[1][2]*c.T[1] + c.R[2][2]*c.T[2])
	return x, y, z
}

// ViewSlope gives d = (p - foot of the camera) / height of the camera: a point at height z
// over p is seen, to first order in z, where the sheet's point p + z d is seen. So |d| is
// the tangent of the view angle at p, and d points away from the camera's foot.
func (c *Camera) ViewSlope(p SheetPoint) SheetPoint {
	cx, cy, cz := c.Centre()
	return SheetPoint{(p.X - cx) / cz, (p.Y - cy) / cz}
}

// PxPerMM gives the scale at p on the plane at height zMM: the mean over directions, px per mm.
func (c *Camera) PxPerMM(p SheetPoint, zMM float64) float64 {
	const h = 0.5
	a, b := c.Project(SheetPoint{p.X - h, p.Y}, zMM), c.Project(SheetPoint{p.X + h, p.Y}, zMM)
	e, f := c.Project(SheetPoint{p.X, p.Y - h}, zMM), c.Project(SheetPoint{p.X, p.Y + h}, zMM)
	ux, uy := b.U-a.U, b.V-a.V
	vx, vy := f.U-e.U, f.V-e.V
	return math.Sqrt(math.Abs(ux*vy - uy*vx))
}

// TiltDeg is the angle between the camera's axis and the sheet's normal, in degrees.
func (c *Camera) TiltDeg() float64 {
	return math.Acos(math.Min(1, math.Abs(c.R[2][2]))) * 180 / math.Pi
}
