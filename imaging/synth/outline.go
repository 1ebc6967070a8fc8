package synth

import "math"

// outline is a convex plane figure with rounded corners, run counterclockwise.
type outline struct {
	lines   []line2   // outward normals and offsets: n.p - d is the distance outside
	corners []corner2 // one for each corner, between line i-1 and line i
	a, b    []vec     // ends of the straight part of each side (z unused)
	x0, y0  float64   // bounds
	x1, y1  float64
}

type line2 struct{ nx, ny, d float64 }

type corner2 struct {
	cx, cy, r float64
	tx0, ty0  float64 // directions that bound the corner's wedge, along the sides
	tx1, ty1  float64
	vx, vy    float64
}

// newOutline makes the outline of a polygon with one corner radius for each vertex.
func newOutline(pts [][2]float64, radii []float64) *outline {
	n := len(pts)
	o := &outline{x0: math.Inf(1), y0: math.Inf(1), x1: math.Inf(-1), y1: math.Inf(-1)}
	dir := make([][2]float64, n)
	for i := range pts {
		p, q := pts[i], pts[(i+1)%n]
		l := math.Hypot(q[0]-p[0], q[1]-p[1])
		u := [2]float64{(q[0] - p[0]) / l, (q[1] - p[1]) / l}
		dir[i] = u
		nx, ny := u[1], -u[0]
		o.lines = append(o.lines, line2{nx, ny, nx*p[0] + ny*p[1]})
		o.x0, o.x1 = min(o.x0, p[0]), max(o.x1, p[0])
		o.y0, o.y1 = min(o.y0, p[1]), max(o.y1, p[1])
	}
	cut := make([]float64, n)
	for i := range pts {
		u, v := dir[(i+n-1)%n], dir[i]
		turn := math.Acos(max(-1, min(1, u[0]*v[0]+u[1]*v[1])))
		r := radii[i]
		cut[i] = r * math.Tan(turn/2)
		in := o.lines[i]
		// The rounding's centre lies r inside both sides.
		px, py := pts[i][0]+v[0]*cut[i], pts[i][1]+v[1]*cut[i]
		o.corners = append(o.corners, corner2{
			cx: px - in.nx*r, cy: py - in.ny*r, r: r,
			tx0: u[0], ty0: u[1], tx1: v[0], ty1: v[1], vx: pts[i][0], vy: pts[i][1],
		})
	}
	for i := range pts {
		j := (i + 1) % n
		u := dir[i]
		o.a = append(o.a, vec{pts[i][0] + u[0]*cut[i], pts[i][1] + u[1]*cut[i], 0})
		o.b = append(o.b, vec{pts[j][0] - u[0]*cut[j], pts[j][1] - u[1]*cut[j], 0})
	}
	return o
}

// dist is the signed distance to the outline, negative inside.
func (o *outline) dist(x, y float64) float64 {
	for i := range o.corners {
		c := &o.corners[i]
		dx, dy := x-c.cx, y-c.cy
		// Beyond the end of the side before and before the start of the side after.
		if dx*c.tx0+dy*c.ty0 > 0 && dx*c.tx1+dy*c.ty1 < 0 {
			if r := math.Hypot(dx, dy); r > 0 {
				return r - c.r
			}
		}
	}
	m := math.Inf(-1)
	for i := range o.lines {
		l := &o.lines[i]
		m = max(m, l.nx*x+l.ny*y-l.d)
	}
	return m
}
