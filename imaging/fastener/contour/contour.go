// Package contour looks at one place of the photo for an outline. In go a picture (px), the
// camera over the sheet, a place on the sheet (mm) and the kind; out come edge observations on
// the sheet's plane (mm), one a direction, with their standard uncertainties, and how likely
// and how clear the outline is. Neighbourhoods are unwrapped, bands along a contour rectified,
// and small networks look at both. Start with [Around] and [Along].
package contour

import (
	"math"
	"slices"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Directions is the number of directions in which an outline is looked for.
const Directions = convnet.Directions

// Look is what one look gave.
type Look struct {
	Logit        float64 // that a fastener of the wanted kind stands there
	Observations []outline.Observation
	Clear        float64 // mean fraction of each direction's likelihood that its best place holds
	SpreadMM     float64 // mean standard deviation of the silhouette's place, of all of its likelihood
	Ways         []Way   // of a hole: each direction's likelihood as a whole
}

// Way is one direction of a look, straight outward over the sheet.
type Way struct {
	Direction  int             // its number, of Directions
	From, Step geom.SheetPoint // its first place, and from each to the next
	Logits     []float32       // of the silhouette at each place
}

// Opinion is one of the two networks that look from afar. They were trained from different
// starts, and the second looks at the mirror image, in which a head looks no different: where
// the two disagree, the contour is uncertain.
type Opinion struct {
	net    func() *convnet.Network
	mirror bool
}

// First looks first, Second in the mirror.
var First, Second = Opinion{outlineNetA, false}, Opinion{outlineNetB, true}

// FirstBand and SecondBand look along a contour: the first was trained on scenes like workshop
// photographs, the second on clean ones, which it sees finer.
var FirstBand, SecondBand = Opinion{bandNetA, false}, Opinion{bandNetB, false}

// leastSeen is the fraction of a neighbourhood that has to lie in the photo.
const leastSeen = 0.6

// Around looks at the neighbourhood of centre for a fastener of kind k and usual radius
// rNomMM. ok is false where the photo shows too little of it, or the logit is below least.
func Around(pic *raster.Picture, cam *geom.Camera, centre geom.SheetPoint, rNomMM float64, k qc.Kind, by Opinion, least float64) (v Look, ok bool) {
	p := unwrap(pic, cam, centre, rNomMM)
	if p.seen < leastSeen {
		return v, false
	}
	v = p.look(by, cam, k, least)
	return v, v.Logit >= least
}

// look gives the view of the neighbourhood p, without observations where the logit is below least.
func (p *polar) look(by Opinion, cam *geom.Camera, k qc.Kind, least float64) (v Look) {
	ws := convnet.Borrow()
	defer ws.Return()
	maps, logit := by.net().See(ws, p.picture(ws, by.mirror), p.setting(cam, k, by.mirror), least)
	v.Logit = logit
	if maps != nil {
		v.read(maps, p.patch, p.at, k, by.mirror, afarReach, 0)
	}
	return v
}

// Along looks along the contour that a head of outline o, side view prof and height
// heightMM would show: within withinMM of it, in the whole band where that is 0.
func Along(pic *raster.Picture, cam *geom.Camera, o *outline.Outline, prof *outline.Profile, heightMM, rNomMM float64, k qc.Kind, by Opinion, withinMM float64) (v Look) {
	b := rectify(pic, cam, o, prof, heightMM, rNomMM)
	ws := convnet.Borrow()
	defer ws.Return()
	maps, _ := by.net().See(ws, b.picture(ws, false), b.setting(cam, k, false), math.Inf(-1))
	v.read(maps, b.patch, b.at, k, false, closeReach, withinMM)
	return v
}

// How a row of the network's map is read, in columns. Set on rendered photos together with the
// fit's constants; testdata/training/README.md has the figures.
const (
	afarReach, closeReach = 3, 5 // what lies as near to the likeliest column is the same contour; a band's columns are finer
	leastFraction         = 0.3  // of the likelihood that has to lie there
	leastSigma            = 0.25 // no place is surer: a column's rectangle has 0.29
)

// read takes the observations from the network's maps, silhouette and flat: in each direction the
// place that at names, found within reach steps of the likeliest column of those that lie within
// withinMM of the patch's middle (0: of all).
func (v *Look) read(maps *convnet.Planes, p *patch, at func(i int, k float64) geom.SheetPoint, k qc.Kind, mirror bool, reach int, withinMM float64) {
	n, first, last := 0, 0, p.rho-1
	if withinMM > 0 {
		off := min(int(math.Ceil(withinMM/p.stepMM)), p.rho/2-1)
		first, last = (p.rho-1)/2-off, p.rho/2+off
	}
	for i := range convnet.Directions {
		if !p.cov[2*i] || !p.cov[2*i+1] {
			continue
		}
		n++
		for m := range 2 {
			if m == 1 && k != qc.ShopHead {
				break
			}
			row := i
			if mirror {
				row = convnet.Directions - 1 - i
			}
			col, sigma, fraction, spread := fit.Likeliest(maps.Row(m, row), first, last, reach)
			if m == 0 {
				v.Clear += fraction
				v.SpreadMM += spread * p.stepMM
			}
			if k == qc.Hole {
				v.Ways = append(v.Ways, Way{i, at(i, 0), at(i, 1).Sub(at(i, 0)), slices.Clone(maps.Row(m, row))})
			}
			if fraction < leastFraction || col < 0.5 || col > float64(p.rho)-1.5 { // unclear, or the border
				continue
			}
			v.Observations = append(v.Observations, outline.Observation{
				At: at(i, col),
				// A place that holds half of the likelihood is worth as much as four such
				// places with half the spread.
				UMM:  p.stepMM * math.Hypot(sigma, leastSigma) / fraction,
				Flat: m == 1,
			})
		}
	}
	v.Clear /= float64(max(n, 1))
	v.SpreadMM /= float64(max(n, 1))
}
