//go:build !js

package sheet

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc/paper"
)

// tool runs a program that is not ours. With BUCKTAIL_TOOLS=1 it must be there.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("set BUCKTAIL_TOOLS=1 to check with outside programs")
	}
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%s is missing: apt-get install qpdf poppler-utils", name)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// TestPrintedCardsAreTrue renders the page with poppler at 600 dpi and lets the program's own
// finder read the cards: name, each ring full or open as in the layout, and each ring's
// place on the page within 0.02 mm. A pixel is 0.042 mm; the centroid of some 10,000 of them
// is far better than that.
func TestPrintedCardsAreTrue(t *testing.T) {
	const dpi = 600.0
	for _, z := range sizes {
		dir := t.TempDir()
		pdf := filepath.Join(dir, "card.pdf")
		if err := os.WriteFile(pdf, page(t, z, "12"), 0o600); err != nil {
			t.Fatal(err)
		}
		tool(t, "qpdf", "--check", pdf)
		if out := tool(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-gray", "-singlefile", pdf, filepath.Join(dir, "page")); out != "" {
			t.Errorf("%s: pdftoppm complains: %s", z.Name, out)
		}
		g := readGrey(t, filepath.Join(dir, "page.pgm"))
		for _, c := range Cards(z) {
			checkCard(t, z, g, c, dpi/25.4)
		}
		checkCircles(t, z, g, dpi/25.4)
		checkLength(t, z, g, dpi/25.4)
	}
}

// readGrey reads a PGM file as pdftoppm writes it.
func readGrey(t *testing.T, name string) *raster.Grey {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var w, h, most int
	if _, err := fmt.Sscanf(string(b[:40]), "P5\n%d %d\n%d\n", &w, &h, &most); err != nil || most != 255 || len(b) < w*h {
		t.Fatalf("no grey page of 8 bits: %v", err)
	}
	return &raster.Grey{W: w, H: h, Pix: b[len(b)-w*h:]}
}

// crop cuts out a card with a little paper around.
func crop(g *raster.Grey, c Placed, k float64) (*raster.Grey, int, int) {
	x1, y1 := 0.0, 0.0
	for _, p := range c.Layout.Outline {
		x1, y1 = math.Max(x1, p.X), math.Max(y1, p.Y)
	}
	ox, oy := int((c.XMM-1.5)*k), int((c.YMM-1.5)*k)
	out := raster.NewGrey(int((x1+3)*k), int((y1+3)*k))
	for y := range out.H {
		copy(out.Pix[y*out.W:(y+1)*out.W], g.Pix[(y+oy)*g.W+ox:])
	}
	return out, ox, oy
}

func checkCard(t *testing.T, z paper.Size, g *raster.Grey, c Placed, k float64) {
	t.Helper()
	part, ox, oy := crop(g, c, k)
	m, err := card.Find(&raster.Picture{Y: part})
	if err != nil {
		t.Fatalf("%s, %s: %v", z.Name, c.Layout.Name, err)
	}
	if m.Layout != c.Layout || m.SeenCount() != len(c.Layout.Targets) {
		t.Fatalf("%s, %s: read as %s with %d of %d targets", z.Name, c.Layout.Name, m.Layout.Name, m.SeenCount(), len(c.Layout.Targets))
	}
	worst, scaleX := 0.0, 0.0
	for _, f := range m.Targets {
		at := centroid(part, f.CentrePx, 3.2*k)
		// (0,0) is the centre of the first pixel, so the page's corner lies half a pixel before it.
		x, y := (at.U+float64(ox)+0.5)/k, (at.V+float64(oy)+0.5)/k
		want := c.Layout.Targets[f.Index].At
		worst = math.Max(worst, math.Hypot(x-c.XMM-want.X, y-c.YMM-want.Y))
		scaleX = math.Max(scaleX, math.Hypot(f.CentrePx.U-at.U, f.CentrePx.V-at.V)/k)
	}
	t.Logf("%s, %s: targets within %.4f mm of their places (the finder's own rough centres within %.3f)", z.Name, c.Layout.Name, worst, scaleX)
	if worst > 0.02 {
		t.Errorf("%s, %s: a target is %.4f mm from its place", z.Name, c.Layout.Name, worst)
	}
	if scaleX > 0.05 { // "good to about half a pixel" of the reduced picture it searches
		t.Errorf("%s, %s: the finder's centre is %.3f mm off", z.Name, c.Layout.Name, scaleX)
	}
}

