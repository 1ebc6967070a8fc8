package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"sync"
	"testing"
)

// eightMP is a picture of 3264 × 2448 with edges and grain, as phone photos have;
// seeded, so that every run decodes the same bytes.
var eightMP = sync.OnceValue(func() *image.YCbCr {
	m := image.NewYCbCr(image.Rect(0, 0, 3264, 2448), image.YCbCrSubsampleRatio420)
	rng := rand.New(rand.NewPCG(8, 1))
	for y := range 2448 {
		for x := range 3264 {
			v := 120 + 50*((x/97+y/61)%2) + int(rng.Uint32()%13)
			m.Y[y*m.YStride+x] = uint8(v)
		}
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = uint8(120+i%16), uint8(130+i/m.CStride%16)
	}
	return m
})

var eightMPJPEG = sync.OnceValue(func() []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, eightMP(), &jpeg.Options{Quality: 90}); err != nil {
		panic(err)
	}
	return b.Bytes()
})

// oriented puts an EXIF orientation behind SOI.
func oriented(data []byte, orientation uint16) []byte {
	exif := block([]exifEntry{{tagOrientation, 3, 1, u16(orientation)}}, nil)
	return bytes.Join([][]byte{data[:2], app(markAPP1, exifHead+string(exif)), data[2:]}, nil)
}

func benchDecode(b *testing.B, data []byte) {
	b.Helper()
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := Decode(data); err != nil {
			b.Fatal(err)
		}
	}
}

// The standard library alone, to compare with.
func BenchmarkStandardJPEG8MP(b *testing.B) {
	data := eightMPJPEG()
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecode8MP(b *testing.B)       { benchDecode(b, eightMPJPEG()) }
func BenchmarkDecode8MPTurned(b *testing.B) { benchDecode(b, oriented(eightMPJPEG(), 6)) }

func BenchmarkDecodePNG8MP(b *testing.B) {
	m := image.NewRGBA(image.Rect(0, 0, 3264, 2448))
	src := eightMP()
	for y := range 2448 {
		for x := range 3264 {
			c := src.YCbCrAt(x, y)
			r, g, bl := color.YCbCrToRGB(c.Y, c.Cb, c.Cr)
			m.SetRGBA(x, y, color.RGBA{r, g, bl, 255})
		}
	}
	var buf bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&buf, m); err != nil {
		b.Fatal(err)
	}
	benchDecode(b, buf.Bytes())
}

func BenchmarkAssess8MP(b *testing.B) {
	p, err := Decode(eightMPJPEG())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		Assess(p.Picture)
	}
}

func BenchmarkPreview8MP(b *testing.B) {
	p, err := Decode(eightMPJPEG())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		Preview(p.Picture, 1600)
	}
}

func BenchmarkStripLocation8MP(b *testing.B) {
	data := oriented(eightMPJPEG(), 6)
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := StripLocation(data); err != nil {
			b.Fatal(err)
		}
	}
}

// A finding's part of a photo at the size that the report shows.
func BenchmarkScaled(b *testing.B) {
	p, err := Decode(eightMPJPEG())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		Scaled(p.Picture, image.Rect(800, 500, 1680, 1100), 629, 429)
	}
}
