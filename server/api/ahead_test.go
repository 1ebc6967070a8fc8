package api

import (
	"encoding/json"
	"net/http"
	"testing"

	"bucktail/qc/history"
	"bucktail/store"
)

// One odd id does not get in, so it can't stand before everything that others write later.
func TestAnIDFarAheadIsRefused(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	entries, project, _, _ := b.part(1)
	b.push(entries...).want(http.StatusOK, "")
	note := b.write(history.Draft{Kind: history.KindNote, Project: project, Data: history.NoteData{Text: "hello"}})
	h := note.Head
	h.ID = "ffffffff-ffff-7fff-bfff-ffffffffffff"
	raw, err := json.Marshal(h)
	if err != nil {
		t.Fatal(err)
	}
	odd, err := history.Parse(raw)
	if err != nil {
		t.Fatal(err)
	}
	a := b.push(odd)
	a.want(http.StatusOK, "")
	var v struct{ Results []store.Result }
	a.read(&v)
	if r := v.Results[0]; r.Status != store.Refused || r.Refusal.Code != "id-ahead" {
		t.Errorf("%+v", r)
	}
	if got := b.push(note).statuses(); got[0] != store.New {
		t.Errorf("the same note under a good id: %v", got)
	}
}
