//go:build !js

package template

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc/sketch"
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

const dpi = 600.0

// grey is a page as poppler renders it.
type grey struct {
	w, h int
	pix  []byte
}

func render(t *testing.T, pdf string, page int) grey {
	t.Helper()
	out := filepath.Join(t.TempDir(), "page")
	tool(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-gray", "-singlefile", "-f", fmt.Sprint(page), pdf, out)
	b, err := os.ReadFile(out + ".pgm")
	if err != nil {
		t.Fatal(err)
	}
	var g grey
	var most int
	if _, err := fmt.Sscanf(string(b[:40]), "P5\n%d %d\n%d\n", &g.w, &g.h, &most); err != nil || most != 255 {
		t.Fatalf("no grey page of 8 bits: %v", err)
	}
	g.pix = b[len(b)-g.w*g.h:]
	return g
}

// centroid is the middle of the ink within r mm of a place of the page, mm; NaN where there is none.
func (g grey) centroid(x, y, r float64) (cx, cy float64) {
	const k = dpi / 25.4
	var sx, sy, n float64
	for v := max(0, int((y-r)*k)); v <= min(g.h-1, int((y+r)*k)); v++ {
		for u := max(0, int((x-r)*k)); u <= min(g.w-1, int((x+r)*k)); u++ {
			px, py := (float64(u)+0.5)/k, (float64(v)+0.5)/k
			if math.Hypot(px-x, py-y) > r {
				continue
			}
			d := 255 - float64(g.pix[v*g.w+u])
			sx, sy, n = sx+d*px, sy+d*py, n+d
		}
	}
	return sx / n, sy / n
}

// Both templates, on A4 and Letter, rendered at 600 dpi: each hole's dot within 0.1 mm of its place,
// measured from the first dot on its page, and the check lines 150 mm long.
func TestPrintedTemplatesAreTrue(t *testing.T) {
	for _, z := range sizes {
		for _, p := range []Page{page(t, frame), page(t, gusset()), flat(t)} {
			pdf := filepath.Join(t.TempDir(), "t.pdf")
			if err := os.WriteFile(pdf, write(t, p, z), 0o600); err != nil {
				t.Fatal(err)
			}
			tool(t, "qpdf", "--check", pdf)
			seen, worst := map[string]bool{}, 0.0
			for i, tile := range Tiles(p.Sketch, z) {
				g := render(t, pdf, i+1)
				across, along := CheckLines(z)
				ends := func(l [4]float64, dx, dy float64) float64 { // off the line itself, at the marks
					x1, y1 := g.centroid(l[0]+dx, l[1]+dy, 0.5)
					x2, y2 := g.centroid(l[2]+dx, l[3]+dy, 0.5)
					return math.Hypot(x2-x1, y2-y1)
				}
				if a, l := ends(across, 0, 2), ends(along, 2, 0); math.Abs(a-CheckMM) > 0.03 || math.Abs(l-CheckMM) > 0.03 {
					t.Errorf("%s: check lines of %.3f and %.3f mm", z.Name, a, l)
				}
				var from *sketch.XY
				var fromAt [2]float64
				for _, h := range p.Sketch.Holes {
					x, y := tile.At(h.At)
					if x < leftMM+1 || x > leftMM+tile.W-1 || y < topMM+1 || y > topMM+tile.H-1 {
						continue
					}
					cx, cy := g.centroid(x, y, 0.4)
					cx, cy = g.centroid(cx, cy, 0.27) // the row's line runs through the dot
					if from == nil {
						at := h.At
						from, fromAt = &at, [2]float64{cx, cy}
					}
					// By the distance from the first dot alone: nothing that places the page comes in.
					got, want := math.Hypot(cx-fromAt[0], cy-fromAt[1]), math.Hypot(h.At[0]-from[0], h.At[1]-from[1])
					worst = math.Max(worst, math.Abs(got-want))
					worst = math.Max(worst, math.Hypot(cx-x, cy-y))
					if math.IsNaN(cx) {
						t.Errorf("%s: no dot for %s", z.Name, h.Tag)
					}
					seen[h.Tag] = true
				}
			}
			t.Logf("%s, %s: dots within %.4f mm", z.Name, p.Title, worst)
			if !(worst <= 0.1) || len(seen) != len(p.Sketch.Holes) {
				t.Errorf("%s, %s: %d of %d holes, the farthest %.3f mm off", z.Name, p.Title, len(seen), len(p.Sketch.Holes), worst)
			}
		}
	}
}

func TestTemplateText(t *testing.T) {
	pdf := filepath.Join(t.TempDir(), "t.pdf")
	if err := os.WriteFile(pdf, write(t, page(t, frame), sizes[0]), 0o600); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", pdf, "-")), " ")
	for _, want := range []string{"Print at 100 %", "150 mm each", "check line across", "check line along", "Baggage-hatch frame", "lay page 2 on this line",
		"AC 43.13-1B 4-57c", "from the table", "derived", "recalled", "The aircraft's drawings and manual come first", "at least 12.30 mm", "R1"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// The bends' tangents stand at their true distance from the blank's first edge.
func TestPrintedTangents(t *testing.T) {
	p := flat(t)
	pdf := filepath.Join(t.TempDir(), "t.pdf")
	if err := os.WriteFile(pdf, write(t, p, sizes[0]), 0o600); err != nil {
		t.Fatal(err)
	}
	g := render(t, pdf, 1)
	tile := Tiles(p.Sketch, sizes[0])[0]
	if !tile.Turned {
		t.Fatal("the pattern is not turned: the test looks along the wrong line")
	}
	// Across the page at a place free of holes and of gaps between dashes: the ink's middles.
	row := func(at float64) float64 {
		best := math.NaN()
		for along := 60.0; along < 66; along += 0.2 {
			x, y := tile.At(sketch.XY{along, at})
			if cx, _ := g.centroid(x, y, 0.3); !math.IsNaN(cx) {
				best = cx
				break
			}
		}
		return best
	}
	edge := row(0)
	for _, at := range []float64{20.40, 26.229, 46.629} {
		if got := edge - row(at); math.Abs(got-at) > 0.1 {
			t.Errorf("a line at %.3f mm stands at %.3f", at, got)
		}
	}
	text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", pdf, "-")), " ")
	for _, want := range []string{"flat pattern", "blank 46.63 mm wide", "AC 43.13-1B Table 4-6", "ask the designer", "trial strip", "differ here by 0.17 mm", "NAVEDTRA", "recalled"} {
		if !strings.Contains(text, want) {
			t.Errorf("the pages do not say %q", want)
		}
	}
}
