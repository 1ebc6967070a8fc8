package fastener

import (
	"cmp"
	"math"
	"runtime"
	"slices"

	"bucktail/imaging/cores"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fastener/places"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Found is what was found on a sheet.
type Found struct {
	Fasteners []Fastener // sorted by place
	// Diameters, mm, of what looks like the kind that was named but is of another size.
	OtherDiametersMM []float64
}

// Find finds the fasteners of one kind without a tap, and looks where the builder tapped. The
// picture is not changed.
func Find(pic *raster.Picture, cam *geom.Camera, opt Options) Found {
	ps := places.Find(pic, cam, opt.Around, opt.NominalMM, leastLikely, opt.OnCard)
	var starts []start
	for _, t := range opt.Taps {
		starts = append(starts, atTap(t, ps, opt))
	}
	if !opt.Only {
		class := places.ClassOf(opt.Kind)
		for _, p := range ps {
			if p.P[class] > leastLikely && len(starts) < mostPlaces {
				starts = append(starts, start{at: p.At, rMM: p.RadiusMM, p: p.P})
			}
		}
	}
	all := make([]*Fastener, len(starts))
	cores.Each(len(starts), runtime.GOMAXPROCS(0), func(_, i int) {
		if f, ok := measureRound(pic, cam, &starts[i], opt); ok {
			all[i] = &f
		}
	})
	var found []Fastener
	for _, f := range all {
		if f != nil {
			found = append(found, *f)
		}
	}
	found = likeliest(found)
	// Where some are as large as is usual for the size that was said, it was said rightly, and the
	// rest are other things. Where none is, all that are near it are read as large as they are.
	room := otherSize
	for _, f := range found {
		if usualSize(opt.Kind, opt.NominalMM, f.MeanD()) && f.Probability > surelyOther {
			room = 0
		}
	}
	var out Found
	for _, f := range found {
		d := f.MeanD()
		if f.Tapped || usualSize(opt.Kind, opt.NominalMM, d) || offSize(opt.Kind, opt.NominalMM, d) < room {
			out.Fasteners = append(out.Fasteners, f)
		} else if f.Probability > surelyOther {
			out.OtherDiametersMM = append(out.OtherDiametersMM, d)
		}
	}
	return out
}

// surelyOther is how likely a thing of another size has to be of the kind to be told of.
const surelyOther = 0.7

// start is where a look begins: on the sheet, with a rough radius.
type start struct {
	at     geom.SheetPoint
	rMM    float64
	p      [places.Classes]float64 // how likely each class stands there, as seen from afar
	tapped bool                    // a person says that one does
}

// leastLikely is how likely a place has to look, from afar, to be looked at closely: what stands
// there is decided by the closer looks.
const leastLikely = 0.05

// mostPlaces bounds the work on a photo full of round things.
const mostPlaces = 120

// atTap is where to look for what a person pointed at: at the round thing that the tap
// lies on, if any.
func atTap(t geom.SheetPoint, ps []places.Place, opt Options) start {
	s := start{at: t, rMM: outline.ProfileOf(opt.Kind).TypicalD * opt.NominalMM / 2, tapped: true}
	near := 1.0
	for _, p := range ps {
		if d := p.At.Sub(t).Norm() / p.RadiusMM; d < near && offSize(opt.Kind, opt.NominalMM, 2*p.RadiusMM) < otherSize {
			near = d
			s.at, s.rMM, s.p = p.At, p.RadiusMM, p.P
		}
	}
	return s
}

// otherSize is how far off the usual diameter a thing may be, as a logarithm, and still be read as
// the fastener that was named: a dash number or two of the small rivets.
const otherSize = 0.35

// offSize gives how far a diameter is off the usual one of a kind and size, as a logarithm.
func offSize(k qc.Kind, nominalMM, diameterMM float64) float64 {
	return math.Abs(math.Log(diameterMM / (outline.ProfileOf(k).TypicalD * nominalMM)))
}

// sizeRoom is what a diameter may lie outside of the kind's usual range: what the worst readings err by.
const sizeRoom = 0.04

// usualSize tells whether fasteners of the kind and size are as wide.
func usualSize(k qc.Kind, nominalMM, diameterMM float64) bool {
	usual := outline.ProfileOf(k)
	return diameterMM > (1-sizeRoom)*usual.MinD*nominalMM && diameterMM < (1+sizeRoom)*usual.MaxD*nominalMM
}

// likeliest keeps the likelier of two that overlap, tapped ones first: non-maximum suppression.
func likeliest(rs []Fastener) []Fastener {
	slices.SortStableFunc(rs, func(a, b Fastener) int {
		if a.Tapped != b.Tapped {
			if a.Tapped {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.Probability*b.Support, a.Probability*a.Support)
	})
	var out []Fastener
next:
	for _, r := range rs {
		for _, o := range out {
			if r.Centre.Sub(o.Centre).Norm() < max(o.RMM, r.RMM) {
				continue next
			}
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b Fastener) int {
		return cmp.Or(cmp.Compare(a.Centre.X, b.Centre.X), cmp.Compare(a.Centre.Y, b.Centre.Y))
	})
	return out
}
