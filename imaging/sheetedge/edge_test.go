package sheetedge

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/lines"
	"bucktail/qc"
)

// edgeScene is a sheet drawn from its edges: light gives the linear light at a sheet point.
// What light returns is blurred along the gradient only through the widths it uses itself,
// so scenes blend with soft.
type edgeScene struct {
	cam   *geom.Camera
	w, h  int
	blur  float64 // mm, for blend
	noise float64 // grey levels
	light func(x, y float64) float64
}

// edgeCam looks at the sheet's origin from heightMM, tilted toward the sheet's -y side by
// tiltDeg (the camera stands at negative y), turned by turnDeg in the sheet's plane.
func edgeCam(heightMM, tiltDeg, turnDeg, focalPx float64, w, h int) *geom.Camera {
	s, c := math.Sincos(tiltDeg * math.Pi / 180)
	st, ct := math.Sincos(turnDeg * math.Pi / 180)
	down := [3][3]float64{{1, 0, 0}, {0, -c, s}, {0, -s, -c}}
	turn := [3][3]float64{{ct, -st, 0}, {st, ct, 0}, {0, 0, 1}}
	cam := &geom.Camera{FocalPx: focalPx, CxPx: float64(w) / 2, CyPx: float64(h) / 2}
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				cam.R[i][j] += down[i][k] * turn[k][j]
			}
		}
	}
	cam.T = [3]float64{0, 0, heightMM / c}
	return cam
}

// blend is 0 well below 0 and 1 well above, with the scene's blur.
func (s *edgeScene) blend(d float64) float64 { return 0.5 * math.Erfc(-d/(s.blur*math.Sqrt2)) }

// line is 1 within width of d = 0 (d from 0 to width), blurred.
func (s *edgeScene) line(d, width float64) float64 { return s.blend(d) - s.blend(d-width) }

func (s *edgeScene) draw(seed uint64) *raster.Picture {
	rng := rand.New(rand.NewPCG(seed, 7))
	y := raster.NewGrey(s.w, s.h)
	for v := range s.h {
		for u := range s.w {
			p := s.cam.ToSheet(geom.PxPoint{U: float64(u), V: float64(v)}, 0)
			l := max(0, s.light(p.X, p.Y))
			g := 12.92 * l
			if l > 0.0031308 {
				g = 1.055*math.Pow(l, 1/2.4) - 0.055
			}
			y.Pix[v*s.w+u] = uint8(min(max(255*g+s.noise*rng.NormFloat64()+0.5, 0), 255))
		}
	}
	return &raster.Picture{Y: y, ChromaX: 1, ChromaY: 1}
}

// find draws the scene and looks for edges round fasteners at the given places, D = 4 mm.
func (s *edgeScene) find(seed uint64, opt Options) []Edge {
	pic := s.draw(seed)
	opt.NominalDMM = 4
	box := rectified.Box{MinX: math.Inf(1), MinY: math.Inf(1), MaxX: math.Inf(-1), MaxY: math.Inf(-1)}
	for _, r := range opt.Fasteners {
		box.MinX, box.MaxX = min(box.MinX, r.Centre.X), max(box.MaxX, r.Centre.X)
		box.MinY, box.MaxY = min(box.MinY, r.Centre.Y), max(box.MaxY, r.Centre.Y)
	}
	view := rectified.NewView(pic, s.cam, rectified.SeenBox(pic, s.cam, box, 20), 0.1)
	edges, _ := Find(pic, s.cam, view, opt)
	return edges
}

func newEdgeScene(tiltDeg, turnDeg float64) *edgeScene {
	const w, h = 720, 560
	return &edgeScene{cam: edgeCam(110, tiltDeg, turnDeg, 1430, w, h), w: w, h: h, blur: 0.06, noise: 2}
}

func rounds(xy ...float64) []geom.SheetCircle {
	var out []geom.SheetCircle
	for i := 0; i < len(xy); i += 2 {
		out = append(out, geom.SheetCircle{Centre: geom.SheetPoint{X: xy[i], Y: xy[i+1]}, RadiusMM: 3})
	}
	return out
}

// nearest gives the nearest edge of the fastener, or fails.
func nearest(t *testing.T, r geom.SheetCircle, edges []Edge) Distance {
	t.Helper()
	got := Distances(r, 4, edges)
	if len(got) == 0 {
		t.Fatalf("no edge for the fastener at %v; found %d edges", r.Centre, len(edges))
	}
	return got[0]
}

