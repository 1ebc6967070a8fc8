package placing

import (
	"maps"
	"slices"

	"bucktail/qc/history"
)

// Behind is a photo to lay behind the pins that were measured in it.
type Behind struct {
	Photo string `json:"photo"` // SHA-256
	// Ratio is the photo's height over its width. Map takes a place of the upright photo to one of the
	// layout, both as fractions of width and height, x right, y down: a 3 x 3 matrix by rows, for
	// homogeneous coordinates.
	Ratio float64    `json:"ratio"`
	Map   [9]float64 `json:"map"`
}

// BehindOf is the photo that shows most of a part's pins, rectified; nil where the pins are not
// from photos. The lens's distortion is left in it: the pins are true, the picture is to look at.
func BehindOf(part history.Part, locs []history.Location, st *history.State) *Behind {
	l := part.Layout
	if l == nil || l.From != history.FromPhotos {
		return nil
	}
	pins := map[string]Point{}
	for _, loc := range locs {
		if loc.Pin != nil && !loc.Out {
			pins[loc.ID] = placeOf(l, loc.Pin)
		}
	}
	shown := map[string]map[string]Point{} // by shot and location
	shots := map[string]*history.Places{}
	for _, loc := range locs {
		for _, f := range placesAt(st, loc) {
			if shown[f.Shot] == nil {
				shown[f.Shot], shots[f.Shot] = map[string]Point{}, f.Places
			}
			shown[f.Shot][loc.ID] = complex(f.Places.SheetMM[0], f.Places.SheetMM[1])
		}
	}
	best, most := "", 0
	for _, id := range slices.Sorted(maps.Keys(shown)) {
		if len(shown[id]) > most {
			best, most = id, len(shown[id])
		}
	}
	t, ok := onto(pins, shown[best])
	photo := photoOf(st, part.ID, best)
	if !ok || photo == "" {
		return nil
	}
	p := shots[best]
	c, w, h := p.Camera, float64(p.WidthPx), float64(p.HeightPx)
	// Fractions of the layout to millimetres of the shot's frame.
	sheet := product([9]float64{real(t.m), -imag(t.m), real(t.n), imag(t.m), real(t.m), imag(t.n), 0, 0, 1},
		[9]float64{l.WidthMM, 0, 0, 0, -l.HeightMM, 0, 0, 0, 1})
	seen := product([9]float64{c.FocalPx, 0, c.CxPx, 0, c.FocalPx, c.CyPx, 0, 0, 1},
		[9]float64{c.R[0][0], c.R[0][1], c.T[0], c.R[1][0], c.R[1][1], c.T[1], c.R[2][0], c.R[2][1], c.T[2]})
	shot := product([9]float64{1 / w, 0, 0.5 / w, 0, 1 / h, 0.5 / h, 0, 0, 1}, product(seen, sheet))
	inverse, ok := inverted(shot)
	if !ok {
		return nil
	}
	return &Behind{photo, h / w, inverse}
}

// photoOf is the hash of a shot's photo.
func photoOf(st *history.State, part, shot string) string {
	for _, e := range st.Concerning(part) {
		if e.ID == shot {
			d, _ := history.DataOf[history.ShotData](e)
			return d.Photo
		}
	}
	return ""
}

func product(a, b [9]float64) (out [9]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += a[3*i+k] * b[3*k+j]
			}
		}
	}
	return out
}

// inverted is the inverse of a 3 x 3 matrix, up to a factor so that its last element is 1.
func inverted(m [9]float64) (out [9]float64, ok bool) {
	for i := range 3 {
		for j := range 3 {
			a, b, c, d := (j+1)%3, (j+2)%3, (i+1)%3, (i+2)%3
			out[3*i+j] = m[3*a+c]*m[3*b+d] - m[3*a+d]*m[3*b+c]
		}
	}
	last := out[8]
	if last == 0 {
		return out, false
	}
	for i := range out {
		out[i] /= last
	}
	return out, true
}
