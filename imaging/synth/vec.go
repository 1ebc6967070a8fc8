package synth

import "math"

// vec is a point or direction of the sheet frame in millimetres.
type vec struct{ x, y, z float64 }

func (a vec) add(b vec) vec           { return vec{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vec) sub(b vec) vec           { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) mul(k float64) vec       { return vec{a.x * k, a.y * k, a.z * k} }
func (a vec) dot(b vec) float64       { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) norm() float64           { return math.Sqrt(a.dot(a)) }
func (a vec) at(d vec, k float64) vec { return vec{a.x + d.x*k, a.y + d.y*k, a.z + d.z*k} }

func (a vec) cross(b vec) vec {
	return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}

func (a vec) unit() vec { return a.mul(1 / a.norm()) }

// frame gives two directions square to the unit vector n and to each other; the first
// lies as near as it can to along.
func frame(n, along vec) (t, b vec) {
	t = along.sub(n.mul(along.dot(n)))
	if t.dot(t) < 1e-8 {
		along = vec{n.y, n.z, n.x}
		t = along.sub(n.mul(along.dot(n)))
		if t.dot(t) < 1e-8 {
			t = vec{1, 0, 0}.sub(n.mul(n.x))
		}
	}
	t = t.unit()
	return t, n.cross(t)
}

// rgb is a linear light value or a reflectance, red, green, blue.
type rgb [3]float64

func (a rgb) add(b rgb) rgb       { return rgb{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a rgb) mul(b rgb) rgb       { return rgb{a[0] * b[0], a[1] * b[1], a[2] * b[2]} }
func (a rgb) scale(k float64) rgb { return rgb{a[0] * k, a[1] * k, a[2] * k} }
func (a rgb) luma() float64       { return 0.2126*a[0] + 0.7152*a[1] + 0.0722*a[2] }

func (a rgb) mix(b rgb, k float64) rgb {
	return rgb{a[0] + (b[0]-a[0])*k, a[1] + (b[1]-a[1])*k, a[2] + (b[2]-a[2])*k}
}
