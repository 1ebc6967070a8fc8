//go:build training

package synth

// This file renders whole photos with their truth beside them, to measure on what nothing was
// trained on; see testdata/training/README.md:
//
//	BUCKTAIL_PHOTOS=dir BUCKTAIL_SEEDS=880001:880050 go test -tags training -run WritePhotos -timeout 9h ./imaging/synth
//
// BUCKTAIL_SCENES=workshop makes workshop scenes instead, and BUCKTAIL_WIDTH=640 makes what is
// wider than that so small.

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

func TestWritePhotos(t *testing.T) {
	var from, to int
	if _, err := fmt.Sscanf(os.Getenv("BUCKTAIL_SEEDS"), "%d:%d", &from, &to); err != nil {
		t.Fatal("BUCKTAIL_SEEDS must be FROM:TO")
	}
	draw, width := Draw, 0
	if os.Getenv("BUCKTAIL_SCENES") == "workshop" {
		draw = DrawWorkshop
	}
	if v := os.Getenv("BUCKTAIL_WIDTH"); v != "" {
		if _, err := fmt.Sscanf(v, "%d", &width); err != nil {
			t.Fatalf("BUCKTAIL_WIDTH is %q, must be a number", v)
		}
	}
	for seed := from; seed < to; seed++ {
		s := draw(uint64(seed))
		if width > 0 && width < s.Width {
			s = s.Scaled(width)
		}
		img, truth := s.Render()
		var photo bytes.Buffer
		if err := s.Encode(&photo, img); err != nil {
			t.Fatal(err)
		}
		said, err := json.Marshal(truth)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(os.Getenv("BUCKTAIL_PHOTOS"), fmt.Sprintf("syn-%d", seed))
		for ext, b := range map[string][]byte{".jpg": photo.Bytes(), ".json": said} {
			if err := os.WriteFile(name+ext, b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
