package main

import (
	"encoding/json"
	"fmt"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/server/demo/photos"
)

// The sample's part that has been worked on: its drafts, in which "@3" stands for the id of the
// fourth of them, "$project" and "$card" for what the app has made before
// (pwa/src/screens/start/sample.tsx). What a photo says is read off it by the program itself while
// the app is built.

// sampleDraft is a [history.Draft] as the app saves it.
type sampleDraft struct {
	Kind     history.Kind `json:"kind"`
	Project  string       `json:"project,omitempty"`
	Part     string       `json:"part,omitempty"`
	Location string       `json:"location,omitempty"`
	Data     any          `json:"data"`
}

// samplePhoto is a photo that these drafts name.
type samplePhoto struct {
	URL    string `json:"url"`
	Hash   string `json:"hash"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
}

// worked is the sample's part in the making.
type worked struct {
	app    *app
	drafts []sampleDraft
	photos []samplePhoto
	part   string
	at     []string
}

func (w *worked) put(k history.Kind, location string, data any) string {
	w.drafts = append(w.drafts, sampleDraft{k, "$project", w.part, location, data})
	return fmt.Sprintf("@%d", len(w.drafts)-1)
}

// sampleRecord writes what the sample's third part tells: a rivet too narrow, drilled out and set
// again.
func (a *app) sampleRecord() error {
	w := &worked{app: a}
	head := qc.Spec{Kind: qc.ShopHead, NominalMM: 25.4 / 8}
	w.part = w.put(history.KindPart, "", history.PartData{Name: "Corner gusset, right", Drawing: "BH-113 sheet 2", Spec: &head,
		Layers: []history.Layer{{Name: "gusset", Material: "2024-T3", ThicknessMM: 0.81}, {Name: "hatch frame", Material: "2024-T3", ThicknessMM: 1.02}}})
	w.put(history.KindLayout, "", history.LayoutData{WidthMM: 92, HeightMM: 92, StepMM: 10})
	for i, p := range photos.Gusset {
		w.at = append(w.at, w.put(history.KindLocation, "", history.LocationData{Tag: photos.Tag(i), Pin: &history.Pin{X: p[0] / 92, Y: 1 - p[1]/92}}))
	}
	for _, at := range w.at {
		w.put(history.KindAttempt, at, history.AttemptData{Tool: "gun and bar"})
	}
	out, err := w.shoot("forward-right", head)
	if err != nil {
		return err
	}
	for tag := range w.at {
		finding, ok := out[tag]
		if !ok {
			continue
		}
		w.put(history.KindDisposition, w.at[tag], history.DispositionData{Finding: finding, Action: qc.DrillOut, Reason: "head too narrow"})
		w.put(history.KindDrilledOut, w.at[tag], history.DrilledOutData{Finding: finding, Reason: "head too narrow", DrillMM: 3.25})
		w.put(history.KindAttempt, w.at[tag], history.AttemptData{Tool: "hand squeezer"})
	}
	if _, err := w.shoot("forward-right-again", head); err != nil {
		return err
	}
	b, err := json.Marshal(map[string]any{"card": photos.Sheet, "drafts": w.drafts, "photos": w.photos})
	if err != nil {
		return err
	}
	_, err = a.add("sample/record.json", b, false)
	return err
}

// shoot keeps a photo and what was read off it. out are the findings of those that are out, by tag.
func (w *worked) shoot(name string, spec qc.Spec) (out map[int]string, err error) {
	s, err := photos.Measure(name, spec)
	if err != nil {
		return nil, err
	}
	file, err := w.app.add("sample/"+name+".jpg", s.Data, false)
	if err != nil {
		return nil, err
	}
	w.photos = append(w.photos, samplePhoto{"/" + file, s.Doc.SHA256, s.Doc.Width, s.Doc.Height})
	shot := w.put(history.KindShot, "", s.Shot("$card", w.at))
	out = map[int]string{}
	for i, tag := range s.Tags {
		if tag < 0 {
			continue
		}
		f, err := s.Finding(i, shot, w.at, nil, qc.No)
		if err != nil {
			return nil, err
		}
		id := w.put(history.KindFinding, w.at[tag], f)
		if f.Verdict() == qc.Out {
			out[tag] = id
		}
	}
	return out, nil
}
