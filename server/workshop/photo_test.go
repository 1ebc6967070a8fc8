package workshop

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"testing"
)

// photoOf makes a JPEG of w × h pixels with the structure of a photo (patches, edges, some
// noise), another one for each seed, and gives it with its name.
func photoOf(t testing.TB, w, h int, seed uint64) (data []byte, hash string) {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 1))
	img := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for y := range h {
		for x := range w {
			img.Y[y*img.YStride+x] = uint8((x/97*37+y/61*53)%200) + uint8(rnd.Uint32()&15)
		}
	}
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = 128+uint8(i>>14&15), 120
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(b.Bytes())
	return b.Bytes(), hex.EncodeToString(sum[:])
}
