//go:build !js

package report

import (
	"bytes"
	"context"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc/paper"
)

// TestDrawingsAreLinesAndText: what is drawn over a photo is text of its figure, where it was
// planned, and lines that end with the photo.
func TestDrawingsAreLinesAndText(t *testing.T) {
	t.Parallel()
	d := newDemo(14)
	rec := d.record(t, d.parts[0])
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, Options{Picture: d.picture}); err != nil {
		t.Fatal(err)
	}
	pdf := save(t, "report.pdf", b.Bytes())
	inFigure := false
	for _, figure := range strings.Split(structured(t), "Figure")[1:] {
		figure, _, _ = strings.Cut(figure, "(block)")
		inFigure = inFigure || strings.Contains(figure, "6.99 ± 0.06 R7")
	}
	if !inFigure {
		t.Error("no figure has the text that is drawn over it")
	}
	// The demo's photos are as wide as their place: units of crossed are hundredths of it.
	const wide, inMM = photoWidth, paper.MMPerPt
	found := 0
	for n, pg := range boxes(t, b.Bytes()).Pages {
		for i, w := range pg.Words {
			if w.Text != "6.99" || pg.Words[i+1].Text != "±" || w.X0*inMM > margin+wide {
				continue
			}
			x, y := (w.X0*inMM-margin)/wide*100, (w.Y0+w.Y1)/2*inMM
			if x < 70 || x > 95 {
				continue // of another picture, narrower
			}
			if found++; found > 1 {
				continue
			}
			dir := t.TempDir()
			tool(t, "pdftoppm", "-r", "254", "-f", itoa(n+1), "-l", itoa(n+1), "-png", pdf, filepath.Join(dir, "p"))
			pages, _ := filepath.Glob(filepath.Join(dir, "*.png"))
			f, err := os.Open(pages[0])
			if err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(f)
			f.Close()
			if err != nil {
				t.Fatal(err)
			}
			// The dimension line, red, runs on the value's height to the photo's border and no farther.
			red := func(xMM float64) bool {
				for dy := -8; dy <= 8; dy++ { // 10 px a mm
					if r, g, _, _ := img.At(int(xMM*10), int(y*10)+dy).RGBA(); r > 2*g && r > 0x8000 {
						return true
					}
				}
				return false
			}
			if !red(margin+0.98*wide) || red(margin+wide+2) {
				t.Errorf("page %d: the line is drawn inside: %v, beyond the photo: %v", n+1, red(margin+0.98*wide), red(margin+wide+2))
			}
		}
	}
	if found == 0 {
		t.Error("no value stands where it was planned")
	}
}