// A sheet's edge below a row of fasteners, with a deburred rim, is found at its vertical
// face, from all sides of the sheet, bright on dark and dark on bright, sharp and soft.
// The tolerance is twice the stated standard uncertainty.
func TestEdgesOfASheetAreFoundAtTheFace(t *testing.T) {
	for _, c := range []struct {
		name                           string
		tilt, turn                     float64
		sheet, rim, outside, rimW, blr float64
	}{
		{"square, bright on dark", 0, 0, 0.5, 0.25, 0.1, 0.1, 0.06},
		{"square, dark on bright", 0, 20, 0.1, 0.3, 0.5, 0.1, 0.06},
		{"dark rim line", 5, 75, 0.5, 0.05, 0.45, 0.1, 0.06},
		{"bright rim line", 8, 120, 0.3, 0.7, 0.1, 0.1, 0.05},
		{"sharp rim", 10, 200, 0.5, 0.1, 0.1, 0.06, 0.05},
		{"wide rim", 12, 250, 0.5, 0.3, 0.1, 0.13, 0.06},
		{"soft picture", 20, 33, 0.5, 0.2, 0.1, 0.1, 0.14},
		{"steep, from inside", 30, 180, 0.5, 0.2, 0.1, 0.1, 0.07},
	} {
		s := newEdgeScene(c.tilt, c.turn)
		s.blur = c.blr
		// the edge is y = -7.3, the sheet above it
		s.light = func(x, y float64) float64 {
			d := y + 7.3
			return c.outside + (c.rim-c.outside)*s.line(d, c.rimW) + (c.sheet-c.outside)*s.blend(d-c.rimW)
		}
		row := rounds(-12, 0, 0, 0.2, 12, 0.1)
		edges := s.find(1, Options{Fasteners: row})
		for _, r := range row {
			e := nearest(t, r, edges)
			if want := r.Centre.Y + 7.3; math.Abs(e.DistanceMM-want) > 2*e.UMM {
				t.Errorf("%s: edge at %.3f from %v, want %.3f ± %.3f", c.name, e.DistanceMM, r.Centre, want, 2*e.UMM)
			}
			if e.UMM > 0.09 || e.UMM < 0.02 {
				t.Errorf("%s: standard uncertainty %.3f mm: the rim alone is 0.025, the line is plain", c.name, e.UMM)
			}
		}
	}
}

// The joint of two sheets of one metal is a thin dashed line. It comes before the strong
// edge of the lower sheet 1.8 mm behind it: overlooked, the edge distance would read
// too large. Both sides look alike, and the edge says so.
func TestFaintJointGoesBeforeTheStrongEdgeBehind(t *testing.T) {
	for seed := range uint64(4) {
		s := newEdgeScene(6, 15+70*float64(seed))
		dash := rand.New(rand.NewPCG(seed, 3))
		var gaps [200]float64
		for i := range gaps {
			gaps[i] = 1
			if dash.Float64() < 0.35 {
				gaps[i] = 0
			}
		}
		s.light = func(x, y float64) float64 {
			d := y + 6.5
			joint := s.line(d, 0.08) * gaps[int(2*(x+50))%200]
			return 0.4 - 0.16*joint - 0.37*s.blend(-(d+1.8))
		}
		row := rounds(-10, 0, 0, 0, 10, 0)
		edges := s.find(seed, Options{Fasteners: row})
		for _, r := range row {
			e := nearest(t, r, edges)
			if math.Abs(e.DistanceMM-6.5) > 2*e.UMM {
				t.Errorf("seed %d: nearest edge %.3f ± %.3f, want the joint at 6.5", seed, e.DistanceMM, 2*e.UMM)
			}
			if !strings.Contains(strings.Join(e.Warnings, " "), "look alike") {
				t.Errorf("seed %d: the joint between like sheets doesn't say that it may hide a nearer one", seed)
			}
		}
	}
}

