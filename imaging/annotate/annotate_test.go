package annotate

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
	"bucktail/qc/standing"
)

// A bench is a made-up answer: a camera over a sheet with a straight edge at y = 0, fasteners
// above it.
type bench struct {
	tiltDeg, turnDeg float64
	at               []geom.SheetPoint
	nominalMM, dMM   float64
	ask              map[int]bool
}

const benchW, benchH = 2592, 1944

func (b bench) camera() *geom.Camera {
	s, c := math.Sincos(b.tiltDeg * math.Pi / 180)
	st, ct := math.Sincos(b.turnDeg * math.Pi / 180)
	// From above: camera x along the sheet's x, y against its y, z into it; turned about the
	// sheet's normal, then tilted about the camera's x.
	over := [3][3]float64{{ct, st, 0}, {st, -ct, 0}, {0, 0, -1}}
	var r [3][3]float64
	tilt := [3][3]float64{{1, 0, 0}, {0, c, -s}, {0, s, c}}
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				r[i][j] += tilt[i][k] * over[k][j]
			}
		}
	}
	cam := &geom.Camera{FocalPx: 1940, CxPx: benchW / 2, CyPx: benchH / 2, R: r}
	// The middle of the fasteners lies 130 mm before the lens, in the picture's middle.
	m := geom.SheetPoint{}
	for _, p := range b.at {
		m = m.Add(p.Scale(1 / float64(len(b.at))))
	}
	for i := range 3 {
		cam.T[i] = -(r[i][0]*m.X + r[i][1]*m.Y)
	}
	cam.T[2] += 130
	return cam
}

func (b bench) document(t *testing.T) *answer.Document {
	t.Helper()
	cam := b.camera()
	px := func(p geom.SheetPoint) answer.Point {
		q := cam.Project(p, 0)
		return answer.Point{q.U, q.V}
	}
	spec := qc.Spec{Kind: qc.ShopHead, NominalMM: b.nominalMM}
	doc := &answer.Document{Width: benchW, Height: benchH, Spec: spec, Scale: &answer.Scale{From: "card", MMPerPx: 0.07,
		Camera: answer.Camera{FocalPx: cam.FocalPx, CxPx: cam.CxPx, CyPx: cam.CyPx, R: cam.R, T: cam.T}}}
	for i, p := range b.at {
		l := answer.Location{What: spec.Kind, Dash: "4", NominalMM: spec.NominalMM, CentrePx: px(p), SheetMM: answer.Point{p.X, p.Y}, RadiusMM: b.dMM / 2}
		for k := range 48 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 48)
			l.OutlinePx = append(l.OutlinePx, px(p.Add(geom.SheetPoint{X: c * b.dMM / 2, Y: s * b.dMM / 2})))
		}
		if b.ask[i] {
			l.Ask = &qc.Refusal{Code: "unsure", Text: "this may or may not be a shop head", Do: "tap it if it is one"}
			doc.Locations = append(doc.Locations, l)
			continue
		}
		add := func(q qc.Quantity, v, u float64) *answer.Reading {
			l.Readings = append(l.Readings, answer.Reading{Reading: qc.Reading{Quantity: q, ValueMM: v, UMM: u, How: qc.ByPhoto}})
			return &l.Readings[len(l.Readings)-1]
		}
		add(qc.HeadDMean, b.dMM, 0.05)
		add(qc.HeadDMin, b.dMM-0.03, 0.06)
		add(qc.HeadDMax, b.dMM+0.03, 0.06)
		add(qc.EdgeDistance, p.Y, 0.07).EdgePx = &[2]answer.Point{px(geom.SheetPoint{X: -20}), px(geom.SheetPoint{X: 60})}
		for j, q := range b.at {
			if j != i && !b.ask[j] {
				to, at := j, px(q)
				r := add(qc.Pitch, q.Sub(p).Norm(), 0.06)
				r.To, r.ToPx = &to, &at
			}
		}
		var plain []qc.Reading
		for _, r := range l.Readings {
			plain = append(plain, r.Reading)
		}
		j, err := qc.JudgeLocation(spec, plain, nil)
		if err != nil {
			t.Fatal(err)
		}
		l.Summary = standing.Summarize(j.Checks, plain, j.Unread, "")
		doc.Locations = append(doc.Locations, l)
	}
	return doc
}

func line(n int, pitch, y float64) (out []geom.SheetPoint) {
	for i := range n {
		out = append(out, geom.SheetPoint{X: float64(i) * pitch, Y: y})
	}
	return out
}

