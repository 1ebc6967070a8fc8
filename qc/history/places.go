package history

import (
	"fmt"
	"math"
)

// Places say where on its shot a finding was measured, so that outline and dimensions can be
// drawn upon the photo again. They say nothing that counts: verdicts come from the readings.
// All places are upright pixels of the shot, [u, v], (0,0) the middle of the first pixel,
// rounded to a tenth.
type Places struct {
	WidthPx   int            `json:"width_px"` // of the upright shot
	HeightPx  int            `json:"height_px"`
	Camera    Camera         `json:"camera"`
	Layout    string         `json:"layout,omitempty"` // of the card that gave the scale
	CentrePx  PxPair         `json:"centre_px"`        // of the hole or head
	SheetMM   [2]float64     `json:"sheet_mm"`         // the same on the sheet, in the camera's frame
	RadiusMM  float64        `json:"radius_mm"`
	OutlinePx []PxPair       `json:"outline_px,omitempty"`
	Spans     []ReadingPlace `json:"spans,omitempty"` // of edge distances and pitches
}

// PxPair is a place in a photo as [u, v], for the many of them that an outline has.
type PxPair [2]float64

// ReadingPlace is where one reading of the finding goes to.
type ReadingPlace struct {
	Reading int        `json:"reading"`           // index in the finding's readings
	EdgePx  *[2]PxPair `json:"edge_px,omitempty"` // with an edge distance: two points on the edge
	ToPx    *PxPair    `json:"to_px,omitempty"`   // with a pitch: the other centre
}

// Camera maps the sheet to the shot. With (X, Y, Z) = R (x, y, height) + T in millimetres and
// r² = (X² + Y²) / Z², a point is seen at (CxPx, CyPx) + FocalPx (1 + K1 r²) (X/Z, Y/Z).
type Camera struct {
	FocalPx float64       `json:"focal_px"`
	CxPx    float64       `json:"cx_px"`
	CyPx    float64       `json:"cy_px"`
	K1      float64       `json:"k1"`
	R       [3][3]float64 `json:"r"`
	T       [3]float64    `json:"t"`
}

// PlaceOf gives the place of a reading, nil where none is kept.
func (p *Places) PlaceOf(reading int) *ReadingPlace {
	for i := range p.Spans {
		if p.Spans[i].Reading == reading {
			return &p.Spans[i]
		}
	}
	return nil
}

// mostOutline bounds an outline's points: one at each half degree is more than anybody sees.
const mostOutline = 720

// Valid says what is wrong with the places of a finding with so many readings, nil if nothing.
// What it lets through can be drawn: no place is far from the photo.
func (p *Places) Valid(readings int) error {
	if p.WidthPx < 1 || p.WidthPx > 100_000 || p.HeightPx < 1 || p.HeightPx > 100_000 {
		return fmt.Errorf("places on a photo of %d × %d px", p.WidthPx, p.HeightPx)
	}
	if len(p.OutlinePx) > mostOutline || len(p.Spans) > maxList {
		return fmt.Errorf("%d points of an outline, %d spans are more than %d and %d",
			len(p.OutlinePx), len(p.Spans), mostOutline, maxList)
	}
	c := &p.Camera
	ok := inRange(1, 1e6, c.FocalPx) && inRange(-1e6, 1e6, c.CxPx, c.CyPx) && inRange(-10, 10, c.K1) && inRange(-1e5, 1e5, c.T[:]...)
	for _, row := range c.R {
		ok = ok && inRange(-1.001, 1.001, row[:]...)
	}
	if !ok {
		return fmt.Errorf("no camera that took a photo: %+v", *c)
	}
	pairs := append([]PxPair{p.CentrePx}, p.OutlinePx...)
	for _, s := range p.Spans {
		if s.Reading < 0 || s.Reading >= readings {
			return fmt.Errorf("the place of reading %d of %d", s.Reading, readings)
		}
		if s.EdgePx != nil {
			pairs = append(pairs, s.EdgePx[:]...)
		}
		if s.ToPx != nil {
			pairs = append(pairs, *s.ToPx)
		}
	}
	for _, q := range pairs {
		if !inRange(-1e6, 1e6, q[:]...) {
			return fmt.Errorf("a place at %v px", q)
		}
	}
	if !inRange(-1e5, 1e5, p.SheetMM[:]...) || !inRange(0.01, 1000, p.RadiusMM) {
		return fmt.Errorf("a radius of %.6g mm at %.6g mm on the sheet", p.RadiusMM, p.SheetMM)
	}
	return nil
}

func inRange(least, most float64, vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || v < least || v > most {
			return false
		}
	}
	return true
}
