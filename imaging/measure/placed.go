package measure

import (
	"math"

	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// nearMarkPx is how far off the hand's marks an edge may lie to be the one that was meant: a hand
// errs by handPx. From there on the marks count more and more, and twice as far off they alone.
const nearMarkPx = 2 * handPx

// placed adds the outlines that a person placed and drops what was found in their place.
func (m *sheetMap) placed(pic *raster.Picture, opt *Options, fs []fastener.Fastener) []fastener.Fastener {
	for _, h := range opt.Outlines {
		f, ok := fastener.Placed(&m.cam, opt.Kind, opt.NominalMM, fastener.HeightOf(opt.Kind, opt.NominalMM), h.SidesPx)
		if !ok {
			continue
		}
		var found *fastener.Fastener
		kept := make([]fastener.Fastener, 0, len(fs)+1)
		for i := range fs {
			if o := &fs[i]; o.Centre.Sub(f.Centre).Norm() > max(o.RMM, f.RMM) {
				kept = append(kept, *o)
			} else if whyAsk(o, opt) == nil && !o.Placed {
				found = o
			}
		}
		f, touched := m.nearMarks(pic, opt, f, found, h.SidesPx)
		if touched {
			fs = append(kept, f)
		}
	}
	return fs
}

// nearMarks is the outline of hand, which a person placed by its sides, as the picture shows it near
// there: that of found, which may be nil, what is seen along the marks, or the marks. touched is false
// where it is found itself, and nothing was changed by hand.
//
// A step of the hand moves the outline by no more than two, and its diameter by no more than the step.
func (m *sheetMap) nearMarks(pic *raster.Picture, opt *Options, hand fastener.Fastener, found *fastener.Fastener, sides fastener.Sides) (f fastener.Fastener, touched bool) {
	seen, offPx := found, 0.0
	if found != nil {
		// Of a head whose height was seen, that is the height of its marks.
		if own, ok := fastener.Placed(&m.cam, opt.Kind, opt.NominalMM, found.HeightMM, sides); ok {
			hand = own
		}
		offPx = found.OffMM(&m.cam, opt.Kind, sides) * hand.PxPerMM
	}
	if found == nil || offPx > 2*nearMarkPx {
		near := hand.Near(pic, &m.cam, fastener.Options{Kind: opt.Kind, NominalMM: opt.NominalMM}, 2*nearMarkPx/hand.PxPerMM)
		offPx = near.OffMM(&m.cam, opt.Kind, sides) * hand.PxPerMM
		if whyAsk(&near, opt) != nil || offPx > 2*nearMarkPx {
			return hand, true
		}
		off := math.Abs(near.MeanD() - hand.MeanD()) // the hand's look is one too, though no close one
		near.Change, near.DifferMM = max(near.Change, off), max(near.DifferMM, off/2)
		seen = &near
	}
	byMarks := 0.0
	if offPx > nearMarkPx {
		byMarks = min(2*(offPx-nearMarkPx)/offPx, 1)
	}
	if byMarks == 0 && seen == found {
		return *found, false
	}
	return hand.Toward(seen, byMarks, &m.cam, opt.Kind), true
}

// Ring gives the outline that a person places by its sides, as the photo shows it, px: what is drawn
// while they move; nil where they say nothing.
func Ring(cam *geom.Camera, kind qc.Kind, nominalMM float64, sides fastener.Sides) []geom.PxPoint {
	f, ok := fastener.Placed(cam, kind, nominalMM, fastener.HeightOf(kind, nominalMM), sides)
	if !ok {
		return nil
	}
	return seenPx(cam, &f)
}

func seenPx(cam *geom.Camera, f *fastener.Fastener) (px []geom.PxPoint) {
	for _, c := range f.Contour {
		px = append(px, cam.Project(c, 0))
	}
	return px
}
