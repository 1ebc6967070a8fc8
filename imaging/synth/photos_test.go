//go:build training

package synth

// This file renders whole photos with their truth beside them, to measure on what nothing was
// trained on; see testdata/training/README.md:
//
//	BUCKTAIL_PHOTOS=dir BUCKTAIL_SEEDS=880001:880050 go test -tags training -run WritePhotos -timeout 9h ./imaging/synth

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
	for seed := from; seed < to; seed++ {
		s := Draw(uint64(seed))
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
