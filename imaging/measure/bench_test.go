package measure

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"runtime"
	"testing"

	"bucktail/imaging/photo"
	"bucktail/qc"
)

// eightMP is a bundled photo enlarged to 3264 × 2448 and compressed as a phone would.
func eightMP(tb testing.TB) []byte {
	tb.Helper()
	b, err := os.ReadFile("../../testdata/photos/dev-08.jpg")
	if err != nil {
		tb.Fatal(err)
	}
	ph, err := photo.Decode(b)
	if err != nil {
		tb.Fatal(err)
	}
	const w, h = 3264, 2448
	im := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	k := float64(ph.Width) / w
	for y := range h {
		for x := range w {
			im.Y[y*im.YStride+x] = uint8(ph.Picture.Y.Sample((float64(x)+0.5)*k-0.5, (float64(y)+0.5)*k-0.5) + 0.5)
		}
	}
	for y := range h / 2 {
		for x := range w / 2 {
			u, v := (float64(x)+0.5)*k-0.5, (float64(y)+0.5)*k-0.5
			im.Cb[y*im.CStride+x] = uint8(ph.Picture.Cb.Sample(u, v) + 0.5)
			im.Cr[y*im.CStride+x] = uint8(ph.Picture.Cr.Sample(u, v) + 0.5)
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, im, &jpeg.Options{Quality: 90}); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

// The standard library's decoder alone: what the whole is held against.
func BenchmarkDecodeAlone8MP(b *testing.B) {
	data := eightMP(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMeasure8MP(b *testing.B) {
	data := eightMP(b)
	b.ReportAllocs()
	var times stepTimes
	for b.Loop() {
		res, err := Photo(data, Options{Kind: qc.ShopHead, NominalMM: 4.7625, Progress: times.begin})
		times.begin("")
		if err != nil || res.Scale == nil || len(res.Locations) == 0 {
			b.Fatal(err, res)
		}
	}
	times.report(b)
}

// One core, as in the browser.
func BenchmarkMeasure8MPOneCore(b *testing.B) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	BenchmarkMeasure8MP(b)
}
