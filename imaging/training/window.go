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
	if k := pxPerMM / s.Camera.PxPerMM(at, 0); k < 1 {
		s = s.Scaled(max(64, int(k*float64(s.Width))))
	}
	c := s.Camera.Project(at, 0)
	half := halfMM*s.Camera.PxPerMM(at, 0)/math.Cos(s.Camera.TiltDeg()*math.Pi/180) + 4
	u0, v0 := max(int(c.U-half)&^1, 0), max(int(c.V-half)&^1, 0)
	u1, v1 := min(int(c.U+half), s.Width), min(int(c.V+half), s.Height)
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
