package fastener

import (
	"math"
	"runtime"
	"slices"
	"sort"

	"bucktail/imaging/cores"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fastener/radial"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
)

// Find finds the fasteners of one kind and size without a tap, and looks where the
// builder tapped. The picture is not changed; the result is sorted by place.
func Find(pic *raster.Picture, cam *geom.Camera, opt Options) []Fastener {
	var taps []radial.Place
	for _, t := range opt.Taps {
		taps = append(taps, radial.Place{At: t, Votes: math.Inf(1)})
	}
	found := theFound(lookAtAll(pic, cam, taps, opt))
	if !opt.Only {
		found = append(found, search(pic, cam, opt)...)
	}
	return likeliest(found)
}

// search looks at the places that are voted for, the strongest first, until no more fasteners
// like those found are to be expected.
func search(pic *raster.Picture, cam *geom.Camera, opt Options) []Fastener {
	prof := outline.ProfileOf(opt.Kind)
	view := rectified.NewView(pic, cam, rectified.SeenBox(pic, cam, opt.Around, 0), viewStepD*opt.NominalMM)
	places := radial.Places(view, prof.MinD*opt.NominalMM/2, prof.MaxD*opt.NominalMM/2, opt.OnCard, mostPlaces)
	first := opt.First
	if first == 0 {
		first = usualFirst
	}
	head, rest := places[:min(first, len(places))], places[min(first, len(places)):]
	found := theFound(lookAtAll(pic, cam, head, opt))
	least, ok := worthLooking(head, found)
	if !ok {
		return found
	}
	if n := slices.IndexFunc(rest, func(p radial.Place) bool { return p.Votes < least }); n >= 0 {
		rest = rest[:n]
	}
	for missed := 0; len(rest) > 0 && missed < patience; {
		// All of these are looked at whatever is found among them: none of the cores
		// need wait for the others in between.
		sure := rest[:min(patience-missed, len(rest))]
		for few := range slices.Chunk(lookAtAll(pic, cam, sure, opt), fewPlaces) {
			more := theFound(few)
			found = append(found, more...)
			if missed += len(few); len(more) > 0 {
				missed = 0
			}
		}
		rest = rest[len(sure):]
	}
	return found
}

// viewStepD is the grain of the view that is voted in, in nominal diameters: a driven head is
// some 24 pixels wide there.
const viewStepD = 0.06

// usualFirst is how many places are looked at in any case: enough where the card is left out.
const usualFirst = 8

// mostPlaces bounds the work on a photo full of round things.
const mostPlaces = 80

// patience is how many places in a row, the strongest first, are looked at without finding a
// fastener before the fainter ones are given up. On the 20 rendered example photos nothing was
// found behind the seventh place after the first ones, and 24 more photos gave the same with it
// as without.
const patience = 24

// fewPlaces is how many places are looked at before patience is held against them.
const fewPlaces = 8

// fainter is what votes vary by among the fasteners of one photo, of their median: on the
// rendered photos the faintest has 0.41 of it.
const fainter = 0.3

// worthLooking gives the votes below which no more fasteners like those found are to be
// expected. ok is false where none
// of the strongest was one.
func worthLooking(tried []radial.Place, found []Fastener) (votes float64, ok bool) {
	var vs []float64
	for _, f := range found {
		near := math.Inf(1)
		var v float64
		for _, p := range tried {
			if d := p.At.Sub(f.Centre).Norm(); d < near {
				near, v = d, p.Votes
			}
		}
		vs = append(vs, v)
	}
	if len(vs) == 0 {
		return 0, false
	}
	return fainter * fit.Median(vs), true
}

// lookAtAll looks at every place, on as many cores as there are. It gives what stands at each, nil
// for nothing, whatever core was faster.
func lookAtAll(pic *raster.Picture, cam *geom.Camera, places []radial.Place, opt Options) []*Fastener {
	all := make([]*Fastener, len(places))
	cores.Each(len(places), runtime.GOMAXPROCS(0), func(_, i int) {
		if f, ok := measureRound(pic, cam, places[i].At, opt, math.IsInf(places[i].Votes, 1)); ok {
			all[i] = &f
		}
	})
	return all
}

// theFound gives those of all that are there, in their order.
func theFound(all []*Fastener) (found []Fastener) {
	for _, f := range all {
		if f != nil {
			found = append(found, *f)
		}
	}
	return found
}

// likeliest keeps the likelier of two that overlap, tapped ones first: non-maximum suppression.
func likeliest(rs []Fastener) []Fastener {
	sort.SliceStable(rs, func(a, b int) bool {
		if rs[a].Tapped != rs[b].Tapped {
			return rs[a].Tapped
		}
		return rs[a].Probability*rs[a].Support > rs[b].Probability*rs[b].Support
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
	sort.SliceStable(out, func(a, b int) bool {
		if out[a].Centre.X != out[b].Centre.X {
			return out[a].Centre.X < out[b].Centre.X
		}
		return out[a].Centre.Y < out[b].Centre.Y
	})
	return out
}
