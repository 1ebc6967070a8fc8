package placing

import (
	"maps"
	"math"
	"math/cmplx"
	"slices"

	"bucktail/qc/history"
)

// What a layout from photos leaves about its pins.
const (
	marginMM   = 15   // to its border on each side
	leastRatio = 0.35 // of the shorter side to the longer one, so that a row is no mere line
	gridMM     = 10   // between its grid lines
	// A pin that lies this near to where it was measured is not written anew.
	samePinMM = 0.1
)

// Lay plans the layout of a part that nobody pinned: the places that its photos measured, at true
// scale, in the frame of the first of them, as entries to be written. Photos that show two or more
// locations in common are joined. What is pinned from photos already stays where it is, and nothing
// is planned where nothing is new. A part with pins or a picture of a person's choice is left alone.
func Lay(st *history.State, part string) []history.Draft {
	p, _, ok := st.Part(part)
	if !ok {
		return nil
	}
	locs := present(st, part)
	if p.Layout == nil && pinCount(locs) > 0 || p.Layout != nil && p.Layout.From != history.FromPhotos {
		return nil
	}
	at, kept := laid(p.Layout, locs, measured(st, locs, func(*history.FindingData) bool { return true }))
	if len(at) == 0 {
		return nil
	}
	l := history.LayoutData{}
	var min, max Point
	if kept {
		l, max = *p.Layout, complex(p.Layout.WidthMM, 0)
		min = complex(0, -p.Layout.HeightMM)
	}
	fits := kept
	for _, q := range at {
		fits = fits && within(q, min, max)
	}
	var out []history.Draft
	draft := func(k history.Kind, location string, data any) {
		out = append(out, history.Draft{Kind: k, Project: p.Project, Part: part, Location: location, Data: data})
	}
	if !fits {
		min, max = frame(at)
		l = history.LayoutData{WidthMM: real(max - min), HeightMM: imag(max - min), StepMM: gridMM, From: history.FromPhotos}
		draft(history.KindLayout, "", l)
	}
	for _, loc := range locs {
		q, ok := at[loc.ID]
		if !ok || fits && loc.Pin != nil && cmplx.Abs(placeOf(p.Layout, loc.Pin)-q) <= samePinMM {
			continue
		}
		draft(history.KindLocation, loc.ID, history.LocationData{Pin: &history.Pin{
			X: real(q-min) / l.WidthMM, Y: imag(max-q) / l.HeightMM}})
	}
	return out
}

// laid says where locations lie in the frame of the layout that there is, where the photos join on
// to it, else in that of the map that shows most. What a photo measured goes before a pin that was
// set by hand. It is nil where the pins that there are would lose their places.
func laid(l *history.LayoutData, locs []history.Location, patches []Map) (at map[string]Point, kept bool) {
	if len(patches) == 0 {
		return nil, false
	}
	at = map[string]Point{}
	for _, loc := range locs {
		if l != nil && loc.Pin != nil {
			at[loc.ID] = placeOf(l, loc.Pin)
		}
	}
	for _, m := range patches {
		now := placesOf(m)
		t, ok := onto(now, at)
		if !ok {
			continue
		}
		kept = true
		for id, q := range now {
			at[id] = t.of(q)
		}
	}
	if kept {
		return at, true
	}
	first := placesOf(patches[0])
	for id := range at {
		if _, ok := first[id]; !ok {
			return nil, false
		}
	}
	return first, false
}

// onto is the turn that lays b onto a: the one under which most of what both have lies where it
// should. A single one in common is enough where there is nothing else to turn.
func onto(b, a map[string]Point) (best turn, ok bool) {
	var common []string
	for _, id := range slices.Sorted(maps.Keys(b)) {
		if _, there := a[id]; there {
			common = append(common, id)
		}
	}
	if len(common) == 1 && (len(a) == 1 || len(b) == 1) {
		return turn{m: 1, n: a[common[0]] - b[common[0]]}, true
	}
	most, far := 1, 0.0
	for i, x := range common {
		for _, y := range common[:i] {
			apart := cmplx.Abs(b[x] - b[y])
			if apart < 1e-6 || math.Abs(cmplx.Abs(a[x]-a[y])-apart) > measuredNearMM {
				continue
			}
			t, agree := turnBetween(b[x], b[y], a[x], a[y], false, true), 0
			for _, id := range common {
				if cmplx.Abs(t.of(b[id])-a[id]) <= measuredNearMM {
					agree++
				}
			}
			if agree > most || agree == most && ok && apart > far {
				best, ok, most, far = t, true, agree, apart
			}
		}
	}
	return best, ok
}

func placesOf(m Map) map[string]Point {
	out := map[string]Point{}
	for _, p := range m.Places {
		out[p.ID] = p.At
	}
	return out
}

// placeOf is where a pin lies in its layout's frame: the origin at the picture's upper left, y up.
func placeOf(l *history.LayoutData, p *history.Pin) Point {
	return complex(p.X*l.WidthMM, -p.Y*l.HeightMM)
}

func within(q, min, max Point) bool {
	return real(q) >= real(min) && real(q) <= real(max) && imag(q) >= imag(min) && imag(q) <= imag(max)
}

// frame is the rectangle about places, lower left and upper right, with room about them.
func frame(at map[string]Point) (min, max Point) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range at {
		x0, x1 = math.Min(x0, real(q)), math.Max(x1, real(q))
		y0, y1 = math.Min(y0, imag(q)), math.Max(y1, imag(q))
	}
	w, h := x1-x0+2*marginMM, y1-y0+2*marginMM
	w, h = math.Ceil(math.Max(w, leastRatio*h)), math.Ceil(math.Max(h, leastRatio*w))
	mid := complex((x0+x1)/2, (y0+y1)/2)
	return mid - complex(w, h)/2, mid + complex(w, h)/2
}

func present(st *history.State, part string) (out []history.Location) {
	for _, l := range st.Locations(part) {
		if !l.Out {
			out = append(out, l)
		}
	}
	return out
}

func pinCount(locs []history.Location) (n int) {
	for _, l := range locs {
		if l.Pin != nil {
			n++
		}
	}
	return n
}
