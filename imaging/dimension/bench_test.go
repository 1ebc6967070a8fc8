package dimension

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/qc"
	"bucktail/qc/drawing"
	"bucktail/qc/standing"
)

// A bench is a made-up answer: a camera over a sheet with a straight edge at y = 0, fasteners
// above it.
type bench struct {
	tiltDeg, turnDeg float64
	at               []geom.SheetPoint
	nominalMM, dMM   float64
	ask              map[int]bool
	card             bool // a card lies with its corner at the sheet's origin
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

func (b bench) document() *answer.Document {
	cam := b.camera()
	px := func(p geom.SheetPoint) answer.Point {
		q := cam.Project(p, 0)
		return answer.Point{q.U, q.V}
	}
	spec := qc.Spec{Kind: qc.ShopHead, NominalMM: b.nominalMM}
	doc := &answer.Document{Width: benchW, Height: benchH, Spec: spec, Scale: &answer.Scale{From: "card", MMPerPx: 0.07,
		Camera: answer.Camera{FocalPx: cam.FocalPx, CxPx: cam.CxPx, CyPx: cam.CyPx, R: cam.R, T: cam.T}}}
	if b.card {
		doc.Scale.Layout = "corner"
	}
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
		add(qc.EdgeDistance, math.Abs(p.Y), 0.07).EdgePx = &[2]answer.Point{px(geom.SheetPoint{X: -20}), px(geom.SheetPoint{X: 60})}
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
			panic(err)
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
	for _, side := range [][2]float64{{0, 0}, {35, 18}, {90, 18}, {200, 0}} {
		for _, b := range []bench{
			{at: line(1, 0, 9), nominalMM: 4.7625, dMM: 7.1},
			{at: line(3, 15, 10.4), nominalMM: 4.7625, dMM: 7.1},
			{at: line(4, 9, 5.6), nominalMM: 3.175, dMM: 4.8},                                                                  // all too near
			{at: line(5, 10.6, 8), nominalMM: 3.175, dMM: 4.1},                                                                 // heads too small
			{at: line(3, 7, 12), nominalMM: 4.7625, dMM: 6.2},                                                                  // too near to the next but one, too
			{at: append(line(3, 14, 8), line(3, 14, 22)...), nominalMM: 3.175, dMM: 4.8},                                       // two rows
			{at: line(9, 12, 7), nominalMM: 3.175, dMM: 4.8},                                                                   // more than fit
			{at: line(4, 13, 9), nominalMM: 3.175, dMM: 4.8, ask: map[int]bool{1: true}},                                       // one asked about
			{at: line(2, 40, 9), nominalMM: 3.175, dMM: 4.8, ask: map[int]bool{0: true, 1: true}},                              // nothing read
			{at: []geom.SheetPoint{{X: 22, Y: -20}, {X: 36, Y: -20}, {X: 50, Y: -20}}, nominalMM: 3.175, dMM: 4.8, card: true}, // beside the rings of a card
		} {
			b.turnDeg, b.tiltDeg = side[0], side[1]
			out = append(out, b)
		}
	}
	return out
}

func (b bench) String() string {
	return fmt.Sprintf("%d heads of %.1f mm, turned %.0f°, tilted %.0f°", len(b.at), b.dMM, b.turnDeg, b.tiltDeg)
}

// look has a face whose characters are all 0.6 of the size wide, about as bold figures are.
var look = Look{TextWidth: func(s string) float64 { return 0.6 * float64(len([]rune(s))) }}

// frames are those of a phone upright, of a narrow one, of a phone on its side, of a laptop, of a
// page and of a picture file.
var frames = []Frame{
	{Width: 390, Least: 388, Most: 388}, {Width: 320, Least: 250, Most: 250}, {Width: 480, Least: 300, Most: 300},
	{Width: 760, Least: 640, Most: 640}, {Width: 500, Least: 340, Most: 340, Fill: true, WithCard: true}, {Width: 390, Least: 240, Most: 620, Fill: true, WithCard: true},
}

// seen is one bench in one view.
type seen struct {
	bench
	doc  *answer.Document
	plan *Plan
	view View
	out  *drawing.Drawing
	// what tells it from others in a failure.
	what string
}

// all is each bench with all and with each fastener chosen, in one of the frames in turn, as it fits
// and pinched to other views.
var all = sync.OnceValue(func() (out []seen) {
	for n, b := range benches() {
		doc := b.document()
		for chosen := range len(b.at) + 1 {
			p, err := Of(doc, What{Chosen: chosen})
			if err != nil {
				panic(err)
			}
			i := (2*len(frames) - n%len(frames) - chosen%len(frames)) % len(frames)
			fit := p.Fit(frames[i], look)
			views := []View{fit}
			for k, zoom := range []float64{0.6, 1.7, 4} {
				v := fit // about a place that is not the middle
				x, y := v.Width*(0.4+0.1*float64(k)), v.Height*(0.6-0.1*float64(k))
				v.Scale, v.X, v.Y = v.Scale*zoom, x+(v.X-x)*zoom, y+(v.Y-y)*zoom
				views = append(views, v)
			}
			for k, v := range views {
				out = append(out, seen{b, doc, p, v, p.Draw(v, look), fmt.Sprintf("%v, chosen %d, frame %d, view %d", b, chosen, i, k)})
			}
		}
	}
	return out
})

// fits tells that the view is the one that was chosen for the frame, where there is room.
func (s seen) fits() bool { return strings.HasSuffix(s.what, "view 0") }

// rims gives points of each head's rim, again from the camera alone.
func (s seen) rims() (out [][]drawing.Point) {
	cam := s.camera()
	for _, p := range s.at {
		var rim []drawing.Point
		for k := range 64 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 64)
			rim = append(rim, s.view.At(cam.Project(p.Add(geom.SheetPoint{X: cos * s.dMM / 2, Y: sin * s.dMM / 2}), 0)))
		}
		out = append(out, rim)
	}
	return out
}
