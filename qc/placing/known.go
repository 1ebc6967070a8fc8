package placing

import (
	"cmp"
	"maps"
	"math"
	"math/cmplx"
	"slices"

	"bucktail/qc"
	"bucktail/qc/history"
)

// How far a fastener may lie from where it is known to be.
const (
	// Of places that photos measured: 95 % of pitches are read to 0.25 mm, and a driven head may
	// stand half a millimetre off the hole that was measured before.
	measuredNearMM, measuredFarMM = 1, 2.5
	// Where the same was measured before, head or hole.
	sameNearMM, sameFarMM = 0.7, 1.2
	// Of pins that a finger set on a picture of known size: a hundredth of its larger side, which is
	// 3 px of a phone's 340, and never finer than what photos measure.
	pinnedNear, pinnedFar = 0.01, 0.025
	// Of pins on a picture of unknown size, which is not seen square from above either.
	sketchNear, sketchFar = 0.02, 0.05
)

// plainHeight is the height over the width of a layout without a picture.
const plainHeight = 0.6

// knownOf gathers what the record knows of where a part's locations lie, for a photo of fasteners of a
// kind ("" where that is not said): what is known best first.
func knownOf(st *history.State, part history.Part, locs []history.Location, kind qc.Kind) Known {
	var k Known
	placed := map[string]bool{}
	pins := pinned(part.Layout, locs)
	// What was measured of the same kind before is known best; the others besides.
	if kind != "" {
		k.Maps = measured(st, locs, func(f *history.FindingData) bool { return f.Spec.Kind == kind && !unfinished(f) })
		for i := range k.Maps {
			m := &k.Maps[i]
			m.NearMM, m.FarMM = sameNearMM, sameFarMM
			m.OneSide = kind != qc.Hole // a head of one kind stands on one side of the sheet
		}
	}
	k.Maps = append(k.Maps, measured(st, locs, func(*history.FindingData) bool { return true })...)
	for i := range k.Maps {
		// The pins say that there are no others than these.
		k.Maps[i].Whole = pins.Whole && len(k.Maps[i].Places) == len(pins.Places)
	}
	if len(pins.Places) > 0 {
		k.Maps = append(k.Maps, pins)
	}
	for _, m := range k.Maps {
		for _, p := range m.Places {
			placed[p.ID] = true
		}
	}
	for _, l := range locs {
		if !placed[l.ID] {
			k.Listed = append(k.Listed, l.ID)
		}
	}
	return k
}

// unfinished reports whether a finding was of a mark or of a pilot hole: the hole to come may run off it.
func unfinished(f *history.FindingData) bool { return f.Spec.Mark || f.Spec.Pilot }

// pinned is the map of the pins. It is whole where each location has one, for whoever lays a part
// out lays out all of it; pins that came from photos say nothing of what these did not show, until
// somebody says that there are no others.
func pinned(layout *history.LayoutData, locs []history.Location) Map {
	if layout == nil {
		layout = &history.LayoutData{}
	}
	w, h, scaled := layout.WidthMM, layout.HeightMM, true
	if w <= 0 || h <= 0 {
		w, h, scaled = float64(layout.WidthPx), float64(layout.HeightPx), false
	}
	if w <= 0 || h <= 0 {
		w, h = 1, plainHeight
	}
	size := max(w, h)
	m := Map{Scaled: scaled, Whole: layout.From == "" || layout.All, NearMM: sketchNear * size, FarMM: sketchFar * size, MovedMM: movedMM}
	switch {
	case layout.From == history.FromPhotos, layout.Plan != nil:
		m.NearMM, m.FarMM = measuredNearMM, measuredFarMM
	case scaled:
		m.NearMM, m.FarMM = max(measuredNearMM, pinnedNear*size), max(measuredFarMM, pinnedFar*size)
	}
	for _, l := range locs {
		if l.Pin == nil {
			m.Whole = false
			continue
		}
		at := complex(l.Pin.X*w, -l.Pin.Y*h)
		m.Places = append(m.Places, Place{ID: l.ID, At: at, Edges: laidOutEdges(layout, at)})
	}
	return m
}

// patch is what photos show in one frame: places of locations, and the edges near them.
type patch struct {
	at    map[string]Point
	edges map[string][]Edge
	moved float64 // see [Map.MovedMM]
}

