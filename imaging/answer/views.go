package answer

import (
	"fmt"
	"math"
	"slices"

	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/imaging/together"
	"bucktail/qc"
)

// mostViews is how many photos [Views] keeps: more than are taken of one place.
const mostViews = 8

// Views keeps what photos of one place gave, without their pictures, so that one more can be joined
// with them. The zero value is empty and ready.
type Views struct{ kept []view }

type view struct {
	View
	result *measure.Result
}

// View names a photo and what it was measured with.
type View struct {
	SHA256 string
	With   string // two that are equal were measured alike
}

// Measure measures a photo, keeps what it gave, and gives its own answer, as [Decoded] does. It takes
// the place of what the same photo gave before; where there is too much, the oldest goes.
func (v *Views) Measure(ph *photo.Photo, with string, opt Options) (*Document, error) {
	return opt.answer(func(mo measure.Options) (*measure.Result, error) {
		if err := mo.Valid(); err != nil {
			return nil, err
		}
		r := measure.Decoded(ph, mo)
		v.kept = append(slices.DeleteFunc(v.kept, func(o view) bool { return o.SHA256 == ph.SHA256 }), view{View{ph.SHA256, with}, r})
		if len(v.kept) > mostViews {
			v.kept = v.kept[1:]
		}
		return r, nil
	})
}

// Join joins photos that were measured with this Views, opt being what the first was measured with. An
// error is a *qc.Refusal: "not-at-hand" where one is not kept, or was measured otherwise.
func (v *Views) Join(of []View, opt Options) (*Document, error) {
	var rs []*measure.Result
	var names []string
	for i, want := range of {
		at := -1
		for k := range v.kept {
			if v.kept[k].View == want {
				at = k
			}
		}
		if at < 0 {
			return nil, &qc.Refusal{Code: "not-at-hand", Text: fmt.Sprintf("photo %d is not measured", i+1), Do: "give the photo again"}
		}
		rs, names = append(rs, v.kept[at].result), append(names, fmt.Sprintf("photo %d", i+1))
	}
	return opt.join(rs, names)
}

// join joins what photos gave, all measured with opt.
func (opt Options) join(rs []*measure.Result, names []string) (*Document, error) {
	if len(rs) == 0 {
		return nil, &qc.Refusal{Code: "no-photo", Text: "no photo is given", Do: "give photos of one place"}
	}
	mo := opt.Measure
	mo.Kind, mo.NominalMM = opt.Spec.Kind, opt.Spec.NominalMM
	doc := &Document{Photo: names[0], Method: measure.Method, Spec: opt.Spec, Locations: []Location{}, Warnings: []measure.Note{}, Problems: []qc.Refusal{}}
	return doc, doc.join(together.Join(rs, mo), names, &opt)
}

// sameSpanMM is how far off, as the first photo alone has it, an edge or a neighbour may lie to be
// the same one.
const sameSpanMM = 0.6

// aloneU gives the uncertainty that the first photo by itself gave the quantity of r; 0 where it did
// not read it.
func aloneU(r qc.Reading, alone []measure.Reading) float64 {
	u, off := 0.0, math.Inf(1)
	if r.Quantity == qc.EdgeDistance || r.Quantity == qc.Pitch {
		off = sameSpanMM
	}
	for _, a := range alone {
		if d := math.Abs(a.ValueMM - r.ValueMM); a.Quantity == r.Quantity && d < off {
			u, off = a.UMM, d
		}
	}
	if r.Grown != nil { // alone it would have grown as well
		u *= r.Grown.Factor
	}
	return u
}
