package history_test

import (
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// TestPhotoOfTheRivetBefore: a photo that was kept of a rivet shows none that is set in its place.
func TestPhotoOfTheRivetBefore(t *testing.T) {
	b := newBench()
	old, now := histtest.PhotoHash([]byte("before")), histtest.PhotoHash([]byte("after"))
	b.do(history.KindFinding, histtest.HeadFinding("", old, narrow, 12))
	st := history.StateOf(b.Wrote)
	if st.ShowedBefore(b.at.Location, old) || !st.Replaced(b.at.Location, 1).IsZero() {
		t.Error("of the rivet that still stands there")
	}
	out := b.Put(b.at.Draft(history.KindDrilledOut, history.DrilledOutData{Finding: b.last[history.KindFinding]}))
	b.do(history.KindFinding, histtest.HeadFinding("", now, good, 12))
	st = history.StateOf(b.Wrote)
	if !st.ShowedBefore(b.at.Location, old) {
		t.Error("the old photo may show the new rivet")
	}
	if st.ShowedBefore(b.at.Location, now) {
		t.Error("the new photo may not")
	}
	if got := st.Replaced(b.at.Location, 2); !got.Equal(out.At) {
		t.Errorf("replaced at %v, drilled out at %v", got, out.At)
	}
	if st.ShowedBefore("no such location", old) || !st.Replaced("no such location", 2).IsZero() {
		t.Error("of a location that is not there")
	}
}
