// Package geom holds the frames, shapes and the camera that the measuring code shares.
//
// There are three frames and each has a type of its own, so that a point of one
// cannot be added to a point of another; only a [Camera] (pixels and sheet) or a
// card layout (card and sheet) turns one into the other.
//
//   - px: the upright picture, after its EXIF orientation is applied. (0, 0) is the
//     centre of the top left pixel, U right, V down, as in OpenCV.
//   - card: millimetres as the card's layout file gives them, origin at the card's
//     top left corner as it is read, X right, Y down. Printed size, not true size.
//   - sheet: true millimetres on the work, origin below the card's origin, X along
//     the card's x, Y against the card's y (so up, as the card is read), Z out of the
//     sheet toward the camera. Right-handed; Z = 0 is the face that the card lies on.
//
// Start with [Camera] and [PxPoint].
package geom

import "math"

// PxPoint is a point of the upright picture in pixels.
type PxPoint struct{ U, V float64 }

// CardPoint is a point of a printed card in the layout's millimetres.
type CardPoint struct{ X, Y float64 }

// SheetPoint is a point at a stated height over the sheet in true millimetres.
type SheetPoint struct{ X, Y float64 }

// SheetCircle is a circle on the sheet.
type SheetCircle struct {
	Centre   SheetPoint
	RadiusMM float64
}

// Sub returns p - q.
func (p PxPoint) Sub(q PxPoint) PxPoint { return PxPoint{p.U - q.U, p.V - q.V} }

// Add returns p + q.
func (p PxPoint) Add(q PxPoint) PxPoint { return PxPoint{p.U + q.U, p.V + q.V} }

// Scale returns p times k.
func (p PxPoint) Scale(k float64) PxPoint { return PxPoint{p.U * k, p.V * k} }

// Norm returns the length of p in pixels.
func (p PxPoint) Norm() float64 { return math.Hypot(p.U, p.V) }

// Between gives the point t of the way from p to q.
func (p PxPoint) Between(q PxPoint, t float64) PxPoint {
	return PxPoint{p.U + t*(q.U-p.U), p.V + t*(q.V-p.V)}
}

// Sub returns p - q.
func (p SheetPoint) Sub(q SheetPoint) SheetPoint { return SheetPoint{p.X - q.X, p.Y - q.Y} }

// Add returns p + q.
func (p SheetPoint) Add(q SheetPoint) SheetPoint { return SheetPoint{p.X + q.X, p.Y + q.Y} }

// Scale returns p times k.
func (p SheetPoint) Scale(k float64) SheetPoint { return SheetPoint{p.X * k, p.Y * k} }

// Dot returns the inner product of p and q.
func (p SheetPoint) Dot(q SheetPoint) float64 { return p.X*q.X + p.Y*q.Y }

// Norm returns the length of p in millimetres.
func (p SheetPoint) Norm() float64 { return math.Hypot(p.X, p.Y) }
