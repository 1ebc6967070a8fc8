package answer

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
)

// keptOutline is how many points of an outline the record keeps: between 48 of them the chord
// of a head of 200 px radius is off by 200 (1 - cos π/48) = 0.4 px, less than a line's width.
const keptOutline = 48

// Places gives what the record keeps of location i, so that [Drawn] can have it drawn again;
// nil where there is no scale or nothing was read.
func (d *Document) Places(i int) *history.Places {
	if d.Scale == nil || i < 0 || i >= len(d.Locations) || d.Locations[i].Ask != nil {
		return nil
	}
	l, s := &d.Locations[i], d.Scale
	p := &history.Places{WidthPx: d.Width, HeightPx: d.Height, Layout: s.Layout,
		CentrePx: pair(l.CentrePx), SheetMM: [2]float64{tidy(l.SheetMM[0]), tidy(l.SheetMM[1])}, RadiusMM: tidy(l.RadiusMM)}
	outline := l.OutlinePx
	if n := len(outline); n > keptOutline {
		outline = nil
		for k := range keptOutline {
			outline = append(outline, l.OutlinePx[k*n/keptOutline])
		}
	}
	p.OutlinePx = pairs(outline)
	for k, r := range l.Readings {
		if r.EdgePx == nil && r.ToPx == nil {
			continue
		}
		place := history.ReadingPlace{Reading: k}
		if r.EdgePx != nil {
			place.EdgePx = &[2]history.PxPair{pair(r.EdgePx[0]), pair(r.EdgePx[1])}
		}
		if r.ToPx != nil {
			q := pair(*r.ToPx)
			place.ToPx = &q
		}
		p.Spans = append(p.Spans, place)
	}
	// Finer than a pixel needs: 1e-8 of a rotation moves nothing on a photo of 10,000 px by
	// more than 1e-4 px.
	c := s.Camera
	p.Camera = history.Camera{FocalPx: round(c.FocalPx, 1e3), CxPx: round(c.CxPx, 1e3), CyPx: round(c.CyPx, 1e3), K1: round(c.K1, 1e8)}
	for a := range 3 {
		p.Camera.T[a] = round(c.T[a], 1e5)
		for b := range 3 {
			p.Camera.R[a][b] = round(c.R[a][b], 1e8)
		}
	}
	return p
}

// Look is one finding on a shot, as the record keeps it.
type Look struct {
	Places   *history.Places `json:"places"`
	Spec     qc.Spec         `json:"spec"`
	Readings []qc.Reading    `json:"readings"`
	Checks   []qc.Check      `json:"checks"` // that stand now
	Judged   []qc.Check      `json:"judged"` // of the finding itself: values are written with their U
	Whole    qc.Verdict      `json:"whole"`  // of the location: see [qc.Whole]
}

// Drawn gives back a document of which a picture can be drawn: the first location is the finding,
// then come those beside it on the same shot, in their order, then the neighbours to which its
// pitches go and that are none of them, each with a circle as large as the finding's own. All
// places must be valid ([history.Places.Valid]).
func Drawn(own Look, beside []Look) *Document {
	p, c := own.Places, own.Places.Camera
	cam := camera(p)
	doc := &Document{Width: p.WidthPx, Height: p.HeightPx, Spec: own.Spec, Scale: &Scale{From: "card", Layout: p.Layout,
		Camera: Camera{c.FocalPx, c.CxPx, c.CyPx, c.K1, c.R, c.T}}}
	for _, k := range append([]Look{own}, beside...) {
		doc.Locations = append(doc.Locations, k.location(cam))
	}
	var readings []Reading
	for k, r := range own.Readings {
		out := Reading{Reading: r}
		for _, c := range own.Judged {
			if c.Reading.Quantity == r.Quantity && c.Reading.ValueMM == r.ValueMM {
				out.UMM = max(out.UMM, c.UMM)
			}
		}
		if place := p.PlaceOf(k); place != nil && place.EdgePx != nil {
			out.EdgePx = &[2]Point{Point(place.EdgePx[0]), Point(place.EdgePx[1])}
		} else if place != nil && place.ToPx != nil {
			to := Point(*place.ToPx)
			at := 1 + neighbour(to, p, beside)
			if at == 0 {
				at = len(doc.Locations)
				doc.Locations = append(doc.Locations, Location{What: own.Spec.Kind, CentrePx: to, SheetMM: onSheet(cam, to), RadiusMM: p.RadiusMM})
			}
			out.ToPx, out.To = &to, &at
		}
		readings = append(readings, out)
	}
	doc.Locations[0].Readings, doc.Locations[0].Checks = readings, own.Checks
	return doc
}

// location is a finding as it is drawn, without its readings. Its place on the sheet is taken
// from the photo: another one of the same shot may have been measured on a sheet of its own.
func (k Look) location(cam *geom.Camera) Location {
	p := k.Places
	return Location{What: k.Spec.Kind, NominalMM: k.Spec.NominalMM, CentrePx: Point(p.CentrePx), SheetMM: onSheet(cam, Point(p.CentrePx)), RadiusMM: p.RadiusMM,
		OutlinePx: unpairs(p.OutlinePx), Summary: standing.Summary{Whole: k.Whole, Governing: -1}}
}

func onSheet(cam *geom.Camera, at Point) Point {
	q := cam.ToSheet(px(at), 0)
	return Point{q.X, q.Y}
}

// neighbour finds whose centre lies at a place, -1 if none: within half the own radius.
func neighbour(at Point, own *history.Places, beside []Look) int {
	c := camera(own)
	q := c.ToSheet(px(at), 0)
	for i, b := range beside {
		o := c.ToSheet(px(Point(b.Places.CentrePx)), 0)
		if q.Sub(o).Norm() < own.RadiusMM/2 {
			return i
		}
	}
	return -1
}

func camera(p *history.Places) *geom.Camera {
	c := geom.Camera(p.Camera)
	return &c
}

func px(p Point) geom.PxPoint { return geom.PxPoint{U: p[0], V: p[1]} }

func pair(p Point) history.PxPair { return history.PxPair{round(p[0], 10), round(p[1], 10)} }

func pairs(ps []Point) (out []history.PxPair) {
	for _, p := range ps {
		out = append(out, pair(p))
	}
	return out
}

func unpairs(ps []history.PxPair) (out []Point) {
	for _, p := range ps {
		out = append(out, Point(p))
	}
	return out
}

func round(v, digits float64) float64 { return math.Round(v*digits) / digits }