// benches go from one roomy head to a crowd of small ones, all seen from several sides.
func benches() (out []bench) {
	for _, turn := range []float64{0, 35, 90, 200} {
		for _, tilt := range []float64{0, 18} {
			for _, b := range []bench{
				{at: line(1, 0, 9), nominalMM: 4.7625, dMM: 7.1},
				{at: line(3, 15, 10.4), nominalMM: 4.7625, dMM: 7.1},
				{at: line(4, 9, 5.6), nominalMM: 3.175, dMM: 4.8},                                     // all too near
				{at: line(5, 10.6, 8), nominalMM: 3.175, dMM: 4.1},                                    // heads too small
				{at: append(line(3, 14, 8), line(3, 14, 22)...), nominalMM: 3.175, dMM: 4.8},          // two rows
				{at: line(9, 12, 7), nominalMM: 3.175, dMM: 4.8},                                      // more than fit
				{at: line(4, 13, 9), nominalMM: 3.175, dMM: 4.8, ask: map[int]bool{1: true}},          // one asked about
				{at: line(2, 40, 9), nominalMM: 3.175, dMM: 4.8, ask: map[int]bool{0: true, 1: true}}, // nothing read
			} {
				b.turnDeg, b.tiltDeg = turn, tilt
				out = append(out, b)
			}
		}
	}
	return out
}

func (b bench) String() string {
	return fmt.Sprintf("%d heads of %.1f mm, turned %.0f°, tilted %.0f°", len(b.at), b.dMM, b.turnDeg, b.tiltDeg)
}

func grey() *raster.Picture {
	y := raster.NewGrey(benchW, benchH)
	for i := range y.Pix {
		y.Pix[i] = 120
	}
	return &raster.Picture{Y: y, ChromaX: 1, ChromaY: 1}
}

func placed(t *testing.T, b bench) (*answer.Document, *drawing) {
	t.Helper()
	doc := b.document(t)
	p := newPlan(doc, &Options{Units: qc.Millimetres})
	d := newDrawing(p, newFrame(p))
	d.place()
	return doc, d
}

// Values and tags stand inside the picture, and cover no head and no other. Only what may not be
// left out may, where nothing else is possible; these benches leave room enough.
func TestNothingIsCovered(t *testing.T) {
	for _, b := range benches() {
		doc, d := placed(t, b)
		var all []box
		for _, q := range d.plaques {
			all = append(all, q.box)
		}
		for _, g := range d.tagged {
			all = append(all, g.box)
		}
		if len(d.tagged) != len(doc.Locations) {
			t.Errorf("%v: %d tags", b, len(d.tagged))
		}
		cam := b.camera()
		covered := 0
		for i, x := range all {
			if x.x0 < 0 || x.y0 < 0 || x.x1 > frameWidth || x.y1 > d.f.height {
				t.Errorf("%v: %v leaves the picture of %v", b, x, d.f.height)
			}
			for _, y := range all[:i] {
				if x.x0 < y.x1 && y.x0 < x.x1 && x.y0 < y.y1 && y.y0 < x.y1 {
					covered++
				}
			}
			for _, p := range b.at {
				// The head again, from the camera alone.
				for k := range 64 {
					s, c := math.Sincos(2 * math.Pi * float64(k) / 64)
					v := d.f.px(cam.Project(p.Add(geom.SheetPoint{X: c * b.dMM / 2, Y: s * b.dMM / 2}), 0))
					if v.x > x.x0 && v.x < x.x1 && v.y > x.y0 && v.y < x.y1 {
						covered++
						break
					}
				}
			}
		}
		if covered > 0 {
			t.Errorf("%v: %d times covered", b, covered)
		}
	}
}

// What is out or too close is never left out, and nothing else takes a verdict's colour.
func TestBadIsShown(t *testing.T) {
	for _, b := range benches() {
		doc, d := placed(t, b)
		shown := map[string]int{}
		for _, q := range d.plaques {
			shown[q.text]++
			bad := false
			for _, l := range doc.Locations {
				for _, c := range l.Checks {
					bad = bad || c.Verdict != qc.Within && strings.Contains(q.text, qc.Millimetres.Number(c.Reading.ValueMM))
				}
			}
			if coloured := q.col != inkColour; coloured && !bad {
				t.Errorf("%v: %s is coloured", b, q.text)
			}
		}
		for _, l := range doc.Locations {
			for _, c := range l.Checks {
				if c.Verdict == qc.Within || c.Verdict != l.Verdict {
					continue
				}
				found := false
				for text := range shown {
					found = found || strings.Contains(text, qc.Millimetres.Number(c.Reading.ValueMM))
				}
				if !found {
					t.Errorf("%v: %s %s of %.2f is not shown: %v", b, c.Verdict, c.Reading.Quantity, c.Reading.ValueMM, shown)
				}
			}
		}
		within := 0
		for _, q := range d.plaques {
			if q.col == inkColour {
				within++
			}
		}
		if within > mostValues {
			t.Errorf("%v: %d values within", b, within)
		}
	}
}

