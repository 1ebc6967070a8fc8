// Package rectified samples the photo where it shows the sheet. A [View] is the sheet seen
// square from above; a [Level] is the photo's light at one of its sizes, to be sampled along
// straight runs. In go a picture (px) and the camera over the sheet; out comes linear light,
// with colour ratios where asked for, at places of the sheet (mm). It finds nothing.
// Start with [NewView].
package rectified

import (
	"math"

	"bucktail/imaging/cores"
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
	v, level := newView(pic, cam, box, stepMM)
	if pic.Cb == nil {
		v.layLight(pic.Y, level, cam)
		return v
	}
	v.RG, v.GB = make([]float32, v.W*v.H), make([]float32, v.W*v.H)
	v.layColour(pic, level, cam)
	return v
}

// NewLightView is [NewView] without the colour ratios, in a fraction of its time.
func NewLightView(pic *raster.Picture, cam *geom.Camera, box Box, stepMM float64) *View {
	v, level := newView(pic, cam, box, stepMM)
	v.layLight(pic.Y, level, cam)
	return v
}

// mostPxPerStep is how many pixels may lie from one sample to the next: bilinear values take in
// two, and up to a fifth more is skipped over before the photo is halved.
const mostPxPerStep = 2.4

// newView makes an empty view, and the level of the photo to fill it from.
func newView(pic *raster.Picture, cam *geom.Camera, box Box, stepMM float64) (*View, Level) {
	v := &View{X0: box.MinX, Y0: box.MinY, StepMM: stepMM,
		W: int((box.MaxX-box.MinX)/stepMM) + 1, H: int((box.MaxY-box.MinY)/stepMM) + 1}
	v.L, v.Seen = make([]float32, v.W*v.H), make([]bool, v.W*v.H)
	mid := geom.SheetPoint{X: (box.MinX + box.MaxX) / 2, Y: (box.MinY + box.MaxY) / 2}
	halved := 0
	for px := cam.PxPerMM(mid, 0) * stepMM; px > mostPxPerStep; px /= 2 {
		halved++
	}
	return v, LevelOf(pic, halved)
}

// viewRun is how many samples lie straight and evenly between two projected ones: the map
// is smooth (the error of that is below 0.01 px for |K1| < 0.1 and tilts to 35°).
const viewRun = 8

// runs calls what doer gives for each run of n samples from p on, seen from a on toward b,
// where the sample viewRun on is seen. The rows are shared out among the cores, each with a do
// of its own.
func (v *View) runs(cam *geom.Camera, doer func() (do func(p, n int, a, b geom.PxPoint))) {
	cores.Stretches(v.H, 1, func(j0, j1 int) { v.runsOf(cam, j0, j1, doer()) })
}

// runsOf is runs for the rows from j0 up to j1.
func (v *View) runsOf(cam *geom.Camera, j0, j1 int, do func(p, n int, a, b geom.PxPoint)) {
	for j := j0; j < j1; j++ {
		sy := v.Y0 + float64(j)*v.StepMM
		a := cam.Project(geom.SheetPoint{X: v.X0, Y: sy}, 0)
		for i := 0; i < v.W; i += viewRun {
			b := cam.Project(geom.SheetPoint{X: v.X0 + float64(i+viewRun)*v.StepMM, Y: sy}, 0)
			do(j*v.W+i, min(viewRun, v.W-i), a, b)
			a = b
		}
	}
}

// layLight fills in L and Seen.
func (v *View) layLight(y *raster.Grey, level Level, cam *geom.Camera) {
	v.runs(cam, func() func(p, n int, a, b geom.PxPoint) {
		row := make([]int32, viewRun)
		return func(p, n int, a, b geom.PxPoint) { v.lightRun(y, level, row, p, n, a, b) }
	})
}

// lightRun fills in one run of L and Seen; row is for its use.
func (v *View) lightRun(y *raster.Grey, level Level, row []int32, p, n int, a, b geom.PxPoint) {
	la, lb := level.Pixel(a), level.Pixel(b)
	if level.Holds(la) && level.Holds(lb) {
		clear(row)
		level.AddRow(row[:n], la, lb, viewRun+1)
		light, seen := v.L[p:p+n], v.Seen[p:p+n]
		for i := range light {
			light[i] = float32(row[i]) * (1.0 / LightUnit)
			seen[i] = true
		}
		return
	}
	for i := range n {
		q := a.Between(b, float64(i)/viewRun)
		if !within(y, q) {
			continue
		}
		at := level.Pixel(q)
		v.L[p+i] = float32(level.SampleLinear(at.U, at.V))
		v.Seen[p+i] = true
	}
}

// within tells whether the picture holds p, up to the middles of its outermost pixels.
func within(y *raster.Grey, p geom.PxPoint) bool {
	return p.U >= 0 && p.V >= 0 && p.U <= float64(y.W-1) && p.V <= float64(y.H-1)
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
