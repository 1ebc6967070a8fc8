// Package fit fits lines, circles, ellipses and homographies to points, and holds the
// small solver beneath them. It knows neither pixels nor millimetres: a result is in the
// frame and unit of the points given.
//
// A fit returns its parameters, their covariance, the residuals and how many points it
// used, or one of the errors below. Start with [CircleGeometric] and [LevenbergMarquardt].
package fit

import (
	"errors"
	"math"
)

// Point is a point of any one frame; callers convert, so that frames stay apart outside.
type Point struct{ X, Y float64 }

// What keeps a fit from answering.
var (
	ErrFewPoints = errors.New("too few points for the fit")
	ErrShortArc  = errors.New("the points cover too short an arc")
	ErrNoSpread  = errors.New("the points lie on one spot or one line")
	ErrRank      = errors.New("the points do not determine every unknown")
	ErrNoFit     = errors.New("the fit did not settle")
)

// centreScale gives the centroid of p and the factor that brings the mean distance from it
// to √2, as R. Hartley, IEEE PAMI 19 (1997) 580-593 advises for the DLT.
func centreScale(p []Point) (c Point, k float64) {
	n := float64(len(p))
	for _, q := range p {
		c.X += q.X / n
		c.Y += q.Y / n
	}
	d := 0.0
	for _, q := range p {
		d += math.Hypot(q.X-c.X, q.Y-c.Y) / n
	}
	if !(d > 0) {
		return c, 0
	}
	return c, math.Sqrt2 / d
}
