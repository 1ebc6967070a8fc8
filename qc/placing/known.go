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
	// Of pins that a finger set on a picture of known size: a hundredth of its larger side, which is
	// 3 px of a phone's 340, and never finer than what photos measure.
	pinnedNear, pinnedFar = 0.01, 0.025
	// Of pins on a picture of unknown size, which is not seen square from above either.
	sketchNear, sketchFar = 0.02, 0.05
)

// plainHeight is the height over the width of a layout without a picture.
const plainHeight = 0.6

// knownOf gathers what the record knows of where a part's locations lie.
func knownOf(st *history.State, part history.Part, locs []history.Location) Known {
	var k Known
	placed := map[string]bool{}
	pins := pinned(part.Layout, locs)
	patches := measured(st, locs)
	for _, m := range append(slices.Clone(patches), pins) {
		for _, p := range m.Places {
			placed[p.ID] = true
		}
	}
	for i := range patches {
		// The pins say that there are no others than these.
		patches[i].Whole = pins.Whole && len(patches[i].Places) == len(pins.Places)
	}
	k.Maps = patches
	if len(pins.Places) > 0 {
		k.Maps = append(k.Maps, pins)
	}
	for _, l := range locs {
		if !placed[l.ID] {
			k.Listed = append(k.Listed, l.ID)
		}
	}
	return k
}

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
	m := Map{Scaled: scaled, Whole: layout.From == "" || layout.All, NearMM: sketchNear * size, FarMM: sketchFar * size}
	switch {
	case layout.From == history.FromPhotos:
		m.NearMM, m.FarMM = measuredNearMM, measuredFarMM
	case scaled:
		m.NearMM, m.FarMM = max(measuredNearMM, pinnedNear*size), max(measuredFarMM, pinnedFar*size)
	}
	for _, l := range locs {
		if l.Pin == nil {
			m.Whole = false
			continue
		}
		m.Places = append(m.Places, Place{l.ID, complex(l.Pin.X*w, -l.Pin.Y*h)})
	}
	return m
}

// measured are the maps that the photos of a part make: one of each photo, joined by what they show
// in common.
func measured(st *history.State, locs []history.Location) []Map {
	shots := map[string]map[string]Point{} // by shot and location
	for _, l := range locs {
		for _, f := range placesAt(st, l) {
			if shots[f.Shot] == nil {
				shots[f.Shot] = map[string]Point{}
			}
			shots[f.Shot][l.ID] = complex(f.Places.SheetMM[0], f.Places.SheetMM[1])
		}
	}
	var patches []map[string]Point
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
		m := Map{Scaled: true, NearMM: measuredNearMM, FarMM: measuredFarMM}
		for _, id := range slices.Sorted(maps.Keys(p)) {
			m.Places = append(m.Places, Place{id, p[id]})
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
func join(a, b map[string]Point) bool {
	var common []string
	for _, id := range slices.Sorted(maps.Keys(b)) {
		if _, ok := a[id]; ok {
			common = append(common, id)
		}
	}
	var from, to [2]string
	far := 0.0
	for _, x := range common {
		for _, y := range common {
			if math.Abs(cmplx.Abs(a[x]-a[y])-cmplx.Abs(b[x]-b[y])) > measuredNearMM {
				return false
			}
			if d := cmplx.Abs(b[x] - b[y]); d > far {
				far, from, to = d, [2]string{x, y}, [2]string{x, y}
			}
		}
	}
	if far == 0 {
		return false
	}
	t := turnBetween(b[from[0]], b[from[1]], a[to[0]], a[to[1]], false, true)
	for id, p := range b {
		if _, ok := a[id]; !ok {
			a[id] = t.of(p)
		}
	}
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
