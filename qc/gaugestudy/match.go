package gaugestudy

import (
	"cmp"
	"fmt"
	"math"

	"bucktail/qc"
)

// Photo is what one photo shows.
type Photo struct {
	Camera string `json:"camera"` // as it tells it
	Layout string `json:"layout"` // of the card
	// Stretch is by how much the print is larger than its page, of printed circles, both ways on the average.
	Stretch float64 `json:"stretch,omitempty"`
	Spots   []Spot  `json:"spots"`
}

// Spot is one object as a photo shows it: where on the sheet that the card lies on, and what was read.
type Spot struct {
	XMM      float64      `json:"x_mm"`
	YMM      float64      `json:"y_mm"`
	Readings []qc.Reading `json:"readings"`
	// Of a printed circle its diameter on the page, mm, by which it is known again, and what was read.
	PrintedMM float64 `json:"printed_mm,omitempty"`
	ValueMM   float64 `json:"value_mm,omitempty"`
	UMM       float64 `json:"U_mm,omitempty"`
}

// printU is what the middle of a printed circle's line may be off by from its place on the page, expanded
// (practice: a quarter of a dot of 600 to the inch), beside the stretch that the check lines tell.
const printU = 0.01

// mean gives the mean diameter of it; false where none was read.
func (s Spot) mean() (qc.Reading, bool) {
	if s.PrintedMM > 0 {
		return qc.Reading{ValueMM: s.ValueMM, UMM: s.UMM}, s.ValueMM > 0
	}
	for _, r := range s.Readings {
		if r.Quantity == qc.HeadDMean || r.Quantity == qc.HoleDMean {
			return r, true
		}
	}
	return qc.Reading{}, false
}

// Matched is which spot of which photo is which object.
type Matched struct {
	// Base is the photo that shows most of them: its spots are the objects, in its order.
	Base    int      `json:"base"`
	Spots   []int    `json:"spots"`   // of the base, for each object
	Objects []Object `json:"objects"` // with what was read, without names and references
	// Few says that nothing can be told from so few, before anybody measures them by hand.
	Few *qc.Refusal `json:"few,omitempty"`
}

// sameMM is how far apart two photos may see one object: far more than a centre is off by, far less
// than two stand apart.
const sameMM = 1.5

// Match finds the objects again on each photo by their place: card and objects stay where they are, the
// phone alone is moved. It refuses photos between which something else was. Printed circles it knows by
// their sizes, which are their references.
func Match(photos []Photo) (Matched, error) {
	m := Matched{Objects: []Object{}, Spots: []int{}}
	var seen [][]int // the spots of each photo that were read
	for j, p := range photos {
		var read []int
		for i, s := range p.Spots {
			if _, ok := s.mean(); ok {
				read = append(read, i)
			}
		}
		seen = append(seen, read)
		if len(read) > len(seen[m.Base]) {
			m.Base = j
		}
	}
	if len(photos) == 0 || len(seen[m.Base]) == 0 {
		return m, &qc.Refusal{Code: "no-object", Text: "no photo shows an object that could be read", Do: "lay the card beside them and take the photos again"}
	}
	base := photos[m.Base]
	m.Spots = seen[m.Base]
	for _, k := range m.Spots {
		o := Object{ReadMM: make([]float64, len(photos)), ReadUMM: make([]float64, len(photos))}
		if d := base.Spots[k].PrintedMM; d > 0 {
			o.Name, o.ReferenceMM, o.UMM = fmt.Sprintf("circle of %g mm", d), d*cmp.Or(base.Stretch, 1), printU
		}
		m.Objects = append(m.Objects, o)
	}
	for j, p := range photos {
		if p.Camera != base.Camera || p.Layout != base.Layout {
			return m, &qc.Refusal{Code: "mixed", Text: fmt.Sprintf("photos %d and %d were taken with different cameras or cards", j+1, m.Base+1),
				Do: "take all of them with the same phone, in the same way, and one card"}
		}
		found := 0
		for _, k := range seen[j] {
			s := p.Spots[k]
			at, off := -1, sameMM
			for i, b := range m.Spots {
				d := math.Hypot(s.XMM-base.Spots[b].XMM, s.YMM-base.Spots[b].YMM)
				switch {
				case s.PrintedMM != base.Spots[b].PrintedMM:
					continue
				case s.PrintedMM > 0:
					d = 0
				}
				if d < off && m.Objects[i].ReadMM[j] == 0 {
					at, off = i, d
				}
			}
			if at >= 0 {
				r, _ := s.mean()
				m.Objects[at].ReadMM[j], m.Objects[at].ReadUMM[j] = r.ValueMM, r.UMM
				found++
			}
		}
		if 4*found < 3*len(seen[j]) {
			return m, &qc.Refusal{Code: "moved", Text: fmt.Sprintf("photo %d shows the objects elsewhere than photo %d: the card or they were moved between", j+1, m.Base+1),
				Do: "leave card and objects where they lie, and take the photos again"}
		}
	}
	whole := 0
	for _, o := range m.Objects {
		if o.seen() == len(photos) {
			whole++
		}
	}
	if whole < LeastObjects || len(photos) < LeastPhotos {
		m.Few = &qc.Refusal{Code: "few-objects", Text: tooFew(whole, len(photos)), Do: "take the photos again, nearer, with five objects or more"}
	}
	return m, nil
}
