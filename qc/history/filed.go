package history

import "bucktail/qc"

// FiledData says that an edge near a location was filed: its edge distance there is another one now.
// One entry for each of the nearest holes.
type FiledData struct {
	Edge  string  `json:"edge"`               // which, in the builder's words
	Layer string  `json:"layer,omitempty"`    // whose edge; "" of the sheet that photos show
	MM    float64 `json:"taken_mm,omitempty"` // how much was taken off, 0: not said
}

// Filed is an edge that was filed.
type Filed struct {
	Entry string `json:"entry"`
	FiledData
}

// filed voids what was read of the edge: how far it is now must be measured anew.
func (w *walk) filed(e fact, d *FiledData) {
	w.loc.Filed = append(w.loc.Filed, Filed{e.ID, *d})
	if w.looks == nil {
		return
	}
	before := w.loc.Whole
	w.looks = append(w.looks, d.Look(e.ID))
	w.standing = qc.Stand(w.looks)
	w.stands()
	a := w.attempt()
	a.Verdict = w.loc.Whole
	last := &a.Looks[len(a.Looks)-1]
	*last = append(*last, e.ID)
	if w.loc.Whole != before { // decided before this was known
		w.disposition, w.dispEntry, w.decisions = DispositionData{}, "", nil
	}
}

// Look gives the filing as one of the looks that its location's readings add up from; id is its
// entry's.
func (d *FiledData) Look(id string) qc.Look { return qc.Look{ID: id, Filed: true, Layer: d.Layer} }
