package qc

import (
	"fmt"
	"strings"
)

// Setup is what a photo was taken and read with, as far as a gauge study of it goes.
type Setup struct {
	Device string `json:"device"`           // the phone, or the computer that took its photos in
	Camera string `json:"camera,omitempty"` // maker and model as the photo tells them
	Sheet  string `json:"sheet,omitempty"`  // number of the printed sheet that the card was cut from
	Layout string `json:"layout,omitempty"` // of the card
	Kind   Kind   `json:"kind"`             // what was looked at, or [PrintedCircles]
}

// PrintedCircles is the kind of a study of circles that are printed beside the card: it proves the optics
// alone, lens, focus and the card's geometry, and nothing of how heads and holes are seen.
const PrintedCircles = "printed-circles"

// Proof is what a gauge study came to, as far as readings need it.
type Proof struct {
	Study string `json:"study"` // id of its entry
	Setup
	Light  string  `json:"light,omitempty"` // in which it was made, as typed
	Factor float64 `json:"factor"`          // by which U grows; 1 where it holds
	// Elsewhere is the project in which it was made, where that is another one: sheets are numbered
	// within a project.
	Elsewhere string `json:"elsewhere,omitempty"`
}

// Proven is the study that is in force for a photo.
type Proven struct {
	Proof
	Other bool `json:"other,omitempty"` // it was made with another sheet, card or phone
}

// InForce gives the study that counts for photos taken with s, of those of the same kind:
//
//   - those of the same phone and camera with this sheet and card; where there are none
//   - those of that phone with another: what it did worse than U says it does with this one too, until
//     a study with this one says otherwise; where there are none
//   - those of any phone whose photos name the same camera: who measured may not know the phone (the
//     command line, a laptop that takes its photos in), or the phone may have joined anew.
//
// Where there is none of that kind, one of [PrintedCircles] counts in the same way, for the part of U that
// is the camera's: see [Reading.Grow].
//
// Of each phone and light the last one counts, and of these the worst: no photo tells its light. ps are
// in the order in which they were made. Study is empty where there is none, Factor is 1 then.
func InForce(ps []Proof, s Setup) Proven {
	type light struct{ device, name string }
	last := [3]map[light]Proof{{}, {}, {}}
	for _, p := range ps {
		if p.Camera != s.Camera || p.Kind != s.Kind {
			continue
		}
		rank := 0
		switch {
		case p.Device != s.Device && p.Camera == "":
			continue
		case p.Device != s.Device:
			rank = 2
		case p.Sheet != s.Sheet || p.Layout != s.Layout || p.Elsewhere != "":
			rank = 1
		}
		last[rank][light{p.Device, strings.ToLower(strings.TrimSpace(p.Light))}] = p
	}
	out := Proven{Proof: Proof{Setup: s, Factor: 1}}
	for rank, of := range last {
		for _, p := range of {
			if out.Study == "" || p.Factor > out.Factor || p.Factor == out.Factor && p.Study > out.Study {
				out = Proven{p, rank > 0}
			}
		}
		if out.Study != "" {
			return out
		}
	}
	if s.Kind != PrintedCircles {
		optics := s
		optics.Kind = PrintedCircles
		if p := InForce(ps, optics); p.Study != "" {
			return p
		}
	}
	return out
}

// Grown tells of a reading what its photo gave before a gauge study made its U grow.
type Grown struct {
	Study  string  `json:"study"`  // id of the study's entry
	Factor float64 `json:"factor"` // of all of U, or of printed circles of the camera's part
	UMM    float64 `json:"U_mm"`   // that the photo gave
}

// Grow makes the uncertainty of a photo's reading as large as the study in force asks for. All of its
// contributions grow alike, so that U stays what they add up to; distances grow as diameters do, for
// nobody measured how much worse they are. A study of printed circles makes the camera's part grow, and
// U by what that comes to: of how heads and holes are seen it tells nothing.
func (r Reading) Grow(p Proven) Reading {
	if !(p.Factor > 1) || r.How != ByPhoto && r.How != ByPhotoHand {
		return r
	}
	grown, before := r, r.UMM
	cs := make([]Contribution, len(r.Contributions))
	for i, c := range r.Contributions {
		if p.Kind != PrintedCircles || c.Label == CameraFit {
			c.UMM *= p.Factor
		}
		cs[i] = c
	}
	grown.Contributions = cs
	grown.UMM *= p.Factor
	if p.Kind == PrintedCircles {
		was, err := CombineReading(r.Contributions)
		now, err2 := CombineReading(cs)
		if err != nil || err2 != nil || !(now.Expanded > was.Expanded) {
			return r // nothing of it is the camera's
		}
		grown.UMM = before * now.Expanded / was.Expanded
	}
	grown.Grown = &Grown{p.Study, p.Factor, before}
	grown.Warnings = append(r.Warnings[:len(r.Warnings):len(r.Warnings)],
		fmt.Sprintf("U is %.2f times what the photo gives, since this phone's gauge study found larger errors", grown.UMM/before))
	return grown
}