// None of these is an edge of the sheet.
func TestWhatIsNoEdge(t *testing.T) {
	for _, c := range []struct {
		name   string
		onCard func(p geom.SheetPoint, m float64) bool
		light  func(s *edgeScene, x, y float64) float64
	}{
		{name: "bare sheet", light: func(s *edgeScene, x, y float64) float64 { return 0.3 }},
		{name: "layout lines through the row and across each fastener", light: func(s *edgeScene, x, y float64) float64 {
			l := 0.3 - 0.15*s.line(y-0.1, 0.4)
			for _, fx := range []float64{-12, 0, 12} {
				if math.Abs(y) < 9 {
					l -= 0.1 * s.line(x-fx-0.2, 0.35)
				}
			}
			return l
		}},
		{name: "card with its shadow", onCard: func(p geom.SheetPoint, m float64) bool { return p.Y < -6+m },
			light: func(s *edgeScene, x, y float64) float64 {
				return 0.3 - 0.2*s.line(y+6, 0.5) + 0.5*s.blend(-(y+6))
			}},
		{name: "short scratches", light: func(s *edgeScene, x, y float64) float64 {
			l := 0.3
			for i := range 6 {
				cx, cy := -14+5*float64(i), 5+float64(i%3)
				if math.Abs(x-cx) < 1.6 {
					l += 0.25 * s.line(y-cy-0.4*(x-cx), 0.1)
				}
			}
			return l
		}},
		{name: "long faint scratch that ends in the open", light: func(s *edgeScene, x, y float64) float64 {
			l := 0.3
			if x > -9 && x < 7 {
				l += 0.03 * s.line(y-6-0.3*x, 0.07)
			}
			return l
		}},
		{name: "brushed metal", light: func(s *edgeScene, x, y float64) float64 {
			a := 0.98*x + 0.2*y
			b := -0.2*x + 0.98*y
			return 0.3 + 0.03*math.Sin(9*b+2*math.Sin(0.15*a)+3*math.Sin(2.3*b)) + 0.02*math.Sin(17*b+1.5*math.Sin(0.22*a+1))
		}},
	} {
		s := newEdgeScene(8, 30)
		s.light = func(x, y float64) float64 { return c.light(s, x, y) }
		row := rounds(-12, 0.3, 0, 0.3, 12, 0.3)
		edges := s.find(5, Options{Fasteners: row, OnCard: c.onCard})
		for _, r := range row {
			for _, e := range Distances(r, 4, edges) {
				t.Errorf("%s: taken for an edge %.2f from %v: strength %.1f, %v to %v", c.name, e.DistanceMM, r.Centre, e.Strength, e.P0, e.P1)
			}
		}
	}
}

// Where the camera stands outside, the side face shows as a band; its inner border is the edge.
func TestInnerBorderOfTheSideFaceIsTheEdge(t *testing.T) {
	s := newEdgeScene(22, 180) // camera at negative y, outside of the edge y = -7
	slope := s.cam.ViewSlope(geom.SheetPoint{X: 0, Y: -7}).Dot(geom.SheetPoint{Y: -1})
	if slope > -0.2 {
		t.Fatalf("the test's camera does not stand outside: view slope %.2f", slope)
	}
	band := 1.0 * -slope // 1 mm thick
	s.light = func(x, y float64) float64 {
		d := y + 7
		// the rim is 0.1 wide, its steep outer part as bright as the face
		return 0.08 + 0.5*s.line(d+band, band+0.03) + 0.35*s.line(d-0.03, 0.07) + 0.17*s.blend(d-0.1)
	}
	row := rounds(-8, 0, 8, 0)
	edges := s.find(2, Options{Fasteners: row})
	// A drawn face has no shading: nearer to the inner border than to the outer is all that counts.
	e := nearest(t, row[0], edges)
	if math.Abs(e.DistanceMM-7) > 0.4*band {
		t.Errorf("edge at %.3f, want 7: the face is %.2f wide", e.DistanceMM, band)
	}
	// The fainter a line, the less is its place worth.
	if !slices.ContainsFunc(e.Edge.Contributions(row[0].Centre), func(c qc.Contribution) bool {
		return c.Label == "edge: low contrast" && math.Abs(c.UMM*e.Strength-0.25) < 1e-9
	}) {
		t.Errorf("strength %.1f: %+v", e.Strength, e.Edge.Contributions(row[0].Centre))
	}
}

// A line too short and faint for the search is taken when the user taps it, and says so.
func TestTappedEdgeIsTaken(t *testing.T) {
	s := newEdgeScene(5, 0)
	s.light = func(x, y float64) float64 {
		l := 0.3
		if math.Abs(x) < 2.5 {
			l += 0.012 * s.blend(-(y + 8))
		}
		return l
	}
	row := rounds(0, 0)
	if got := Distances(row[0], 4, s.find(4, Options{Fasteners: row})); len(got) > 0 {
		t.Fatalf("the short line is found without a tap (strength %.1f): the test needs a shorter one", got[0].Strength)
	}
	edges := s.find(4, Options{Fasteners: row, Hints: []geom.SheetPoint{{X: 0.7, Y: -7.6}}})
	e := nearest(t, row[0], edges)
	if !e.Tapped || math.Abs(e.DistanceMM-8) > 2*e.UMM {
		t.Errorf("tapped %v, distance %.3f ± %.3f, want 8", e.Tapped, e.DistanceMM, 2*e.UMM)
	}
	// A rim and its shadow are some 0.3 mm wide together: which of their lines was meant is not known.
	if !slices.ContainsFunc(e.Edge.Contributions(row[0].Centre), func(c qc.Contribution) bool {
		return c.Label == "edge: selected by hand" && c.UMM > 0.05 && c.UMM < 0.15
	}) {
		t.Errorf("the hand's choice is missing from the contributions: %+v", e.Edge.Contributions(row[0].Centre))
	}
}

