// Package aim turns frames of a live view into one instruction for the hand that holds the
// phone: how to come to a photo that measures well. It measures nothing that is kept. Start
// with [Eye].
package aim

import (
	"fmt"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Advice is the one thing to do next; the worst trouble comes first.
type Advice string

// The advices, worst first.
const (
	NoCard  Advice = "no-card" // nothing like a card is seen
	CutOff  Advice = "cut-off" // part of the card is outside the picture, or covered
	Far     Advice = "far"
	Near    Advice = "near"
	Tilted  Advice = "tilted"
	Aside   Advice = "aside" // not yet where one more photo is wanted from
	Dark    Advice = "dark"
	Shaking Advice = "shaking"
	Ready   Advice = "ready"
)

const (
	// A photo measures best from 15 px per mm on; below, heads are read with a larger U.
	farPxPerMM = 15
	// Nearer than this, phones of usual make no longer focus (common practice: 80 to 100 mm
	// with the main camera). It is held against the rough distance, so it is on the near side.
	nearMM = 80
	// Straight from above measures best, and is worth a word from here on: under 10° by the true
	// focal length, which this rough tilt does not know to better than a few degrees.
	tiltDeg = 12
	// One more photo need not come from exactly where it is wanted, and this rough tilt does not know.
	asideDeg = 8
	// White paper darker than this (of 255) asks a phone for more than 1/30 s and a noisy
	// picture (common practice: white is metered to about 200).
	darkPaper = 90
	// At 25 mm/s a hundredth of a second smears by a quarter of a millimetre, twice the
	// blur at which rings are refused (imaging/plane, soft blur 0.12 mm).
	shakeMMPerS = 25
	// What the phone's main camera sees, as a fraction of the picture's diagonal: 26 mm to 43.3 mm.
	usualFocal = 0.6
)

// Frame describes the pixels that come with it: RGBA, 8 bits each, rows without gaps.
type Frame struct {
	W int `json:"w"`
	H int `json:"h"`
	// Still is the photo's width over the frame's: the still camera has more pixels than the
	// live view. 0 means 1.
	Still float64 `json:"still"`
	AtMS  float64 `json:"at_ms"` // when it was taken, any clock that runs on
	// Toward is, for one more photo of a place, the way from the card to where the phone is wanted, a
	// unit vector in the frame, and TiltDeg how far from straight above; nil: straight above.
	Toward  *[2]float64 `json:"toward,omitempty"`
	TiltDeg float64     `json:"tilt_deg,omitempty"`
}

// Ring is one target of the card in the frame.
type Ring struct {
	At   [2]float64 `json:"at"` // px of the frame
	Seen bool       `json:"seen"`
}

// Sight is what a frame shows. Places are in pixels of the frame, (0, 0) the centre of its
// first one.
type Sight struct {
	Advice  Advice       `json:"advice"`
	Refusal *qc.Refusal  `json:"refusal,omitempty"` // why a photo like this frame would not do
	Layout  string       `json:"layout,omitempty"`
	Outline [][2]float64 `json:"outline"`
	Rings   []Ring       `json:"rings"`
	Seen    int          `json:"seen"`

	PxPerMM    float64    `json:"px_per_mm"`   // of the photo to come, at the card
	DistanceMM float64    `json:"distance_mm"` // rough
	NearerMM   float64    `json:"nearer_mm"`   // to move toward the card; negative: away
	TiltDeg    float64    `json:"tilt_deg"`    // rough
	Nearer     [2]float64 `json:"nearer"`      // unit vector in the frame toward the card's near side: raise the phone there

	PaperLuma float64 `json:"paper_luma"` // of the card's white, 0 to 255; 0 without a card
	MMPerS    float64 `json:"mm_per_s"`   // how fast the card moves; 0 for the first frame
}

// Eye looks at one live view. The zero value is ready; one Eye serves one view.
type Eye struct {
	finder card.Finder
	grey   raster.Grey
	last   *card.Match
	lastMS float64
}

// Look looks at a frame. The error is about the frame itself: its pixels don't fit its size.
func (e *Eye) Look(f Frame, rgba []byte) (*Sight, error) {
	if f.W < 1 || f.H < 1 || f.W > 8192 || f.H > 8192 || len(rgba) != 4*f.W*f.H {
		return nil, fmt.Errorf("a frame of %d × %d pixels does not have %d bytes", f.W, f.H, len(rgba))
	}
	if !(f.Still > 0) {
		f.Still = 1
	}
	e.take(f, rgba)
	s := &Sight{Advice: NoCard, Outline: [][2]float64{}, Rings: []Ring{}}
	found := e.finder.Guide(&e.grey)
	s.Refusal = found.Refusal
	m := found.Match
	if m == nil {
		e.last = nil
		return s, nil
	}
	e.fill(s, f, m)
	s.Advice = advise(s, f, m)
	e.last, e.lastMS = m, f.AtMS
	return s, nil
}

// take makes the grey plane. Source of the weights: ITU-R BT.601, in 256ths.
func (e *Eye) take(f Frame, rgba []byte) {
	n := f.W * f.H
	if cap(e.grey.Pix) < n {
		e.grey.Pix = make([]uint8, n)
	}
	e.grey.W, e.grey.H, e.grey.Pix = f.W, f.H, e.grey.Pix[:n]
	for i := range e.grey.Pix {
		p := rgba[4*i : 4*i+3 : 4*i+3]
		e.grey.Pix[i] = uint8((77*uint32(p[0]) + 150*uint32(p[1]) + 29*uint32(p[2]) + 128) >> 8)
	}
}

func (e *Eye) fill(s *Sight, f Frame, m *card.Match) {
	s.Layout = m.Layout.Name
	for _, p := range m.OutlinePx() {
		s.Outline = append(s.Outline, place(p))
	}
	for _, t := range m.Targets {
		s.Rings = append(s.Rings, Ring{place(t.CentrePx), t.Sight == card.Seen})
	}
	s.Seen = m.SeenCount()
	// A frame has the photo's view with fewer pixels.
	s.PxPerMM = round(m.PxPerMM * f.Still)
	focalPx := usualFocal * math.Hypot(float64(f.W), float64(f.H))
	distance := focalPx / m.PxPerMM
	s.DistanceMM = round(distance)
	// A fifth nearer than far and a quarter farther than near: guidance need not be followed to
	// the millimetre.
	s.NearerMM = round(distance - max(focalPx*f.Still/(farPxPerMM*1.2), nearMM*1.25))
	s.TiltDeg, s.Nearer = round(m.TiltDeg), place(m.NearerPx)
	s.PaperLuma = round(e.paper(m))
	if e.last != nil && e.last.Layout == m.Layout && f.AtMS > e.lastMS {
		moved := 0.0
		for i := range m.Targets {
			moved = max(moved, m.Targets[i].CentrePx.Sub(e.last.Targets[i].CentrePx).Norm())
		}
		s.MMPerS = round(moved / m.PxPerMM / (f.AtMS - e.lastMS) * 1000)
	}
}

// paper gives the level that three quarters of the samples inside the card stay under: the
// white between the rings, for rings and lines cover less than half of it.
func (e *Eye) paper(m *card.Match) float64 {
	var levels [256]int
	n := 0
	const grid = 24 // points each way: some hundreds on the card
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, t := range m.Layout.Targets {
		x0, y0, x1, y1 = min(x0, t.At.X), min(y0, t.At.Y), max(x1, t.At.X), max(y1, t.At.Y)
	}
	for j := range grid {
		for i := range grid {
			c := geom.CardPoint{X: x0 + (x1-x0)*float64(i)/(grid-1), Y: y0 + (y1-y0)*float64(j)/(grid-1)}
			if !within(m.Layout.Outline, c) || len(m.Layout.Window) > 0 && within(m.Layout.Window, c) {
				continue
			}
			p := m.ToPx(c)
			u, v := int(math.Round(p.U)), int(math.Round(p.V))
			if u < 0 || v < 0 || u >= e.grey.W || v >= e.grey.H {
				continue
			}
			levels[e.grey.Pix[v*e.grey.W+u]]++
			n++
		}
	}
	if n == 0 {
		return 0
	}
	at, sum := 0, levels[0]
	for 4*sum < 3*n {
		at++
		sum += levels[at]
	}
	return float64(at)
}

// within tells whether a point lies inside a polygon, by the crossings of a ray.
func within(poly []geom.CardPoint, p geom.CardPoint) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

func advise(s *Sight, f Frame, m *card.Match) Advice {
	out := 0
	for _, t := range m.Targets {
		if t.Sight == card.OutOfFrame {
			out++
		}
	}
	switch {
	case out > 0, s.Refusal != nil && s.Refusal.Code == "few-targets":
		return CutOff
	case s.Refusal != nil && s.Refusal.Code == "too-small" && s.PxPerMM < farPxPerMM, s.PxPerMM < farPxPerMM:
		return Far
	case s.Refusal != nil && s.Refusal.Code != "too-small": // a frame has fewer pixels than the photo
		return NoCard
	case s.DistanceMM < nearMM:
		return Near
	case f.Toward != nil && off(s, f) > asideDeg:
		return Aside
	case f.Toward == nil && s.TiltDeg > tiltDeg:
		return Tilted
	case s.PaperLuma < darkPaper:
		return Dark
	case s.MMPerS > shakeMMPerS:
		return Shaking
	}
	return Ready
}

// off gives how far, in degrees, the phone is from where one more photo is wanted from.
func off(s *Sight, f Frame) float64 {
	return math.Hypot(s.Nearer[0]*s.TiltDeg-f.Toward[0]*f.TiltDeg, s.Nearer[1]*s.TiltDeg-f.Toward[1]*f.TiltDeg)
}

func place(p geom.PxPoint) [2]float64 { return [2]float64{round(p.U), round(p.V)} }

// round keeps a hundredth: more would only lengthen the message.
func round(v float64) float64 { return math.Round(v*100) / 100 }
