// Package answer joins what one photo gave with what its limits say of it: the document
// that the command line prints, the server sends and the phone shows. It decides nothing
// itself: package measure reads, package qc judges. Start with [Measure] and [Document].
package answer

import (
	"errors"
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
	"bucktail/qc/standing"
)

// Options are what the builder said: how to measure, and against what to judge.
type Options struct {
	Measure measure.Options
	// Spec is what is meant to stand there; Kind and NominalMM of Measure follow it.
	Spec qc.Spec
	// Size is the fastener's size as the builder wrote it ("4", "3.2mm"), echoed back.
	Size string
	// Photo is the name under which the photo was given, echoed back.
	Photo string
	// Proofs are the gauge studies of phones that are known, Device and Sheet what is not on the photo of
	// how it was taken. Nil: nobody asks, and nothing is said of studies.
	Proofs        []qc.Proof
	Device, Sheet string
	// Given is the study in force, where the caller knows it; nil: it is chosen among Proofs.
	Given *qc.Proven
}

// proven gives the study in force for a photo, nil where nobody asks.
func (opt *Options) proven(res *measure.Result) *qc.Proven {
	if opt.Given != nil {
		return opt.Given
	}
	if opt.Proofs == nil || res.Scale == nil || res.Scale.Layout == "" {
		return nil
	}
	p := qc.InForce(opt.Proofs, qc.Setup{Device: opt.Device, Camera: res.Camera, Sheet: opt.Sheet, Layout: res.Scale.Layout, Kind: opt.Spec.Kind})
	return &p
}

// Point is a place in the photo: u and v in pixels of the upright picture.
type Point [2]float64

// Document is the answer to one photo. Lengths are in millimetres, places in pixels of
// the upright photo with (0, 0) the centre of its top left pixel.
type Document struct {
	Photo  string  `json:"photo"`
	SHA256 string  `json:"sha256,omitempty"`
	Width  int     `json:"width,omitempty"`
	Height int     `json:"height,omitempty"`
	Taken  string  `json:"taken,omitempty"`
	Method string  `json:"method"`
	Spec   qc.Spec `json:"spec"`
	Scale  *Scale  `json:"scale"`
	// Photos are those that were measured together, nil of one photo alone.
	Photos []PhotoPart `json:"photos,omitempty"`
	// Next is where one more photo would be taken from; nil where none could be joined.
	Next *Next `json:"next,omitempty"`
	// Camera is maker and model as the photo tells them. Proven is the gauge study in force for it, with
	// an empty study where none is; nil where nobody asked.
	Camera    string         `json:"camera,omitempty"`
	Proven    *qc.Proven     `json:"proven,omitempty"`
	Locations []Location     `json:"locations"`
	EdgesPx   [][2]Point     `json:"edges_px,omitempty"`
	Warnings  []measure.Note `json:"warnings"`
	Problems  []qc.Refusal   `json:"problems"`
}

// Scale is where the millimetres came from. Camera lets a program draw in the sheet's
// perspective: see [geom.Camera]; its names are focal_px, cx_px, cy_px, k1, r, t.
type Scale struct {
	From       string  `json:"from"`
	Layout     string  `json:"layout,omitempty"`
	Targets    int     `json:"targets,omitempty"`
	ResidualPx float64 `json:"residual_px"`
	TiltDeg    float64 `json:"tilt_deg"`
	DistanceMM float64 `json:"distance_mm"`
	MMPerPx    float64 `json:"mm_per_px"`
	Camera     Camera  `json:"camera"`
	CardPx     []Point `json:"card_px,omitempty"`
	WindowPx   []Point `json:"window_px,omitempty"`
}

// Camera is a [geom.Camera] in the document's spelling.
type Camera struct {
	FocalPx float64       `json:"focal_px"`
	CxPx    float64       `json:"cx_px"`
	CyPx    float64       `json:"cy_px"`
	K1      float64       `json:"k1"`
	R       [3][3]float64 `json:"r"`
	T       [3]float64    `json:"t"`
}

// Geom gives the camera back.
func (c Camera) Geom() *geom.Camera {
	return &geom.Camera{FocalPx: c.FocalPx, CxPx: c.CxPx, CyPx: c.CyPx, K1: c.K1, R: c.R, T: c.T}
}

