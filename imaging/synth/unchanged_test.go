package synth

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"runtime"
	"testing"
)

// What Draw makes of a seed is relied upon elsewhere: weights were trained on it and figures
// are compared with it. Picture, truth and file header of two small windows have stayed as they were
// since workshop scenes came. Only amd64 is held to it: other processors round otherwise.
func TestDrawnScenesStayAsTheyWere(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("hashes were taken on amd64")
	}
	for seed, want := range map[uint64]string{
		7:  "c5de26078532b5266edfd682e9f39068fab8f140f090ef9abeadc10d77dea979",
		13: "378c67bdc4a0b491ddeb83e774b9537ad848a4e7a77e2a548e072ca5b2d558ee",
	} {
		s := Draw(seed)
		c := s.Project(s.Fasteners[0].AxisMM, 0)
		s.Camera.CxPx -= float64(int(c.U) - 60)
		s.Camera.CyPx -= float64(int(c.V) - 45)
		s.Width, s.Height, s.Orientation, s.Effort = 120, 90, 1, Effort{2, 3, 6}
		img, truth := s.Render()
		h := sha256.New()
		h.Write(img.Pix)
		said, err := json.Marshal(truth)
		if err != nil {
			t.Fatal(err)
		}
		h.Write(said)
		h.Write(s.exif())
		if got := fmt.Sprintf("%x", h.Sum(nil)); got != want {
			t.Errorf("seed %d: %s, want %s", seed, got, want)
		}
	}
}