// A dimension line goes from the head's centre square to the edge, a pitch's is as long on the
// sheet as the pitch, both through the camera.
func TestLinesLieOnTheSheet(t *testing.T) {
	for _, b := range benches() {
		_, d := placed(t, b)
		cam := b.camera()
		for _, m := range d.p.dims {
			switch m.kind {
			case edge:
				p := b.at[m.of]
				if m.a.Sub(p).Norm() > 1e-6 || m.b.Sub(geom.SheetPoint{X: p.X}).Norm() > 1e-3 {
					t.Errorf("%v: edge dimension from %v to %v, head at %v", b, m.a, m.b, p)
				}
			case pitch:
				want := b.at[m.of].Sub(b.at[m.to]).Norm()
				if got := m.a.Sub(m.b).Norm(); math.Abs(got-want) > 1e-6 {
					t.Errorf("%v: pitch of %v drawn %v long", b, want, got)
				}
			default:
				continue
			}
			v := d.f.mm(m.a)
			q := cam.Project(m.a, 0)
			k := frameWidth / float64(d.f.crop.Dx())
			if math.Abs(v.x-(q.U+0.5-float64(d.f.crop.Min.X))*k) > 1e-6 || math.Abs(v.y-(q.V+0.5-float64(d.f.crop.Min.Y))*k) > 1e-6 {
				t.Errorf("%v: %v is drawn at %v", b, q, v)
			}
		}
	}
}

// The picture itself: of the size asked for, the same each time, outlines in the verdict's
// colour where the camera sees the head's rim, values on white.
func TestDraw(t *testing.T) {
	b := benches()[2] // four that stand too near the edge
	doc := b.document(t)
	if doc.Locations[0].Verdict != qc.Out {
		t.Fatalf("verdict %q", doc.Locations[0].Verdict)
	}
	img, err := Draw(doc, grey(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if w, h := img.Rect.Dx(), img.Rect.Dy(); w < 2*frameWidth || max(w, h) > usualSide+1 {
		t.Errorf("%d × %d", w, h)
	}
	again, _ := Draw(doc, grey(), Options{})
	if !bytes.Equal(img.Pix, again.Pix) {
		t.Error("a second drawing differs")
	}
	_, d := placed(t, b)
	s := float64(img.Rect.Dx()) / frameWidth
	red := 0
	for k := range 60 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 60)
		v := d.f.mm(b.at[0].Add(geom.SheetPoint{X: cos * b.dMM / 2, Y: sin * b.dMM / 2}))
		if near(img.At(int(v.x*s), int(v.y*s)), verdictColour[qc.Out]) {
			red++
		}
	}
	if red < 50 {
		t.Errorf("%d of 60 points of the rim are drawn in the verdict's colour", red)
	}
	for _, q := range d.plaques {
		if !near(img.At(int((q.box.x0+1.5)*s), int((q.box.y0+1.5)*s)), plaqueColour) {
			t.Errorf("%s stands on no plaque", q.text)
		}
	}
	alone, err := Draw(doc, grey(), Options{PhotoAlone: true})
	if err != nil || alone.Rect.Dy()*img.Rect.Dx() >= img.Rect.Dy()*alone.Rect.Dx() {
		t.Errorf("without its list the picture is not lower: %v, %v", alone.Rect, err)
	}
}

func near(c, want color.Color) bool {
	r, g, b, _ := c.RGBA()
	x, y, z, _ := want.RGBA()
	far := func(p, q uint32) bool { return math.Abs(float64(p)-float64(q)) > 12*257 }
	return !far(r, x) && !far(g, y) && !far(b, z)
}

func TestDrawRefuses(t *testing.T) {
	doc := benches()[0].document(t)
	if _, err := Draw(doc, &raster.Picture{Y: raster.NewGrey(10, 10)}, Options{}); err == nil {
		t.Error("a picture of another size is drawn on")
	}
	doc.Scale = nil
	if _, err := Draw(doc, grey(), Options{}); err == nil {
		t.Error("an answer without a scale is drawn")
	}
}

