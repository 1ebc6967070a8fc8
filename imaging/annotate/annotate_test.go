package annotate

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"sync"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/qc"
	"bucktail/qc/drawing"
)

// measured is a photo of four rivets that are out and too close, and the answer to it.
var measured = sync.OnceValues(func() (*answer.Document, *raster.Picture) {
	data, err := os.ReadFile("../../testdata/photos/dev-16.jpg")
	if err != nil {
		panic(err)
	}
	doc, err := answer.Measure(data, answer.Options{Spec: qc.Spec{Kind: qc.ShopHead, NominalMM: 2.38125}, Size: "3"})
	if err != nil {
		panic(err)
	}
	ph, err := photo.Decode(data)
	if err != nil {
		panic(err)
	}
	return doc, ph.Picture
})

// The picture shows the drawing that was planned for it: ink under lines and arrowheads where no
// other lies on them, halos beside them, values and tags on their plaques; of the size asked for,
// the same each time.
func TestDraw(t *testing.T) {
	doc, pic := measured()
	img, err := Draw(doc, pic, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if w, h := img.Rect.Dx(), img.Rect.Dy(); w < 2*frameWidth || max(w, h) > usualSide+1 {
		t.Errorf("%d × %d", w, h)
	}
	again, _ := Draw(doc, pic, Options{})
	if !bytes.Equal(img.Pix, again.Pix) {
		t.Error("a second drawing differs")
	}
	p, v, _, err := planned(doc, Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := p.Draw(v, look)
	s := float64(img.Rect.Dx()) / frameWidth
	at := func(q drawing.Point) color.Color { return img.At(int(q.X*s), int(q.Y*s)) }
	inked, all, haloed := map[drawing.Role]int{}, map[drawing.Role]int{}, 0
	for _, l := range d.Lines {
		for k := range l.Points {
			q := l.Points[k].On(l.Points[(k+1)%len(l.Points)], 0.3)
			if !l.Closed && k+1 == len(l.Points) {
				continue
			}
			if l.Role == drawing.Arrow { // inside
				q = l.Points[0].On(l.Points[1].On(l.Points[2], 0.5), 0.7)
			}
			all[l.Role]++
			if near(at(q), colourIn(l.Ink)) {
				inked[l.Role]++
			}
			beside := q.Add(l.Points[(k+1)%len(l.Points)].Sub(l.Points[k]).Unit().Turned().Mul((l.Width + l.Halo) / 4))
			if l.Role == drawing.Outline && near(at(beside), plaqueColour) {
				haloed++
			}
		}
	}
	for role, n := range all {
		if inked[role] < n*8/10 { // the rest lies under a plaque or another line
			t.Errorf("%d of %d places of role %s are inked", inked[role], n, role)
		}
	}
	if haloed < all[drawing.Outline]*8/10 {
		t.Errorf("at %d of %d places of outlines there is a halo", haloed, all[drawing.Outline])
	}
	if all[drawing.Outline] < 100 || all[drawing.Dimension] < 6 || all[drawing.Arrow] < 16 {
		t.Errorf("drawn were %v", all)
	}
	for _, q := range d.Values {
		if !near(at(drawing.Point{X: q.Box.X0 + 1.5, Y: q.Box.Y0 + 1.5}), plaqueColour) {
			t.Errorf("%s stands on no plaque", q.Text)
		}
		if !holds(img, s, q.Box, colourIn(q.Ink)) {
			t.Errorf("%s is not written in its ink", q.Text)
		}
	}
	for _, q := range d.Tags {
		if !near(at(drawing.Point{X: q.Box.X0 + 2, Y: q.Box.Y0 + 2}), colourIn(q.Ink)) {
			t.Errorf("tag %s is not in its ink", q.Text)
		}
		shape := drawing.BoxAt(drawing.Point{X: q.ShapeX, Y: q.Box.Centre().Y}, drawing.ShapeSide/2, drawing.ShapeSide/2)
		text := q.Box
		text.X0 = q.TextX
		if !holds(img, s, shape, plaqueColour) || !holds(img, s, text.Grown(-2), plaqueColour) {
			t.Errorf("tag %s lacks its verdict's shape or its text", q.Text)
		}
	}
}

// holds tells whether a colour is in a box of the picture.
func holds(img *image.RGBA, s float64, b drawing.Box, want color.Color) bool {
	for y := int(b.Y0 * s); y < int(b.Y1*s); y++ {
		for x := int(b.X0 * s); x < int(b.X1*s); x++ {
			if near(img.At(x, y), want) {
				return true
			}
		}
	}
	return false
}

// What is drawn ends with the photo: of a head that the photo cuts off nothing is drawn over the list
// below.
func TestDrawEndsWithThePhoto(t *testing.T) {
	doc, pic := measured()
	cut := *doc
	at := answer.Point{float64(doc.Width) / 2, float64(doc.Height) - 1}
	l := answer.Location{CentrePx: at, RadiusMM: doc.Locations[0].RadiusMM, Ask: &qc.Refusal{Code: "unsure"}}
	on := doc.Scale.Camera.Geom().ToSheet(geom.PxPoint{U: at[0], V: at[1]}, 0)
	l.SheetMM = answer.Point{on.X, on.Y}
	cut.Locations = []answer.Location{l}
	img, err := Draw(&cut, pic, Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, v, _, err := planned(&cut, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := float64(img.Rect.Dx()) / frameWidth
	alone := newCanvas(frameWidth, float64(img.Rect.Dy())/s, s)
	newList(&cut, &Options{Units: qc.Millimetres}).draw(alone, v.Height)
	from := img.PixOffset(0, int(math.Ceil(v.Height*s))+1)
	if !bytes.Equal(img.Pix[from:], alone.img.Pix[from:]) {
		t.Error("the list is drawn over")
	}
}

func near(c, want color.Color) bool {
	r, g, b, _ := c.RGBA()
	x, y, z, _ := want.RGBA()
	far := func(p, q uint32) bool { return math.Abs(float64(p)-float64(q)) > 12*257 }
	return !far(r, x) && !far(g, y) && !far(b, z)
}

func TestDrawRefuses(t *testing.T) {
	doc, pic := measured()
	if _, err := Draw(doc, &raster.Picture{Y: raster.NewGrey(10, 10)}, Options{}); err == nil {
		t.Error("a picture of another size is drawn on")
	}
	bare := *doc
	bare.Scale = nil
	if _, err := Draw(&bare, pic, Options{}); err == nil {
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

// The shapes stay apart without colour: drawn black on white, any two differ in a third of
// what they cover.
func TestShapesDiffer(t *testing.T) {
	ink := map[qc.Verdict][]bool{}
	for _, v := range qc.Verdicts {
		c := newCanvas(24, 24, 4)
		c.fill(verdictShape(v, vec{X: 12, Y: 12}, 24), color.Black)
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

func BenchmarkDraw(b *testing.B) {
	doc, pic := measured()
	b.ReportAllocs()
	var img *image.RGBA
	for b.Loop() {
		img, _ = Draw(doc, pic, Options{})
	}
	_ = img
}
