package fastener

import (
	"math"

	"bucktail/imaging/fastener/contour"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Sides are the four points of an outline, as the photo shows it, that lie farthest to the photo's
// right, bottom, left and top, px: what a hand takes hold of.
type Sides [4]geom.PxPoint

// HeightOf is the height that is taken of a head of a kind whose own was not seen, mm.
func HeightOf(kind qc.Kind, nominalMM float64) float64 {
	return outline.ProfileOf(kind).HeightD * nominalMM
}

// Handles are the places on the photo by which a hand moves the outline, px: its centre, at the
// height where it is widest, and its sides. [Placed] of the sides has its centre and mean diameter.
func (f *Fastener) Handles(cam *geom.Camera, kind qc.Kind) (centrePx geom.PxPoint, sides Sides) {
	p := outline.ProfileOf(kind)
	centrePx = cam.Project(f.Centre, p.Widest*f.HeightMM)
	for i, phi := range sideDirections(cam, f.Centre) {
		sides[i] = cam.Project(f.Outline.Seen(&p, f.HeightMM, cam, phi), 0)
	}
	return centrePx, sides
}

// sideDirections are the directions on the sheet at p, rad, that lead to the photo's right, bottom,
// left and top; square to each other, as an outline's axes are.
func sideDirections(cam *geom.Camera, p geom.SheetPoint) (phi [4]float64) {
	at := cam.Project(p, 0)
	right := cam.ToSheet(at.Add(geom.PxPoint{U: 1}), 0).Sub(p)
	down := cam.ToSheet(at.Add(geom.PxPoint{V: 1}), 0).Sub(p)
	quarter := math.Pi / 2
	if right.X*down.Y-right.Y*down.X < 0 {
		quarter = -quarter
	}
	for i := range phi {
		phi[i] = math.Atan2(right.Y, right.X) + float64(i)*quarter
	}
	return phi
}

// onSheet gives the sides on the sheet's plane, and their middle.
func (s *Sides) onSheet(cam *geom.Camera) (at [4]geom.SheetPoint, middle geom.SheetPoint) {
	for i, p := range s {
		at[i] = cam.ToSheet(p, 0)
		middle = middle.Add(at[i].Scale(0.25))
	}
	return at, middle
}

func unit(phi float64) geom.SheetPoint {
	sn, cs := math.Sincos(phi)
	return geom.SheetPoint{X: cs, Y: sn}
}

// Placed is a fastener of height heightMM whose outline a person placed by its sides: an ellipse
// through them, seen from the camera. ok is false where they say nothing.
func Placed(cam *geom.Camera, kind qc.Kind, nominalMM, heightMM float64, sides Sides) (f Fastener, ok bool) {
	p := outline.ProfileOf(kind)
	at, c := sides.onSheet(cam)
	phi := sideDirections(cam, c)
	_, _, cz := cam.Centre()
	var r [2]float64 // along each axis
	for range 4 {    // the view's slope depends on the centre, hardly
		d := cam.ViewSlope(c)
		var to [2]float64
		for axis := range r {
			n := unit(phi[axis])
			along := d.Dot(n)
			a, b := at[axis].Dot(n), -at[axis+2].Dot(n)
			// What is seen of a head grows with its radius almost one to one.
			r[axis] = (a + b) / 2
			for range 12 {
				s, _ := p.Silhouette(r[axis], heightMM, along, cz)
				t, _ := p.Silhouette(r[axis], heightMM, -along, cz)
				r[axis] += (a + b - s - t) / 2
			}
			s, _ := p.Silhouette(r[axis], heightMM, along, cz)
			to[axis] = a - s
		}
		c = unit(phi[0]).Scale(to[0]).Add(unit(phi[1]).Scale(to[1]))
	}
	radius, oval := (r[0]+r[1])/2, (r[0]-r[1])/2
	if !(radius > 0.2*nominalMM && radius < 3*nominalMM && math.Abs(oval) < 0.5*radius) { // no rivet's head or hole by far
		return f, false
	}
	sn, cs := math.Sincos(2 * phi[0])
	f = Fastener{Outline: outline.Outline{Centre: c, RMM: radius, A2: oval * cs, B2: oval * sn}, HeightMM: heightMM,
		Probability: 1, Clear: 1, Support: 1, Slope: cam.ViewSlope(c).Norm(), PxPerMM: cam.PxPerMM(c, p.Widest*heightMM), Placed: true, ByMarks: 1}
	f.Contour = f.Outline.Contour(&p, heightMM, cam, 64)
	return f, true
}

// OffMM tells how far the sides lie off the outline, the farthest of them, mm on the sheet.
func (f *Fastener) OffMM(cam *geom.Camera, kind qc.Kind, sides Sides) (mm float64) {
	p := outline.ProfileOf(kind)
	at, middle := sides.onSheet(cam)
	for i, phi := range sideDirections(cam, middle) {
		mm = max(mm, math.Abs(at[i].Sub(f.Centre).Dot(unit(phi))-f.Outline.Support(&p, f.HeightMM, cam, phi)))
	}
	return mm
}

// mostSpread is how far the likelihood of an edge's place may spread in the mean of all directions, as a
// fraction of the radius, along an outline that is there: 41 of heads and holes spread by 0.005 to 0.026,
// what was made up on bare metal by 0.037 and more.
const mostSpread = 0.03

// Near looks for an edge all the way round the outline of f, within withinMM of it: f as the picture
// shows it there. Whether it does so clearly is told as of any other.
func (f *Fastener) Near(pic *raster.Picture, cam *geom.Camera, opt Options, withinMM float64) Fastener {
	l := looks{rMM: f.RMM, afar: outline.Fitted{Outline: f.Outline, HeightMM: f.HeightMM}, within: withinMM}
	l.closer(pic, cam, opt.Kind, opt.NominalMM)
	out := l.fastener(cam, opt.Kind)
	out.Probability, out.Clear, out.Change = 1, l.clearNear, l.differMM
	// A network that is shown no edge makes one up, and two make up different ones as a rule; where they
	// happen not to, the first is not sure of the place in any direction.
	if !l.agreed || l.spreadMM > mostSpread*f.RMM {
		out.Clear = 0
	}
	return out
}

// Toward is f, placed by hand, drawn to what the picture shows: wholly where byMarks is 0.
func (f *Fastener) Toward(seen *Fastener, byMarks float64, cam *geom.Camera, kind qc.Kind) Fastener {
	out, mix := *f, func(a, b float64) float64 { return a + (b-a)*byMarks }
	out.Centre = seen.Centre.Add(f.Centre.Sub(seen.Centre).Scale(byMarks))
	out.RMM, out.A2, out.B2 = mix(seen.RMM, f.RMM), mix(seen.A2, f.A2), mix(seen.B2, f.B2)
	out.HeightMM, out.Clear, out.Change, out.ByMarks = mix(seen.HeightMM, f.HeightMM), mix(seen.Clear, f.Clear), mix(seen.Change, f.Change), byMarks
	out.DifferMM, out.SpreadMM = mix(seen.DifferMM, f.DifferMM), mix(seen.SpreadMM, f.SpreadMM)
	for i := range out.Cov {
		for k := range out.Cov[i] {
			out.Cov[i][k] = mix(seen.Cov[i][k], f.Cov[i][k])
		}
	}
	p := outline.ProfileOf(kind)
	out.Contour = out.Outline.Contour(&p, out.HeightMM, cam, 64)
	return out
}

// fastener is what the closer looks found.
func (l *looks) fastener(cam *geom.Camera, kind qc.Kind) Fastener {
	out := Fastener{Outline: l.near.Outline, HeightMM: l.near.HeightMM, DifferMM: l.differMM, SpreadMM: l.spreadMM, Support: float64(l.near.Used) / float64(l.opinions*contour.Directions), RMS: l.near.RMS,
		Cov: l.near.Cov, Slope: cam.ViewSlope(l.near.Centre).Norm(), PxPerMM: cam.PxPerMM(l.near.Centre, 0), Observations: l.seen}
	p := outline.ProfileOf(kind)
	out.Contour = l.near.Outline.Contour(&p, l.near.HeightMM, cam, 64)
	return out
}
