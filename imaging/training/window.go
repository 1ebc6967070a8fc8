//go:build training

package training

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/imaging/synth"
)

// Window renders and compresses what a scene shows within halfMM of a place on the sheet, no finer
// than pxPerMM there. ok is false where less than leastPx of it lies in the frame, either way.
func Window(s *synth.Scene, at geom.SheetPoint, halfMM, pxPerMM float64, leastPx int, e synth.Effort) (pic *raster.Picture, cam *geom.Camera, ok bool, err error) {
	s = scaled(s, at, pxPerMM)
	c := s.Camera.Project(at, 0)
	half := halfMM*s.Camera.PxPerMM(at, 0)/math.Cos(s.Camera.TiltDeg()*math.Pi/180) + 4
	return box(s, c.U-half, c.V-half, c.U+half, c.V+half, leastPx, e)
}

// WindowOver is Window for what holds all of the corners, of which the first tells the scale.
func WindowOver(s *synth.Scene, corners []geom.SheetPoint, pxPerMM float64, leastPx int, e synth.Effort) (pic *raster.Picture, cam *geom.Camera, ok bool, err error) {
	s = scaled(s, corners[0], pxPerMM)
	u0, v0, u1, v1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range corners {
		q := s.Camera.Project(p, 0)
		u0, v0, u1, v1 = min(u0, q.U), min(v0, q.V), max(u1, q.U), max(v1, q.V)
	}
	return box(s, u0-4, v0-4, u1+4, v1+4, leastPx, e)
}

// scaled gives the scene no finer than pxPerMM at a place.
func scaled(s *synth.Scene, at geom.SheetPoint, pxPerMM float64) *synth.Scene {
	if k := pxPerMM / s.Camera.PxPerMM(at, 0); k < 1 {
		return s.Scaled(max(64, int(k*float64(s.Width))))
	}
	return s
}

// box renders and compresses what lies between two corners of the picture, px.
func box(s *synth.Scene, left, top, right, bottom float64, leastPx int, e synth.Effort) (pic *raster.Picture, cam *geom.Camera, ok bool, err error) {
	u0, v0 := max(int(left)&^1, 0), max(int(top)&^1, 0)
	u1, v1 := min(int(right), s.Width), min(int(bottom), s.Height)
	if u1-u0 < leastPx || v1-v0 < leastPx {
		return nil, nil, false, nil
	}
	w := s.Window(u0, v0, u1-u0, v1-v0)
	w.Effort = e
	img, _ := w.Render()
	data, err := w.Compress(img)
	if err != nil {
		return nil, nil, false, err
	}
	ph, err := photo.Decode(data)
	if err != nil {
		return nil, nil, false, err
	}
	return ph.Picture, &w.Camera, true, nil
}