// measured are the maps that the photos of a part make: one of each photo, joined by what they show
// in common. use says which findings count.
func measured(st *history.State, locs []history.Location, use func(*history.FindingData) bool) []Map {
	shots := map[string]*patch{}
	for _, l := range locs {
		for _, f := range placesAt(st, l) {
			if !use(&f) {
				continue
			}
			p := shots[f.Shot]
			if p == nil {
				p = &patch{map[string]Point{}, map[string][]Edge{}, 0}
				shots[f.Shot] = p
			}
			p.at[l.ID] = complex(f.Places.SheetMM[0], f.Places.SheetMM[1])
			p.edges[l.ID] = edgesOf(&f)
			if unfinished(&f) {
				p.moved = movedMM
			}
		}
	}
	var patches []*patch
	for _, id := range slices.Sorted(maps.Keys(shots)) { // ids of entries stand in the order of time
		patches = append(patches, shots[id])
	}
	for joined := true; joined; {
		joined = false
		for i := 0; i < len(patches) && !joined; i++ {
			for j := i + 1; j < len(patches) && !joined; j++ {
				if joined = join(patches[i], patches[j]); joined {
					patches = slices.Delete(patches, j, j+1)
				}
			}
		}
	}
	var out []Map
	for _, p := range patches {
		m := Map{Scaled: true, NearMM: measuredNearMM, FarMM: measuredFarMM, MovedMM: p.moved}
		for _, id := range slices.Sorted(maps.Keys(p.at)) {
			m.Places = append(m.Places, Place{id, p.at[id], p.edges[id]})
		}
		out = append(out, m)
	}
	slices.SortStableFunc(out, func(a, b Map) int { return cmp.Compare(len(b.Places), len(a.Places)) })
	return out
}

// placesAt are the findings of a location that say where on a shot they were measured, and that were
// not taken back.
func placesAt(st *history.State, l history.Location) (out []history.FindingData) {
	for _, e := range st.History(history.Subject{Of: history.OfLocation, ID: l.ID}) {
		d, err := history.DataOf[history.FindingData](e)
		if err == nil && d.Places != nil && d.Shot != "" && counts(l, e.ID) {
			out = append(out, d)
		}
	}
	return out
}

// counts reports whether a finding was not taken back.
func counts(l history.Location, entry string) bool {
	return slices.ContainsFunc(l.Attempts, func(a history.Attempt) bool { return slices.Contains(a.Findings, entry) })
}

// join lays b into the frame of a where they have two or more locations in common whose distances
// agree.
func join(a, b *patch) bool {
	var common []string
	for _, id := range slices.Sorted(maps.Keys(b.at)) {
		if _, ok := a.at[id]; ok {
			common = append(common, id)
		}
	}
	var x0, y0 string
	far := 0.0
	for _, x := range common {
		for _, y := range common {
			if math.Abs(cmplx.Abs(a.at[x]-a.at[y])-cmplx.Abs(b.at[x]-b.at[y])) > measuredNearMM {
				return false
			}
			if d := cmplx.Abs(b.at[x] - b.at[y]); d > far {
				far, x0, y0 = d, x, y
			}
		}
	}
	if far == 0 {
		return false
	}
	t := turnBetween(b.at[x0], b.at[y0], a.at[x0], a.at[y0], false, true)
	for id, p := range b.at {
		if _, ok := a.at[id]; !ok {
			a.at[id] = t.of(p)
		}
		if es := b.edges[id]; len(es) > 0 { // the later look
			a.edges[id] = nil
			for _, e := range es {
				a.edges[id] = append(a.edges[id], Edge{t.m * e.To, e.UMM})
			}
		}
	}
	a.moved = max(a.moved, b.moved)
	return true
}

// edgeMM is how far the nearest edge may be off what was read before, beyond what both uncertainties
// explain, before it speaks against a location.
const edgeMM = 2

// otherEdge reports whether a location was read with its nearest edge elsewhere.
func otherEdge(readings []qc.Reading, edgeNow, uNow float64) bool {
	least, u := math.Inf(1), 0.0
	for _, r := range readings {
		if r.Quantity == qc.EdgeDistance && r.ValueMM < least {
			least, u = r.ValueMM, r.UMM
		}
	}
	return edgeNow > 0 && !math.IsInf(least, 1) && math.Abs(least-edgeNow) > edgeMM+u+uNow
}
