package synth

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
)

// Viewpoint is where a phone is held over a scene.
type Viewpoint struct {
	LookAt                       geom.SheetPoint // the point of the sheet on the camera's axis
	DistanceMM                   float64         // from there to the lens
	TiltDeg, AzimuthDeg, RollDeg float64         // off the sheet's normal, toward where, turned about the axis
}

// From gives the scene as a phone at another place sees it, in a picture of w × h pixels by the same
// lens. Sheet, card and light stay as they are; only a flash moves with the phone.
func (s *Scene) From(v Viewpoint, w, h int) *Scene {
	out := *s
	out.Width, out.Height, out.Orientation = w, h, 1
	out.Camera = lookAt(v.LookAt, v.DistanceMM, v.TiltDeg*math.Pi/180, v.AzimuthDeg*math.Pi/180, v.RollDeg*math.Pi/180)
	// The same lens on a picture of another size: all lengths by the diagonal.
	k := math.Hypot(float64(w), float64(h)) / math.Hypot(float64(s.Width), float64(s.Height))
	out.Camera.FocalPx, out.Camera.K1 = s.Camera.FocalPx*k, s.Camera.K1
	out.Camera.CxPx = float64(w-1)/2 + k*(s.Camera.CxPx-float64(s.Width-1)/2)
	out.Camera.CyPx = float64(h-1)/2 + k*(s.Camera.CyPx-float64(s.Height-1)/2)
	_, _, was := s.Camera.Centre()
	out.Lens.FocusMM = v.DistanceMM * s.Lens.FocusMM / (was / math.Cos(s.Camera.TiltDeg()*math.Pi/180))
	if slices.Contains(s.Conditions, "phone flash near the lens") {
		out.Lights = slices.Clone(s.Lights)
		l := &out.Lights[len(out.Lights)-1]
		l.AtMM = s.carried(&out, l.AtMM, true)
		l.UMM, l.VMM = s.carried(&out, l.UMM, false), s.carried(&out, l.VMM, false)
	}
	return &out
}

// carried moves what is fixed to the phone from s's camera to to's: a point, or a direction.
func (s *Scene) carried(to *Scene, p [3]float64, point bool) (q [3]float64) {
	a, b := &s.Camera, &to.Camera
	for i := range 3 {
		for k := range 3 {
			q[i] += a.R[i][k] * p[k]
		}
		if point {
			q[i] += a.T[i] - b.T[i]
		}
	}
	var out [3]float64
	for i := range 3 {
		for k := range 3 {
			out[i] += b.R[k][i] * q[k]
		}
	}
	return out
}

// DrawViews makes up a scene by [Draw] and gives it as a phone with a picture of w × h pixels sees it
// from n places, as a builder would hold it: nearly from above first, then tilted by 12 to 28 degrees
// from other sides. It gives nil where card and fasteners don't fit into such pictures.
func DrawViews(seed uint64, n, w, h int) []*Scene {
	s := Draw(seed)
	r := newRandom(seed ^ 0x76696577)
	d := drawing{r: r, s: s}
	mid, _ := d.middle()
	var views []*Scene
	azimuth := r.span(0, 360)
	for i := range n {
		tilt := r.span(3, 10)
		if i > 0 {
			tilt = r.span(12, 28)
			azimuth += r.span(80, 150)
		}
		at := mid.Scale(0.45).Add(s.Card.ToSheet(layoutMiddle(s.Card.Layout)).Scale(0.55))
		v := Viewpoint{LookAt: at.Add(geom.SheetPoint{X: r.span(-5, 5), Y: r.span(-5, 5)}), DistanceMM: r.span(115, 160),
			TiltDeg: tilt, AzimuthDeg: azimuth, RollDeg: 90*float64(r.intn(4)) + r.span(-15, 15)}
		for {
			view := s.From(v, w, h)
			if (&drawing{s: view}).holds() {
				views = append(views, view)
				break
			}
			if v.DistanceMM *= 1.06; v.DistanceMM > 290 {
				return nil
			}
		}
	}
	return views
}

// WithCardAt gives the scene with its card laid elsewhere: shifted over the sheet and turned about the
// middle of its rings.
func (s *Scene) WithCardAt(shift geom.SheetPoint, turnDeg float64) *Scene {
	out, c := *s, *s.Card
	middle := c.ToSheet(layoutMiddle(c.Layout))
	c.AngleDeg += turnDeg
	c.OriginMM = c.OriginMM.Add(middle.Add(shift).Sub(c.ToSheet(layoutMiddle(c.Layout))))
	out.Card = &c
	return &out
}