// checkCircles measures each circle's line in the picture, all round, by the ink along 360 rays: the middle
// of the line, and how wide it is.
func checkCircles(t *testing.T, z paper.Size, g *raster.Grey, k float64) {
	t.Helper()
	x0, y0 := Circles(z)
	worst := 0.0
	for _, c := range card.Circles {
		u, v := (x0+c.At.X)*k-0.5, (y0+c.At.Y)*k-0.5
		outer, inner := c.Radii()
		middle, width := 0.0, 0.0
		for i := range 360 {
			sn, cs := math.Sincos(float64(i) * math.Pi / 180)
			ink, at := 0.0, 0.0
			const step = 0.25
			for r := (inner - 0.3) * k; r < (outer+0.3)*k; r += step {
				dark := 1 - g.Sample(u+r*cs, v+r*sn)/255
				ink, at = ink+dark, at+dark*r
			}
			middle, width = middle+2*at/ink/k/360, width+ink*step/k/360
		}
		worst = math.Max(worst, math.Abs(middle-c.DiameterMM))
		if math.Abs(middle-c.DiameterMM) > 0.005 || math.Abs(width-(outer-inner)) > 0.02 {
			t.Errorf("%s: the circle of %g mm is %.4f mm wide, its line %.3f mm", z.Name, c.DiameterMM, middle, width)
		}
	}
	t.Logf("%s: circles within %.4f mm", z.Name, worst)
}

// centroid is the middle of the ink in a disc about a ring, weighted by blackness.
func centroid(g *raster.Grey, at geom.PxPoint, r float64) geom.PxPoint {
	var sx, sy, n float64
	for y := int(at.V - r); y <= int(at.V+r); y++ {
		for x := int(at.U - r); x <= int(at.U+r); x++ {
			if math.Hypot(float64(x)-at.U, float64(y)-at.V) > r {
				continue
			}
			w := 255 - float64(g.At(x, y))
			sx, sy, n = sx+w*float64(x), sy+w*float64(y), n+w
		}
	}
	return geom.PxPoint{U: sx / n, V: sy / n}
}

// checkLength measures the check lines in the picture, from middle to middle of the end marks.
func checkLength(t *testing.T, z paper.Size, g *raster.Grey, k float64) {
	t.Helper()
	across, along := CheckLines(z)
	mark := func(dark func(i int) float64, at float64) float64 { // middle of a thin mark near at
		var s, n float64
		for i := int((at - 0.5) * k); i <= int((at+0.5)*k); i++ {
			s, n = s+dark(i)*float64(i), n+dark(i)
		}
		return s / n
	}
	column := func(x int) float64 { return 255 - float64(g.At(x, int((across.Y1+2)*k))) } // off the line itself
	row := func(y int) float64 { return 255 - float64(g.At(int((along.X1+2)*k), y)) }
	a := (mark(column, across.X2) - mark(column, across.X1)) / k
	l := (mark(row, along.Y2) - mark(row, along.Y1)) / k
	t.Logf("%s: check lines %.3f mm across, %.3f mm along", z.Name, a, l)
	if math.Abs(a-150) > 0.02 || math.Abs(l-150) > 0.02 {
		t.Errorf("%s: check lines are %.3f mm across and %.3f mm along", z.Name, a, l)
	}
}

func TestCardPageText(t *testing.T) {
	for _, z := range sizes {
		pdf := filepath.Join(t.TempDir(), "card.pdf")
		if err := os.WriteFile(pdf, page(t, z, "12"), 0o600); err != nil {
			t.Fatal(err)
		}
		text := tool(t, "pdftotext", "-layout", pdf, "-")
		for _, want := range []string{"Print at 100 %", "check line across: 150 mm", "matte card stock", "Keep the cards flat", "thickness, mm", "the printer scaled the page", "circles · sheet 12", "a phone is proven on them"} {
			if !contains(text, want) {
				t.Errorf("%s: the page does not say %q", z.Name, want)
			}
		}
	}
}

// contains compares without regard to where lines break.
func contains(text, want string) bool {
	return strings.Contains(strings.Join(strings.Fields(text), " "), want)
}
