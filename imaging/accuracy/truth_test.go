//go:build !js

package accuracy

import (
	"encoding/json"
	"math"
	"os"
	"strconv"

	"bucktail/imaging/geom"
	"bucktail/imaging/synth"
	"bucktail/qc"
)

// truth is what a rendered photo's truth file says of it; see testdata/photos/README.md.
type truth struct {
	Width, Height int // px, upright
	Camera        struct {
		Fx, Fy, Cx, Cy, K1, K2 float64
		R                      [3][3]float64
		T                      [3]float64
	}
	View struct {
		TiltDeg float64 `json:"tilt_deg"`
	}
	Card struct {
		Layout      string     `json:"layout"`
		PrintScale  [2]float64 `json:"print_scale"`
		ThicknessMM float64    `json:"thickness_mm"`
	}
	Fasteners  []synth.FastenerTruth
	Edges      []synth.EdgeTruth
	Conditions []string
}

func readTruth(file string) (*truth, error) {
	said, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	t := &truth{}
	return t, json.Unmarshal(said, t)
}

// kindOf turns the words of the truth files into ours.
var kindOf = map[synth.Kind]qc.Kind{synth.ShopHead: qc.ShopHead, synth.Universal: qc.UniversalHead,
	synth.Pulled: qc.PulledHead, synth.Flush: qc.FlushHead, synth.Hole: qc.Hole}

// said is what a builder would say stands on a photo.
type said struct {
	kind qc.Kind
	dash string
}

func saidOf(f *synth.FastenerTruth) said { return said{kindOf[f.Type], f.Dash} }

// nominalMM is the shank diameter of a dash number: in 1/32 in.
func (s said) nominalMM() (float64, error) {
	n, err := strconv.Atoi(s.dash)
	return float64(n) / 32 * 25.4, err
}

// groups lists what stands on the photo, in the order of the truth file.
func (t *truth) groups() (all []said) {
	seen := map[said]bool{}
	for i := range t.Fasteners {
		if g := saidOf(&t.Fasteners[i]); !seen[g] {
			seen[g] = true
			all = append(all, g)
		}
	}
	return all
}

// project gives the pixel of a point on the sheet's face: the pinhole of OpenCV with two
// radial terms.
func (t *truth) project(p geom.SheetPoint) geom.PxPoint {
	c := &t.Camera
	var q [3]float64
	for i, r := range c.R {
		q[i] = r[0]*p.X + r[1]*p.Y + c.T[i]
	}
	x, y := q[0]/q[2], q[1]/q[2]
	r2 := x*x + y*y
	g := 1 + c.K1*r2 + c.K2*r2*r2
	return geom.PxPoint{U: c.Fx*x*g + c.Cx, V: c.Fy*y*g + c.Cy}
}

func (t *truth) inFrame(p geom.PxPoint) bool {
	return p.U >= 0 && p.V >= 0 && p.U < float64(t.Width) && p.V < float64(t.Height)
}

// pxPerMM is the scale at the first fastener, along the sheet's x.
func (t *truth) pxPerMM() float64 {
	p := sheet(t.Fasteners[0].AxisMM)
	return t.project(p.Add(geom.SheetPoint{X: 1})).Sub(t.project(p)).Norm()
}

// shownCentre is what a photo shows of a fastener's place: the head's centre, for a hole its
// axis. A driven rivet's shank may stand elsewhere.
func shownCentre(f *synth.FastenerTruth) geom.SheetPoint {
	if f.Type == synth.Hole {
		return sheet(f.AxisMM)
	}
	return sheet(f.HeadCentreMM)
}

// trueEdge is an edge of the sheet beside a fastener whose foot lies in the frame.
type trueEdge struct {
	shownMM float64 // from the shown centre
	axisMM  float64 // from the shank's or hole's axis
	foot    geom.PxPoint
}

// edgesOf gives the edges beside a fastener, nearest first, as far as their feet are in the frame.
func (t *truth) edgesOf(f *synth.FastenerTruth) (all []trueEdge) {
	for _, d := range f.EdgeDistances { // nearest first, and only where the foot falls on the edge
		for i := range t.Edges {
			e := &t.Edges[i]
			if e.ID != d.Edge {
				continue
			}
			p0, p1 := sheet(e.P0MM), sheet(e.P1MM)
			along := p1.Sub(p0).Scale(1 / p1.Sub(p0).Norm())
			foot := t.project(p0.Add(along.Scale(sheet(f.AxisMM).Sub(p0).Dot(along))))
			if t.inFrame(foot) {
				v := shownCentre(f).Sub(p0)
				all = append(all, trueEdge{math.Abs(v.X*along.Y - v.Y*along.X), d.MM, foot})
			}
		}
	}
	return all
}

// extremes gives a head's or hole's true mean, greatest and least diameter. A slotted hole's
// mean is taken between its least and its greatest.
func extremes(f *synth.FastenerTruth) (mean, greatest, least float64) {
	if f.Type != synth.Hole {
		return f.HeadDMeanMM, f.HeadDMaxMM, f.HeadDMinMM
	}
	return (f.HoleDMinMM + f.HoleDMaxMM) / 2, f.HoleDMaxMM, f.HoleDMinMM
}

func sheet(p [2]float64) geom.SheetPoint { return geom.SheetPoint{X: p[0], Y: p[1]} }

func px(p [2]float64) geom.PxPoint { return geom.PxPoint{U: p[0], V: p[1]} }
