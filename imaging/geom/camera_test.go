package geom

import (
	"math"
	"testing"
)

func example() *Camera {
	return &Camera{FocalPx: 1873.5, CxPx: 1291.25, CyPx: 975.5, K1: -0.021,
		R: [3][3]float64{{0.95604492, 0.28329223, -0.07565468}, {0.2090047, -0.83935115, -0.50180344}, {-0.20565785, 0.46393444, -0.8616668}},
		T: [3]float64{-12.5, 8.25, 140}}
}

// Projected points agree with OpenCV's: cv2.projectPoints of OpenCV 4.6.0 for the rotation
// vector (2.6, 0.35, -0.2), translation and lens of example.
func TestProjectAgainstOpenCV(t *testing.T) {
	c := example()
	for _, p := range []struct{ x, y, z, u, v float64 }{
		{0, 0, 0, 1124.0134167221381, 1085.876144963389},
		{30, -20, 0, 1449.1902479715143, 1445.7258396265843},
		{-25.5, 14.25, 1.9, 880.3083588179802, 850.9965215018947},
		{60, 45, 0.4, 2016.6879067144575, 759.039470401102},
	} {
		q := c.Project(SheetPoint{p.x, p.y}, p.z)
		if math.Hypot(q.U-p.u, q.V-p.v) > 1e-4 { // the rotation is given to eight digits
			t.Errorf("(%g, %g, %g): %.5f, OpenCV has (%.5f, %.5f)", p.x, p.y, p.z, q, p.u, p.v)
		}
	}
}

func TestToSheetUndoesProject(t *testing.T) {
	c := example()
	for x := -50.0; x <= 60; x += 22 {
		for y := -40.0; y <= 50; y += 18 {
			for _, z := range []float64{0, 0.3, 2.5} {
				p := SheetPoint{x, y}
				if d := c.ToSheet(c.Project(p, z), z).Sub(p).Norm(); d > 1e-5 { // the rotation is orthonormal to eight digits
					t.Errorf("(%g, %g, %g) comes back %.2e mm off", x, y, z, d)
				}
			}
		}
	}
}

// A point above the sheet is seen where the sheet point one view slope farther out is.
func TestViewSlope(t *testing.T) {
	c := example()
	p := SheetPoint{25, 10}
	const z = 0.5
	seen := c.ToSheet(c.Project(p, z), 0)
	want := p.Add(c.ViewSlope(p).Scale(z))
	if d := seen.Sub(want).Norm(); d > 0.003 { // first order in z / height: 0.5² × slope / 140
		t.Errorf("seen at %.4f, first order %.4f", seen, want)
	}
}

func TestTiltAndScale(t *testing.T) {
	c := example()
	if got, want := c.TiltDeg(), math.Acos(0.8616668)*180/math.Pi; math.Abs(got-want) > 1e-9 {
		t.Errorf("tilt %.3f°, want %.3f°", got, want)
	}
	straight := &Camera{FocalPx: 2000, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, 125}}
	if got := straight.PxPerMM(SheetPoint{}, 0); math.Abs(got-16) > 1e-9 {
		t.Errorf("%.3f px per mm, want 2000 / 125", got)
	}
	if _, _, z := straight.Centre(); z != 125 {
		t.Errorf("the camera stands %.1f mm over the sheet, not 125", z)
	}
}

// Seen askew a millimetre is not as long in every direction; the scale is that of the area.
func TestScaleIsThatOfTheArea(t *testing.T) {
	c := example()
	p := SheetPoint{25, -10}
	const rMM, n = 0.5, 720
	area := 0.0
	rim := func(k int) PxPoint {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / n)
		return c.Project(SheetPoint{p.X + rMM*cs, p.Y + rMM*sn}, 1)
	}
	for k := range n {
		a, b := rim(k), rim(k+1)
		area += (a.U*b.V - a.V*b.U) / 2
	}
	want := math.Sqrt(math.Abs(area) / (math.Pi * rMM * rMM))
	if got := c.PxPerMM(p, 1); math.Abs(got-want) > 1e-3*want {
		t.Errorf("%.3f px per mm, the area says %.3f", got, want)
	}
}

func TestBehindTheCameraIsNoPoint(t *testing.T) {
	c := &Camera{FocalPx: 1000, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, 100}}
	if p := c.Project(SheetPoint{}, 200); !math.IsNaN(p.U) {
		t.Errorf("a point behind the camera is seen at %v", p)
	}
	if p := c.ToSheet(PxPoint{}, 150); !math.IsNaN(p.X) {
		t.Errorf("a plane behind the camera is met at %v", p)
	}
}
