package photo

import (
	"image"
	"testing"
)

func TestPreviewKeepsShapeAndColours(t *testing.T) {
	for n := 1; n <= 8; n++ {
		p := mustDecode(t, "exif/corners_"+string(rune('0'+n))+".jpg")
		for _, c := range []struct{ side, w, h int }{{1000, 47, 33}, {47, 47, 33}, {20, 20, 14}, {4, 4, 3}, {1, 1, 1}, {0, 1, 1}} {
			m := Preview(p.Picture, c.side)
			if b := m.Bounds(); b.Dx() != c.w || b.Dy() != c.h {
				t.Errorf("at most %d: %d × %d, want %d × %d", c.side, b.Dx(), b.Dy(), c.w, c.h)
			}
		}
		m := Preview(p.Picture, 20)
		for _, c := range []struct {
			x, y int
			rgb  [3]int
		}{{2, 2, [3]int{255, 0, 0}}, {17, 2, [3]int{0, 255, 0}}, {2, 11, [3]int{0, 0, 255}}, {17, 11, [3]int{255, 255, 255}}} {
			r, g, b, _ := m.At(c.x, c.y).RGBA()
			if got := [3]int{int(r >> 8), int(g >> 8), int(b >> 8)}; !near(got, c.rgb, 40) {
				t.Errorf("orientation %d: preview (%d, %d) is %v, want %v", n, c.x, c.y, got, c.rgb)
			}
		}
	}
}

func TestCrop(t *testing.T) {
	p := mustDecode(t, "exif/corners_6.png")
	for _, c := range []struct {
		r    image.Rectangle
		w, h int
	}{
		{image.Rect(31, 0, 47, 11), 16, 11},
		{image.Rect(31, -50, 1000, 11), 16, 11}, // clipped
		{image.Rect(100, 100, 200, 200), 0, 0},  // outside
		{image.Rect(5, 5, 5, 9), 0, 0},
	} {
		m := Crop(p.Picture, c.r, 100)
		if b := m.Bounds(); b.Dx() != c.w || b.Dy() != c.h {
			t.Errorf("%v: %v, want %d × %d", c.r, b, c.w, c.h)
		}
		for x := range c.w {
			for y := range c.h {
				r, g, b, _ := m.At(x, y).RGBA()
				if got := [3]int{int(r >> 8), int(g >> 8), int(b >> 8)}; !near(got, [3]int{0, 255, 0}, 3) {
					t.Fatalf("%v: (%d, %d) is %v, want green", c.r, x, y, got)
				}
			}
		}
	}
}

// A mean over blocks keeps the brightness of fine patterns, where picking every
// tenth pixel would show stripes.
func TestPreviewDoesNotAlias(t *testing.T) {
	p := planesOfRGB(1000, 800, func(x, y int) (r, g, b uint8) {
		if (x+y)%2 == 0 {
			return 255, 255, 255
		}
		return 0, 0, 0
	}).upright(1)
	m := Preview(p, 50)
	for x := range 50 {
		for y := range 40 {
			r, _, _, _ := m.At(x, y).RGBA()
			if v := int(r >> 8); v < 124 || v > 131 {
				t.Fatalf("(%d, %d) is %d, want 127 or 128", x, y, v)
			}
		}
	}
}
