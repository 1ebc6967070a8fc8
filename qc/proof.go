package qc

import "fmt"

// Setup is what a photo was taken and read with, as far as a gauge study of it goes.
type Setup struct {
	Device string `json:"device"`           // the phone, or the computer that took its photos in
	Camera string `json:"camera,omitempty"` // maker and model as the photo tells them
	Sheet  string `json:"sheet,omitempty"`  // number of the printed sheet that the card was cut from
	Layout string `json:"layout,omitempty"` // of the card
	Kind   Kind   `json:"kind"`             // what was looked at
}

// Proof is what a gauge study came to, as far as readings need it.
type Proof struct {
	Study string `json:"study"` // id of its entry
	Setup
	Factor float64 `json:"factor"` // by which U grows; 1 where it holds
}

// Proven is the study that is in force for a photo.
type Proven struct {
	Proof
	Other bool `json:"other,omitempty"` // it was made with another sheet or card
}

// InForce gives the study that counts for photos taken with s: the last of the same phone, camera
// and kind; one with this sheet and card goes before one with another. What a phone did worse than
// U says it does with another sheet too, until a study with that one says otherwise. ps are in the
// order in which they were made. Study is empty where there is none, Factor is 1 then.
func InForce(ps []Proof, s Setup) Proven {
	out := Proven{Proof: Proof{Setup: s, Factor: 1}}
	for _, p := range ps {
		if p.Device != s.Device || p.Camera != s.Camera || p.Kind != s.Kind {
			continue
		}
		other := p.Sheet != s.Sheet || p.Layout != s.Layout
		if !other || out.Study == "" || out.Other {
			out = Proven{p, other}
		}
	}
	return out
}

// Grown tells of a reading what its photo gave before a gauge study made its U grow.
type Grown struct {
	Study  string  `json:"study"` // id of the study's entry
	Factor float64 `json:"factor"`
	UMM    float64 `json:"U_mm"` // that the photo gave
}

// Grow makes the uncertainty of a photo's reading as large as the study in force asks for. All of its
// contributions grow alike, so that U stays what they add up to; distances grow as diameters do, for
// nobody measured how much worse they are.
func (r Reading) Grow(p Proven) Reading {
	if !(p.Factor > 1) || r.How != ByPhoto && r.How != ByPhotoHand {
		return r
	}
	r.Grown = &Grown{p.Study, p.Factor, r.UMM}
	r.UMM *= p.Factor
	cs := make([]Contribution, len(r.Contributions))
	for i, c := range r.Contributions {
		c.UMM *= p.Factor
		cs[i] = c
	}
	r.Contributions = cs
	r.Warnings = append(r.Warnings[:len(r.Warnings):len(r.Warnings)],
		fmt.Sprintf("U is %.2f times what the photo gives, since this phone's gauge study found larger errors", p.Factor))
	return r
}