// Location is one fastener. With Ask set it has no readings: see what to do there.
type Location struct {
	What      qc.Kind `json:"what"`
	Dash      string  `json:"dash"`
	NominalMM float64 `json:"nominal_mm"`
	CentrePx  Point   `json:"centre_px"`
	SheetMM   Point   `json:"sheet_mm"` // centre on the sheet, for patterns of locations
	RadiusMM  float64 `json:"radius_mm"`
	OutlinePx []Point `json:"outline_px"`
	// HandlesPx are what a hand moves the outline by: its centre, at the height where it is widest,
	// then the points farthest to the photo's right, bottom, left and top, which given back as an
	// outline placed by hand change nothing.
	HandlesPx [5]Point `json:"handles_px"`
	ByHand    bool     `json:"by_hand,omitempty"`
	// Hand says of an outline that was placed by hand what it was taken from: the edge that the picture
	// shows near the hand's marks ("edge"), or the marks ("marks").
	Hand measure.Hand `json:"hand,omitempty"`
	// Probability that such a fastener stands there, and how clearly its outline stands out.
	Probability float64 `json:"probability"`
	Clear       float64 `json:"clear"`
	// What its checks come to: verdict, checks, the governing one, what was not read.
	standing.Summary
	Readings []Reading  `json:"readings"`
	Unread   []qc.Limit `json:"unread,omitempty"`
	Notes    []string   `json:"notes,omitempty"`
	// Ask says why this one was not measured and what to do.
	Ask *qc.Refusal `json:"ask,omitempty"`
	// Of photos that were measured together: the one that the pixels above refer to, what each
	// of them shows, and how far the flat of a driven head is from parallel to the sheet.
	PxPhoto string      `json:"px_photo,omitempty"`
	Photos  []PhotoLook `json:"photos,omitempty"`
	Tilt    *Tilt       `json:"flat_tilt,omitempty"`
}

// Reading is a reading with the places it was taken between.
type Reading struct {
	qc.Reading
	EdgePx *[2]Point `json:"edge_px,omitempty"` // with edge_distance: two points on the edge
	// With edge_distance: how much farther the line is read for each mm that it lies above the sheet, as
	// a standing leg's upper rim does; negative: nearer. Nothing in one photo tells how high a line lies.
	PerMMUp float64 `json:"per_mm_up,omitempty"`
	ToPx    *Point  `json:"to_px,omitempty"` // with pitch: the other centre
	To      *int    `json:"to,omitempty"`    // with pitch: the other's index in locations
	// AloneUMM is the uncertainty U that the first of several photos gave the same quantity by itself;
	// absent where it did not read it.
	AloneUMM float64 `json:"alone_U_mm,omitempty"`
}

// Measure measures a photo and judges every location in it.
//
// What is wrong with the photo itself stands in the document's Problems; an error is a
// *qc.Refusal about the options.
func Measure(data []byte, opt Options) (*Document, error) {
	return opt.answer(func(mo measure.Options) (*measure.Result, error) { return measure.Photo(data, mo) })
}

// answer judges what measuring gives.
func (opt Options) answer(measured func(measure.Options) (*measure.Result, error)) (*Document, error) {
	if err := opt.Spec.Valid(); err != nil {
		var r *qc.Refusal
		if errors.As(err, &r) {
			return nil, r
		}
		return nil, &qc.Refusal{Code: "bad-spec", Text: err.Error(), Do: "check the kind, the size and the limits"}
	}
	if _, err := opt.Spec.Limits(); err != nil {
		return nil, &qc.Refusal{Code: "bad-limits", Text: err.Error(), Do: "check the limit set and the drawing's limits"}
	}
	mo := opt.Measure
	mo.Kind, mo.NominalMM, mo.Mark = opt.Spec.Kind, opt.Spec.NominalMM, opt.Spec.Mark
	doc := &Document{Photo: opt.Photo, Method: measure.Method, Spec: opt.Spec, Locations: []Location{},
		Warnings: []measure.Note{}, Problems: []qc.Refusal{}}
	res, err := measured(mo)
	if err != nil {
		var r *qc.Refusal
		if !errors.As(err, &r) {
			return nil, err
		}
		doc.Problems = append(doc.Problems, *r)
		return doc, nil
	}
	if err := doc.fill(res, &opt); err != nil {
		return nil, err
	}
	return doc, nil
}

func (d *Document) fill(res *measure.Result, opt *Options) error {
	d.SHA256, d.Width, d.Height, d.Taken, d.Camera = res.SHA256, res.Width, res.Height, res.Taken, res.Camera
	d.Proven = opt.proven(res)
	d.Warnings = append(d.Warnings, res.Warnings...)
	d.Problems = append(d.Problems, res.Problems...)
	d.Scale = scaleOf(res.Scale)
	d.Next = next(d.Scale)
	for _, e := range res.EdgesPx {
		d.EdgesPx = append(d.EdgesPx, [2]Point{point(e[0]), point(e[1])})
	}
	for i := range res.Locations {
		out, err := judged(&res.Locations[i], opt, d.Proven, asked(res.Locations))
		if err != nil {
			return err
		}
		if res.Scale != nil {
			for k, r := range res.Locations[i].Readings {
				if r.EdgeMM != nil {
					out.Readings[k].PerMMUp = perMMUp(&res.Scale.Camera, res.Locations[i].Centre, *r.EdgeMM)
				}
			}
		}
		d.Locations = append(d.Locations, out)
	}
	return nil
}

