package plane

import (
	"math"

	"bucktail/imaging/geom"
)

// CovXY gives the covariance, in mm², of the sheet point that is seen at a pixel near p at
// height zMM: the uncertainty of the camera's fit alone, without that of print scale, thickness
// and the pixel itself. NaN where p cannot be seen.
func (pl *Plane) CovXY(p geom.SheetPoint, zMM float64) [2][2]float64 {
	g, ok := pl.mapGrad(p, zMM)
	if !ok {
		n := math.NaN()
		return [2][2]float64{{n, n}, {n, n}}
	}
	var c [2][2]float64
	for a := 0; a < 2; a++ {
		for b := 0; b < 2; b++ {
			c[a][b] = pl.quad(&g[a], &g[b])
		}
	}
	return c
}

// quad gives aᵀ C b over the unknowns' covariance.
func (pl *Plane) quad(a, b *[nParams]float64) float64 {
	sum := 0.0
	for i := 0; i < nParams; i++ {
		row := 0.0
		for k := 0; k < nParams; k++ {
			row += pl.cov[i*nParams+k] * b[k]
		}
		sum += a[i] * row
	}
	return sum
}

// DScaleX gives the shift of the sheet point seen at a fixed pixel near p (height zMM) for
// a print scale along the card's x larger by 1, with the camera fitted anew: multiply by
// the relative error, as 0.002. Its main part is (p.X, 0).
func (pl *Plane) DScaleX(p geom.SheetPoint, zMM float64) geom.SheetPoint {
	return pl.byInput(p, zMM, sScaleX)
}

// DScaleY is [Plane.DScaleX] for the card's y.
func (pl *Plane) DScaleY(p geom.SheetPoint, zMM float64) geom.SheetPoint {
	return pl.byInput(p, zMM, sScaleY)
}

// DThickness gives the shift of the sheet point seen at a fixed pixel near p (height zMM)
// for a card thicker by 1 mm.
func (pl *Plane) DThickness(p geom.SheetPoint, zMM float64) geom.SheetPoint {
	return pl.byInput(p, zMM, sThick)
}

func (pl *Plane) byInput(p geom.SheetPoint, zMM float64, input int) geom.SheetPoint {
	g, ok := pl.mapGrad(p, zMM)
	if !ok {
		return geom.SheetPoint{X: math.NaN(), Y: math.NaN()}
	}
	var d geom.SheetPoint
	for k := 0; k < nParams; k++ {
		d.X += g[0][k] * pl.inputs[k*nInputs+input]
		d.Y += g[1][k] * pl.inputs[k*nInputs+input]
	}
	return d
}

// LengthU holds the standard uncertainties of a length on the sheet, mm.
type LengthU struct {
	CameraMM    float64 // the fit of the camera
	ScaleMM     float64 // the print scale, shared and of each axis, as stated in the options
	ThicknessMM float64 // the card's thickness, as stated
}

// LengthU gives what the plane adds to the uncertainty of the distance from p to q,
// both at height zMM; errors that shift both alike cancel.
func (pl *Plane) LengthU(p, q geom.SheetPoint, zMM float64) LengthU {
	gp, ok1 := pl.mapGrad(p, zMM)
	gq, ok2 := pl.mapGrad(q, zMM)
	l := q.Sub(p)
	n := l.Norm()
	if !ok1 || !ok2 || n == 0 {
		return LengthU{math.NaN(), math.NaN(), math.NaN()}
	}
	e := l.Scale(1 / n)
	var g [nParams]float64
	var in [nInputs]float64
	for k := range g {
		g[k] = e.X*(gq[0][k]-gp[0][k]) + e.Y*(gq[1][k]-gp[1][k])
		for i := range in {
			in[i] += g[k] * pl.inputs[k*nInputs+i]
		}
	}
	o := &pl.Options
	return LengthU{
		CameraMM:    math.Sqrt(math.Max(0, pl.quad(&g, &g))),
		ScaleMM:     math.Hypot((in[sScaleX]+in[sScaleY])*o.PrintScaleU, math.Hypot(in[sScaleX], in[sScaleY])*o.PrintScaleAxisU),
		ThicknessMM: math.Abs(in[sThick]) * o.ThicknessU,
	}
}