// Text on white and white on a tag reach 4.5:1.
//
// Source: W3C, Web Content Accessibility Guidelines 2.2, 1.4.3 and the definitions of contrast
// ratio and relative luminance.
func TestContrast(t *testing.T) {
	lum := func(c color.NRGBA) float64 {
		lin := func(v uint8) float64 {
			s := float64(v) / 255
			if s <= 0.04045 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
	}
	cols := map[string]color.NRGBA{"ink": inkColour, "second": secondColour, "pencil": pencilColour}
	for v, c := range verdictColour {
		cols[string(v)] = c
	}
	for name, c := range cols {
		if r := (lum(plaqueColour) + 0.05) / (lum(c) + 0.05); r < 4.5 {
			t.Errorf("%s has %.2f:1 on white", name, r)
		}
	}
}

// The three shapes stay apart without colour: drawn black on white, any two differ in a third of
// what they cover.
func TestShapesDiffer(t *testing.T) {
	ink := map[qc.Verdict][]bool{}
	for _, v := range qc.Verdicts {
		c := newCanvas(24, 24, 4)
		c.fill(verdictShape(v, vec{12, 12}, 24), color.Black)
		for i := 0; i < len(c.img.Pix); i += 4 {
			ink[v] = append(ink[v], c.img.Pix[i] < 128)
		}
	}
	for v, a := range ink {
		for w, b := range ink {
			if v == w {
				continue
			}
			both, either := 0, 0
			for i := range a {
				if a[i] || b[i] {
					either++
				}
				if a[i] && b[i] {
					both++
				}
			}
			if either == 0 || float64(both) > 2./3*float64(either) {
				t.Errorf("%q and %q share %d of %d", v, w, both, either)
			}
		}
	}
}

// The length of a line inside a box, against stepping along it.
func TestCut(t *testing.T) {
	b := box{10, 20, 50, 40}
	for i := range 500 {
		f := float64(i)
		p, q := vec{math.Mod(f*37.7, 70), math.Mod(f*23.3, 70)}, vec{math.Mod(f*11.9, 70), math.Mod(f*53.1, 70)}
		if i%7 == 0 {
			q.x = p.x // upright
		}
		const n = 4000
		in := 0
		for k := range n {
			v := p.on(q, (float64(k)+0.5)/n)
			if v.x >= b.x0 && v.x <= b.x1 && v.y >= b.y0 && v.y <= b.y1 {
				in++
			}
		}
		l := q.sub(p).len()
		if got, want := b.cut(p, q), l*float64(in)/n; math.Abs(got-want) > 2*l/n+1e-9 {
			t.Fatalf("from %v to %v: %v, want %v", p, q, got, want)
		}
	}
}

// A note that is true of several locations stands once, with their tags; a farther edge's
// warnings are not those of what is shown.
func TestNotes(t *testing.T) {
	edge := func(mm float64, w ...string) answer.Reading {
		return answer.Reading{Reading: qc.Reading{Quantity: qc.EdgeDistance, ValueMM: mm, Warnings: w}}
	}
	doc := &answer.Document{Locations: []answer.Location{
		{Readings: []answer.Reading{edge(9, "far"), edge(7, "a nearer edge may be unseen")}},
		{Ask: &qc.Refusal{}},
		{Notes: []string{"no table"}, Readings: []answer.Reading{edge(8, "a nearer edge may be unseen")}},
	}}
	if got := fmt.Sprint(Notes(doc, []string{"R7"})); got != "[R7, 3: a nearer edge may be unseen 3: no table]" {
		t.Errorf("notes %s", got)
	}
}

// The shortest joining of five places, worked by hand.
func TestTreeAndRows(t *testing.T) {
	var fs []*fastener
	for i, p := range []geom.SheetPoint{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 10, Y: 1}, {X: 20, Y: 12}, {X: 31, Y: 0}} {
		fs = append(fs, &fastener{i: i, at: p})
	}
	pairs := tree(fs)
	if got := fmt.Sprint(pairs); got != "[[0 2] [1 2] [1 4] [1 3]]" {
		t.Errorf("pairs %v", got)
	}
	rows := rowsOf(fs, pairs)
	var got []string
	for _, r := range rows {
		got = append(got, fmt.Sprint(r.of))
	}
	if s := strings.Join(got, " "); s != "[0 2 1 4] [1 3]" {
		t.Errorf("rows %s", s)
	}
}

func BenchmarkDraw(b *testing.B) {
	doc := benches()[4].document(&testing.T{})
	pic := grey()
	b.ReportAllocs()
	var img *image.RGBA
	for b.Loop() {
		img, _ = Draw(doc, pic, Options{})
	}
	_ = img
}