// perMMUp tells how far along its distance from a place a line is seen to move for each mm that it is
// raised above the sheet.
func perMMUp(cam *geom.Camera, from geom.SheetPoint, line [2]geom.SheetPoint) float64 {
	along := line[1].Sub(line[0])
	foot := line[0].Add(along.Scale(from.Sub(line[0]).Dot(along) / along.Dot(along)))
	to := foot.Sub(from)
	if to.Norm() < 1e-9 {
		return 0
	}
	return tidy(cam.ViewSlope(foot).Dot(to) / to.Norm())
}

func scaleOf(s *measure.Scale) *Scale {
	if s == nil {
		return nil
	}
	c := s.Camera
	return &Scale{From: s.From, Layout: s.Layout, Targets: s.Targets, ResidualPx: tidy(s.ResidualPx),
		TiltDeg: tidy(s.TiltDeg), DistanceMM: tidy(s.DistanceMM), MMPerPx: s.MMPerPx,
		Camera: Camera{c.FocalPx, c.CxPx, c.CyPx, c.K1, c.R, c.T}, CardPx: points(s.CardPx), WindowPx: points(s.WindowPx)}
}

// judged gives a location with its checks; neighbourAsked tells that some location of the photo is
// asked about. Where a gauge study asks for it, U grows first.
func judged(l *measure.Location, opt *Options, p *qc.Proven, neighbourAsked bool) (Location, error) {
	out := Location{What: l.Kind, Dash: opt.Size, NominalMM: opt.Spec.NominalMM, CentrePx: point(l.CentrePx),
		SheetMM: Point{tidy(l.Centre.X), tidy(l.Centre.Y)}, RadiusMM: tidy(l.RadiusMM), OutlinePx: points(l.OutlinePx), ByHand: l.ByHand, Hand: l.Hand, Probability: tidy(l.Probability), Clear: tidy(l.Clear),
		Readings: []Reading{}, Ask: l.Ask}
	out.HandlesPx[0] = Point{l.MiddlePx.U, l.MiddlePx.V} // not rounded: they are given back
	for i, p := range l.SidesPx {
		out.HandlesPx[i+1] = Point{p.U, p.V}
	}
	var rs []qc.Reading
	for _, r := range l.Readings {
		o := Reading{Reading: r.Reading}
		if p != nil {
			o.Reading = r.Grow(*p)
		}
		rs = append(rs, o.Reading)
		if r.EdgePx != nil {
			o.EdgePx = &[2]Point{point(r.EdgePx[0]), point(r.EdgePx[1])}
		}
		if r.ToPx != nil {
			p, k := point(*r.ToPx), r.ToIndex
			o.ToPx, o.To = &p, &k
		}
		out.Readings = append(out.Readings, o)
	}
	var j qc.Result
	if l.Ask == nil {
		var err error
		j, err = qc.JudgeLocation(opt.Spec, rs, nil)
		if err != nil {
			return out, &qc.Refusal{Code: "bad-spec", Text: err.Error(), Do: "check the kind, the size and the limits"}
		}
		out.Unread, out.Notes = j.Unread, j.Notes
		if has(j.Unread, qc.Pitch) && neighbourAsked {
			out.Notes = append(out.Notes, "a neighbour was seen but not measured, so its pitch was not read")
		}
	}
	out.Summary = standing.Summarize(j.Checks, rs, j.Unread, "")
	return out, nil
}

func has(ls []qc.Limit, q qc.Quantity) bool {
	return slices.ContainsFunc(ls, func(l qc.Limit) bool { return l.Quantity == q })
}

func asked(ls []measure.Location) bool {
	return slices.ContainsFunc(ls, func(l measure.Location) bool { return l.Ask != nil })
}

// Measured tells whether everything that was seen was also read.
func (d *Document) Measured() bool {
	if len(d.Problems) > 0 {
		return false
	}
	for _, l := range d.Locations {
		if l.Ask != nil {
			return false
		}
	}
	return true
}

// SizeDoubts are the warnings that things of another size than the one said were found, or passed over.
func (d *Document) SizeDoubts() []measure.Note {
	var out []measure.Note
	for _, n := range d.Warnings {
		if n.Code == "unusual-size" || n.Code == "other-size" {
			out = append(out, n)
		}
	}
	return out
}

// SizeDoubted says whether there are any.
func (d *Document) SizeDoubted() bool { return len(d.SizeDoubts()) > 0 }

func point(p geom.PxPoint) Point { return Point{tidy(p.U), tidy(p.V)} }

func points(ps []geom.PxPoint) []Point {
	if ps == nil {
		return nil
	}
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = point(p)
	}
	return out
}

// tidy rounds to a thousandth of a pixel, millimetre or degree: finer digits mean nothing
// and would only lengthen the document. Readings themselves are not rounded.
func tidy(v float64) float64 { return math.Round(v*1000) / 1000 }
