package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"runtime"
	"testing"
)

var big = binary.BigEndian

// jpegClaiming gives a small JPEG whose header claims w × h, with tail zeros behind it.
func jpegClaiming(t testing.TB, name string, w, h, tail int) []byte {
	t.Helper()
	data := append(bytes.Clone(file(t, name)), make([]byte, tail)...)
	for i := 2; ; {
		s, ok := nextSegment(data, i)
		if !ok {
			t.Fatal("no frame in " + name)
		}
		if s.marker >= markSOF0 && s.marker <= markSOF2 {
			big.PutUint16(s.payload[1:], uint16(h))
			big.PutUint16(s.payload[3:], uint16(w))
			return data
		}
		i = s.end
	}
}

// pngClaiming does the same for a PNG; its header's checksum is made good.
func pngClaiming(t testing.TB, name string, w, h, tail int) []byte {
	t.Helper()
	data := append(bytes.Clone(file(t, name)), make([]byte, tail)...)
	big.PutUint32(data[16:], uint32(w))
	big.PutUint32(data[20:], uint32(h))
	big.PutUint32(data[29:], crc32.ChecksumIEEE(data[12:29]))
	return data
}

// Whatever the header claims, a file that cannot hold it costs next to no memory.
func TestHostileHeadersTakeNoMemory(t *testing.T) {
	const plain, progressive = "variants/video-001.q50.420.jpeg", "variants/video-001.q50.444.progressive.jpeg"
	for _, c := range []struct {
		name string
		data []byte
		code string
	}{
		{"JPEG of 4.3 gigapixels", jpegClaiming(t, plain, 65535, 65535, 0), "photo-too-many-pixels"},
		{"JPEG of 50.1 MP", jpegClaiming(t, plain, 7080, 7080, 1<<20), "photo-too-many-pixels"},
		{"49 MP in 3 kB", jpegClaiming(t, plain, 7000, 7000, 0), "photo-damaged"},
		{"progressive 4:4:4 of 49 MP", jpegClaiming(t, progressive, 7000, 7000, 1<<20), "photo-too-much-memory"},
		{"JPEG of a side of 49,000", jpegClaiming(t, plain, 49_000, 1000, 1<<20), "photo-too-long"},
		{"PNG of 49,000,000 × 1", pngClaiming(t, "variants/video-001.cmyk.png", 49_000_000, 1, 1<<20), "photo-too-long"},
		{"width 0", jpegClaiming(t, plain, 0, 100, 0), "photo-damaged"},
		{"height 0", jpegClaiming(t, plain, 100, 0, 0), "photo-damaged"},
		{"PNG of 50.1 MP", pngClaiming(t, "variants/video-001.cmyk.png", 7080, 7080, 1<<20), "photo-too-many-pixels"},
		{"PNG of 24 MP in a few kB", pngClaiming(t, "variants/video-001.cmyk.png", 4900, 4900, 0), "photo-damaged"},
		{"PNG of 16 bits and 49 MP", pngClaiming(t, "nasty/pngsuite_basn6a16.png", 7000, 7000, 1<<20), "photo-too-much-memory"},
		{"PNG of 2^31-1", pngClaiming(t, "variants/video-001.cmyk.png", 1<<31-1, 1<<31-1, 0), "photo-too-many-pixels"},
		{"PNG of width 0", pngClaiming(t, "variants/video-001.cmyk.png", 0, 10, 0), "photo-damaged"},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Decode(c.data)
		runtime.ReadMemStats(&after)
		checkRefusal(t, c.name, err, c.code)
		if kib := (after.TotalAlloc - before.TotalAlloc) >> 10; kib > 512 {
			t.Errorf("%s: %d KiB were allocated", c.name, kib)
		}
	}
}

func TestFileSizeIsHeld(t *testing.T) {
	data := make([]byte, MaxBytes+1)
	copy(data, file(t, "variants/video-001.q50.420.jpeg"))
	_, err := Decode(data)
	checkRefusal(t, "40 MiB and a byte", err, "photo-too-many-bytes")
	if _, err := Decode(data[:1<<20]); err != nil { // what follows the picture is of no account
		t.Errorf("a MiB: %v", err)
	}
}

// Each scan of a progressive JPEG walks over the whole picture, so a file of
// thousands of empty ones would keep a machine busy for hours.
func TestManyScansAreRefused(t *testing.T) {
	data := file(t, "variants/video-001.q50.420.progressive.jpeg")
	var scan []byte
	at := 0
	for i := 2; at == 0; {
		s, ok := nextSegment(data, i)
		if !ok {
			t.Fatal("no scan")
		}
		i = s.end
		if s.marker == markSOS {
			at = s.start
			scan = data[s.start:scanEnd(data, s.end)]
		}
	}
	many := append(bytes.Clone(data[:at]), bytes.Repeat(scan, maxScans+1)...)
	many = append(many, data[at:]...)
	_, err := Decode(many)
	checkRefusal(t, "many scans", err, "photo-damaged")
	if got := scanJPEG(data).scans; got < 5 || got > 20 {
		t.Errorf("an ordinary progressive JPEG has %d scans", got)
	}
}

// The estimate covers what decoding really takes, so the budget means something.
func TestMemoryEstimateCoversWhatIsTaken(t *testing.T) {
	for _, name := range []string{
		"variants/video-001.q50.420.jpeg", "variants/video-001.q50.420.progressive.jpeg", "variants/video-001.q50.444.progressive.jpeg",
		"variants/video-001.rgb.jpeg", "variants/video-001.cmyk.jpeg", "variants/video-005.gray.q50.2x2.jpeg",
	} {
		head := scanJPEG(file(t, name))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := Decode(file(t, name)); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		// All that was ever allocated is above what was held at once; 256 KiB covers
		// the file, tables and buffers, which do not grow with the picture.
		if took := int64(after.TotalAlloc - before.TotalAlloc); took > head.memory()+256<<10 {
			t.Errorf("%s: %d bytes allocated, %d estimated", name, took, head.memory())
		}
	}
}

// A large picture that stores red, green and blue keeps the colours of a small one, at half the size.
func TestHalvedColoursAreTheMeans(t *testing.T) {
	at := func(x, y int) (r, g, b uint8) { return uint8(x * 40), uint8(y * 50), uint8(x ^ y) }
	p := halvedPlanes(5, 3, at)
	if len(p.y.pix) != 15 || p.cb.w != 3 || p.cb.h != 2 {
		t.Fatalf("%d luma, chroma %d × %d", len(p.y.pix), p.cb.w, p.cb.h)
	}
	whole := planesOfRGB(5, 3, at)
	if !bytes.Equal(p.y.pix, whole.y.pix) {
		t.Error("luma differs")
	}
	sum := 0
	for _, i := range []int{0, 1, 5, 6} {
		sum += int(whole.cb.pix[i])
	}
	if got := int(p.cb.pix[0]); got != (sum+2)/4 {
		t.Errorf("the first chroma pixel is %d, the mean %d", got, (sum+2)/4)
	}
	if last := p.cr.pix[5]; last != whole.cr.pix[14] {
		t.Errorf("the corner's is %d, want %d", last, whole.cr.pix[14])
	}
}
