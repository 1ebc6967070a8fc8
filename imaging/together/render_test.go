//go:build training

package together

// This file renders scenes from several sides, each view with its truth beside it: SEED-a.jpg and
// SEED-a.json, SEED-b.jpg and so on. It is built with -tags training only, as a view of two megapixels
// takes a core about a minute:
//
//	BUCKTAIL_GATE=1 go test -tags training -run RenderGate -timeout 9h ./imaging/together
//	BUCKTAIL_VIEWS=DIR BUCKTAIL_SEEDS=970000:970040 BUCKTAIL_SIZE=1600x1200 go test -tags training -run RenderViews -timeout 9h ./imaging/together

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/synth"
)

func TestRenderViews(t *testing.T) {
	folder := os.Getenv("BUCKTAIL_VIEWS")
	var from, to uint64
	if _, err := fmt.Sscanf(os.Getenv("BUCKTAIL_SEEDS"), "%d:%d", &from, &to); err != nil || folder == "" {
		t.Skip("BUCKTAIL_VIEWS names no folder, or BUCKTAIL_SEEDS no range")
	}
	w, h := 4032, 3024
	if s := os.Getenv("BUCKTAIL_SIZE"); s != "" {
		if _, err := fmt.Sscanf(s, "%dx%d", &w, &h); err != nil {
			t.Fatal(err)
		}
	}
	for seed := from; seed < to; seed++ {
		if synth.Draw(seed).Zoom == 1 {
			if err := renderViews(folder, synth.DrawViews(seed, 3, w, h)); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestRenderGate renders the scenes of testdata/views anew, which TestViews measures.
func TestRenderGate(t *testing.T) {
	if os.Getenv("BUCKTAIL_GATE") == "" {
		t.Skip("BUCKTAIL_GATE is not set")
	}
	for _, g := range gate {
		views := synth.DrawViews(g.seed, 3, 1500, 1125)
		for i, s := range views {
			if g.moved && i > 0 {
				views[i] = s.WithCardAt(geom.SheetPoint{X: 9}, 0.5)
			}
		}
		if err := renderViews(viewsFolder, views); err != nil {
			t.Fatal(err)
		}
	}
}

// renderViews renders the views that folder does not hold yet.
func renderViews(folder string, views []*synth.Scene) error {
	for i, s := range views {
		name := fmt.Sprintf("%d-%c", s.Seed, 'a'+i)
		if _, err := os.Stat(filepath.Join(folder, name+".json")); err == nil {
			continue
		}
		picture, truth := s.Render()
		var photo bytes.Buffer
		if err := s.Encode(&photo, picture); err != nil {
			return err
		}
		truth.Image = name + ".jpg"
		said, err := json.Marshal(truth)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, truth.Image), photo.Bytes(), 0o644); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, name+".json"), append(said, '\n'), 0o644); err != nil {
			return err
		}
	}
	return nil
}
