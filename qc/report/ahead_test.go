package report

import (
	"context"
	"errors"
	"runtime"
	"testing"
)

// TestPicturesComeInOrder: whatever is ready first, each place gets its own picture; and a place
// that the first layout did not have is a fault of the report, not a picture that is missing.
func TestPicturesComeInOrder(t *testing.T) {
	var want []PictureRequest
	for i := range 40 {
		want = append(want, PictureRequest{Location: &Location{Tag: itoa(i)}, MaxPx: i})
	}
	first := make(chan bool)
	w := &writer{ctx: t.Context(), pictures: aheadOf(t.Context(), want, func(_ context.Context, r PictureRequest) (Picture, error) {
		switch r.MaxPx {
		case 0:
			if runtime.GOMAXPROCS(0) > 1 { // one processor makes them one after the other
				<-first // the first comes after the second
			}
		case 1:
			close(first)
		case 7:
			return Picture{}, ErrNoPhoto
		}
		return Picture{Data: []byte(r.Location.Tag)}, nil
	})}
	for i, r := range want[:30] {
		pic, err := w.picture(r)
		if i == 7 {
			if !errors.Is(err, ErrNoPhoto) || w.step() != nil {
				t.Errorf("a photo that is not there: %v, then %v", err, w.step())
			}
			continue
		}
		if err != nil || string(pic.Data) != itoa(i) {
			t.Fatalf("place %d got %q, %v", i, pic.Data, err)
		}
	}
	if _, err := w.picture(want[35]); err == nil {
		t.Error("a place out of order got a picture")
	}
	if err := w.step(); !errors.Is(err, errOtherLayout) {
		t.Errorf("and the report goes on: %v", err)
	}
}