// An edge by two marks is as good as a mark where one lies, better between them, and worse beyond.
func TestPlacedEdgeIsAsGoodAsItsMarks(t *testing.T) {
	const uPx = 1.5
	cam := edgeCam(110, 0, 0, 1430, 720, 560)
	u := uPx / cam.PxPerMM(geom.SheetPoint{}, 0)
	at := func(x float64) geom.SheetPoint { return geom.SheetPoint{X: x, Y: -6} }
	e, ok := Placed(cam, cam.Project(at(-10), 0), cam.Project(at(10), 0), uPx)
	if !ok {
		t.Fatal("two marks 20 mm apart are refused")
	}
	for x, want := range map[float64]float64{-10: u, 10: u, 0: u / math.Sqrt2, 30: u * math.Sqrt(0.5+4.5)} {
		d, got := e.At(geom.SheetPoint{X: x, Y: 1})
		if math.Abs(d-7) > 1e-6 || math.Abs(got-want) > 1e-3*want {
			t.Errorf("at x = %g: %.4f ± %.4f mm, want 7 ± %.4f", x, d, got, want)
		}
		sum := 0.0
		for _, c := range e.Contributions(geom.SheetPoint{X: x}) {
			sum += c.UMM * c.UMM
		}
		if math.Abs(math.Sqrt(sum)-want) > 1e-3*want {
			t.Errorf("at x = %g the contributions make %.4f mm, want %.4f", x, math.Sqrt(sum), want)
		}
	}
	if _, ok := Placed(cam, cam.Project(at(0), 0), cam.Project(at(1), 0), uPx); ok {
		t.Error("two marks 1 mm apart are taken for an edge")
	}
}

// The contributions make up the uncertainty that At gives.
func TestEdgeContributionsAddUp(t *testing.T) {
	s := newEdgeScene(0, 0)
	s.light = func(x, y float64) float64 { return 0.1 + 0.4*s.blend(y+7) }
	row := rounds(-6, 0, 14, 0)
	edges := s.find(3, Options{Fasteners: row})
	e := nearest(t, row[0], edges)
	for _, x := range []float64{-40, 0, 25} {
		p := geom.SheetPoint{X: x}
		_, u := e.At(p)
		sum := 0.0
		for _, c := range e.Edge.Contributions(p) {
			sum += c.UMM * c.UMM
		}
		if math.Abs(math.Sqrt(sum)-u) > 1e-9 {
			t.Errorf("at x = %v the contributions make %.5f, At says %.5f", x, math.Sqrt(sum), u)
		}
	}
	_, near := e.At(geom.SheetPoint{X: 4})
	if _, far := e.At(geom.SheetPoint{X: 90}); far < 1.2*near {
		t.Errorf("the uncertainty of the direction doesn't grow along the line: %.4f near, %.4f far", near, far)
	}
}

// The look along a line has the last word: a strong line that shows no face is no edge, a faint one
// that shows it beyond question is; what a person pointed at is one anyway.
func TestLookAlongALineDecides(t *testing.T) {
	for _, c := range []struct {
		logit                float64
		strong, tapped, want bool
	}{
		{3, true, false, true}, {0, true, false, false}, {-4, true, false, false},
		{3, false, false, false}, {8, false, false, true}, {-4, false, true, true},
	} {
		if e := (Edge{logit: c.logit, Tapped: c.tapped}); e.endsSheet(c.strong, false) != c.want {
			t.Errorf("%+v: an edge: %v", c, !c.want)
		}
	}
}

// What the look at all of the sheet calls its border, too, is an edge on less of a look along it: the
// same line, and most of it.
func TestSecondLookMakesAnEdge(t *testing.T) {
	at := func(x0, x1, y float64) *Edge {
		return &Edge{P0: geom.SheetPoint{X: x0, Y: y}, P1: geom.SheetPoint{X: x1, Y: y}, logit: 4}
	}
	f := &finder{borders: []lines.Segment{{A: geom.SheetPoint{X: 20, Y: 0.2}, B: geom.SheetPoint{X: 0, Y: -0.2}}}}
	for _, c := range []struct {
		e    *Edge
		want bool
	}{{at(2, 16, 0), true}, {at(-20, 40, 0.1), true}, {at(2, 16, 1), false}, {at(14, 30, 0), false}} {
		if got := f.borderAlong(c.e); got != c.want || c.e.endsSheet(false, got) != c.want {
			t.Errorf("from %v to %v: the border runs along it %v, want %v", c.e.P0, c.e.P1, got, c.want)
		}
	}
	if e := at(2, 16, 0); !e.endsSheet(true, false) || e.endsSheet(false, false) {
		t.Error("a faint line of one look is an edge, or a strong one is none")
	}
}
