// Package together measures one place by several photos: what each of them gave, by package
// measure, becomes one answer. In go photos of the same place, each with the scale card in it;
// out come its fasteners with readings that stand on all photos that agree, and with the head's
// height, which one photo does not show. It has no limits and keeps no record.
//
// Every photo has a camera of its own. Fasteners are fitted to all photos at once (package
// outline, FitViews); edges are averaged where photos agree. Where photos disagree grossly the
// odd one is left out, or the place is asked about: what is wrong is never averaged. Parts of a
// budget that all photos share do not shrink with their number; budget.go tells which.
// Start with [Join].
package together

import (
	"fmt"

	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
)

// Photo is one of the photos and its part in the whole.
type Photo struct {
	*measure.Result
	// LeftOut tells why the photo has no part in it, nil where it has.
	LeftOut *qc.Refusal
	// Moved tells that the card lay elsewhere than in the first photo.
	Moved bool
	// Camera stands over the sheet as the first photo's card has it; only of photos that are not
	// left out.
	Camera geom.Camera

	motion motion          // from the first photo's sheet to this one's
	regCov [3][3]float64   // of the motion's shift X, Y (mm) and angle (rad), about regAt; zero where the card lay still
	regAt  geom.SheetPoint // in the first photo's sheet
	fs     []fastener.Fastener
}

// Look is what one photo shows of a location.
type Look struct {
	Photo     int // index in Result.Photos
	CentrePx  geom.PxPoint
	OutlinePx []geom.PxPoint // as found in it; where that is not used, as the others say that it looks here
	Used      bool           // the readings stand on it
	Why       string         // why not
}

// Location is one fastener. Its Centre is on the first photo's sheet, its pixels are of the photo
// Px.
type Location struct {
	measure.Location
	Px    int
	Looks []Look // of each photo that was not left out
	Tilt  *Tilt  // of a driven head's flat, where it can be told
	// NoHeight says why a driven head's height was not read and what to do; "" where it was, or the
	// head is asked about.
	NoHeight string
	// Alone are the readings of the first photo by itself; nil where it does not show the fastener or
	// asks about it.
	Alone []measure.Reading
}

// Tilt is how far a flat is from parallel to the sheet.
type Tilt struct{ Deg, UDeg float64 } // U expanded, k = 2

// Result is what several photos gave together.
type Result struct {
	Photos    []Photo
	Locations []Location
	Warnings  []measure.Note
	Problems  []qc.Refusal
}

// Join joins what photos of one place gave, all measured with opt.
func Join(rs []*measure.Result, opt measure.Options) *Result { return join(rs, opt).res }

func join(rs []*measure.Result, opt measure.Options) *joining {
	j := &joining{opt: opt, res: &Result{}}
	for _, r := range rs {
		j.res.Photos = append(j.res.Photos, Photo{Result: r, motion: still, fs: r.Fasteners()})
	}
	j.leaveOutUnusable()
	j.register()
	for i := range j.res.Photos {
		p := &j.res.Photos[i]
		if p.LeftOut == nil {
			j.used = append(j.used, i)
			p.Camera = p.motion.camera(&p.Scale.Camera)
		}
	}
	if len(j.used) > 0 {
		j.group()
		for _, p := range j.places {
			j.head(p)
		}
		j.locations()
	}
	return j
}

// joining is the work on one set of photos.
type joining struct {
	opt    measure.Options
	res    *Result
	used   []int // photos that are not left out
	places []*place
}

// leaveOutUnusable leaves out photos that show no card or are there twice.
func (j *joining) leaveOutUnusable() {
	first := map[string]int{}
	for i := range j.res.Photos {
		p := &j.res.Photos[i]
		if k, twice := first[p.SHA256]; twice {
			p.LeftOut = &qc.Refusal{Code: "same-photo", Text: fmt.Sprintf("this is the same file as photo %d", k+1),
				Do: "take another photo, from another side"}
			continue
		}
		first[p.SHA256] = i
		switch {
		case len(p.Problems) > 0 && p.Scale == nil:
			r := p.Problems[0]
			p.LeftOut = &r
		case !p.ByCard():
			p.LeftOut = &qc.Refusal{Code: "no-card", Text: "photos are measured together by the card in each",
				Do: "lay the card beside the work and take the photo again"}
		}
	}
}
