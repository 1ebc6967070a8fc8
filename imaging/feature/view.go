// Package feature finds what stands on the sheet: the outlines of heads and holes and
// the straight edges of sheets, each as sub-pixel points or lines in sheet millimetres
// with the doubt of its place. It knows no limits and no readings.
// Start with [NewView], [FindFasteners] and [FindEdges].
package feature

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// Box is an upright rectangle of the sheet, mm.
type Box struct{ MinX, MinY, MaxX, MaxY float64 }

// View is the sheet seen square from above: a resampled map of the plane Z = 0 in
// linear light. Pixel (i, j) lies at sheet (X0 + i StepMM, Y0 + j StepMM), so rows run
// with sheet Y (up). What the photo doesn't show is 0 in Seen.
type View struct {
	X0, Y0 float64 // sheet mm of pixel (0, 0)
	StepMM float64
	W, H   int
	L      []float32 // luminance in linear light, 0 to 1
	RG, GB []float32 // (R-G)/(R+G+B), (G-B)/(R+G+B) of gamma values; nil in a grey photo
	Seen   []bool
}

// NewView resamples box of the sheet at stepMM. Photos finer than two pixels a step are
// averaged down first, so that nothing is skipped over.
func NewView(pic *raster.Picture, cam *geom.Camera, box Box, stepMM float64) *View {
	v := &View{X0: box.MinX, Y0: box.MinY, StepMM: stepMM,
		W: int((box.MaxX-box.MinX)/stepMM) + 1, H: int((box.MaxY-box.MinY)/stepMM) + 1}
	n := v.W * v.H
	v.L, v.Seen = make([]float32, n), make([]bool, n)
	mid := geom.SheetPoint{X: (box.MinX + box.MaxX) / 2, Y: (box.MinY + box.MaxY) / 2}
	y, scale := pic.Y, 1.0
	for cam.PxPerMM(mid, 0)*stepMM*scale > 2.4 {
		y, scale = y.Half(), scale/2
	}
	if pic.Cb != nil {
		v.RG, v.GB = make([]float32, n), make([]float32, n)
	}
	// The map is smooth: project every 8th sample and go straight between (the error of
	// that is below 0.01 px for |K1| < 0.1 and tilts to 35°).
	const k = 8
	kx, ky := float64(pic.ChromaX), float64(pic.ChromaY)
	for j := range v.H {
		sy := v.Y0 + float64(j)*stepMM
		a := cam.Project(geom.SheetPoint{X: v.X0, Y: sy}, 0)
		for i0 := 0; i0 < v.W; i0 += k {
			b := cam.Project(geom.SheetPoint{X: v.X0 + float64(i0+k)*stepMM, Y: sy}, 0)
			du, dv := (b.U-a.U)/k, (b.V-a.V)/k
			for i := i0; i < min(i0+k, v.W); i++ {
				u, w := a.U+du*float64(i-i0), a.V+dv*float64(i-i0)
				if !(u >= 0 && w >= 0 && u <= float64(pic.Y.W-1) && w <= float64(pic.Y.H-1)) {
					continue
				}
				p := j*v.W + i
				v.Seen[p] = true
				yu, yv := (u+0.5)*scale-0.5, (w+0.5)*scale-0.5
				v.L[p] = float32(y.SampleLinear(yu, yv))
				if v.RG != nil {
					cu, cv := (u+0.5)/kx-0.5, (w+0.5)/ky-0.5
					cb, cr := pic.Cb.Sample(cu, cv)-128, pic.Cr.Sample(cu, cv)-128
					yy := y.Sample(yu, yv)
					r, g, bl := yy+1.402*cr, yy-0.344136*cb-0.714136*cr, yy+1.772*cb
					s := max(r+g+bl, 12) // below that the ratio is noise
					v.RG[p], v.GB[p] = float32((r-g)/s), float32((g-bl)/s)
				}
			}
			a = b
		}
	}
	return v
}

// Sheet gives the sheet point of the view's pixel (i, j), which need not be whole.
func (v *View) Sheet(i, j float64) geom.SheetPoint {
	return geom.SheetPoint{X: v.X0 + i*v.StepMM, Y: v.Y0 + j*v.StepMM}
}

// Pixel gives the view's pixel of the sheet point p.
func (v *View) Pixel(p geom.SheetPoint) (i, j float64) {
	return (p.X - v.X0) / v.StepMM, (p.Y - v.Y0) / v.StepMM
}

// SeenBox gives the part of the sheet that the picture shows within reachMM of around, mm.
func SeenBox(pic *raster.Picture, cam *geom.Camera, around Box, reachMM float64) Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	w, h := float64(pic.Y.W-1), float64(pic.Y.H-1)
	for i := range 9 {
		t := float64(i) / 8
		for _, p := range [4]geom.PxPoint{{U: w * t, V: 0}, {U: w * t, V: h}, {U: 0, V: h * t}, {U: w, V: h * t}} {
			q := cam.ToSheet(p, 0)
			if math.IsNaN(q.X) {
				continue
			}
			b.MinX, b.MaxX = min(b.MinX, q.X), max(b.MaxX, q.X)
			b.MinY, b.MaxY = min(b.MinY, q.Y), max(b.MaxY, q.Y)
		}
	}
	return Box{max(b.MinX, around.MinX-reachMM), max(b.MinY, around.MinY-reachMM),
		min(b.MaxX, around.MaxX+reachMM), min(b.MaxY, around.MaxY+reachMM)}
}
