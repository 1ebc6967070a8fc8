package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image/jpeg"
	"image/png"
	"math"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// Path is a line or an outline in page millimetres. The zero value is empty.
type Path struct{ ops []op }

type op struct {
	code byte // 'm', 'l', 'c', 'h'
	p    [6]float64
}

// Move begins a new piece.
func (p *Path) Move(x, y float64) *Path { return p.add('m', x, y) }

// Line goes straight on.
func (p *Path) Line(x, y float64) *Path { return p.add('l', x, y) }

// Close returns to the beginning of the piece.
func (p *Path) Close() *Path { return p.add('h') }

func (p *Path) add(code byte, at ...float64) *Path {
	o := op{code: code}
	copy(o.p[:], at)
	p.ops = append(p.ops, o)
	return p
}

// Poly adds a closed polygon, x and y in turn.
func (p *Path) Poly(xy ...float64) *Path {
	if len(xy) < 2 {
		return p
	}
	for i := 0; i+1 < len(xy); i += 2 {
		if i == 0 {
			p.Move(xy[i], xy[i+1])
		} else {
			p.Line(xy[i], xy[i+1])
		}
	}
	return p.Close()
}

// Rect adds a rectangle.
func (p *Path) Rect(x, y, w, h float64) *Path { return p.Poly(x, y, x+w, y, x+w, y+h, x, y+h) }

// kappa places the control points of a Bézier curve for a quarter of a circle; the curve
// leaves the circle by at most 2.7e-4 of the radius, 0.0007 mm on the card's rings (common
// practice).
const kappa = 0.5522847498

// Circle adds a full circle.
func (p *Path) Circle(x, y, r float64) *Path {
	k := kappa * r
	p.Move(x+r, y)
	p.add('c', x+r, y+k, x+k, y+r, x, y+r)
	p.add('c', x-k, y+r, x-r, y+k, x-r, y)
	p.add('c', x-r, y-k, x-k, y-r, x, y-r)
	p.add('c', x+k, y-r, x+r, y-k, x+r, y)
	return p.Close()
}

// LeftHalf adds the left half of a disc.
func (p *Path) LeftHalf(x, y, r float64) *Path {
	k := kappa * r
	p.Move(x, y-r)
	p.add('c', x-k, y-r, x-r, y-k, x-r, y)
	p.add('c', x-r, y+k, x-k, y+r, x, y+r)
	return p.Close()
}

// Pen is how a line is drawn.
type Pen struct {
	WidthMM float64
	Colour  Colour
	DashMM  []float64
}

// write gives the path's operators. Four decimals of a point are 0.00004 mm: the library's
// own two would move a card's rings by 0.002 mm.
func (d *Doc) write(p *Path, before, paint string) {
	d.open()
	var b strings.Builder
	b.WriteString("q " + before)
	const k = 1 / MMPerPt
	for _, o := range p.ops {
		n := map[byte]int{'m': 1, 'l': 1, 'c': 3}[o.code]
		for i := range n {
			fmt.Fprintf(&b, " %.4f %.4f", o.p[2*i]*k, (d.Size.HeightMM-o.p[2*i+1])*k)
		}
		b.WriteByte(' ')
		b.WriteByte(o.code)
	}
	b.WriteString(" " + paint + " Q")
	d.pdf.RawWriteStr(b.String())
}

func (c Colour) op(name string) string {
	return fmt.Sprintf("%.4f %.4f %.4f %s", float64(c.R)/255, float64(c.G)/255, float64(c.B)/255, name)
}

func (n Pen) ops() string {
	dash := ""
	for _, mm := range n.DashMM {
		dash += fmt.Sprintf("%.4f ", mm/MMPerPt)
	}
	return fmt.Sprintf("%s %.4f w 0 J 0 j [%s] 0 d", n.Colour.op("RG"), n.WidthMM/MMPerPt, strings.TrimSpace(dash))
}

// Stroke draws along a path.
func (d *Doc) Stroke(p *Path, pen Pen) { d.write(p, pen.ops(), "S") }

// Fill fills a path; where two of its outlines overlap, it stays empty.
func (d *Doc) Fill(p *Path, c Colour) { d.write(p, c.op("rg"), "f*") }

// Line draws one straight line.
func (d *Doc) Line(x1, y1, x2, y2 float64, pen Pen) {
	d.Stroke(new(Path).Move(x1, y1).Line(x2, y2), pen)
}

// Hatch fills a rectangle with lines at 45 degrees, step millimetres apart across the line.
func (d *Doc) Hatch(x, y, w, h, step float64, pen Pen) {
	var p Path
	s := step * math.Sqrt2
	for t := s / 2; t < w+h; t += s { // the line from (x+t, y) down to the left
		x1, y1 := x+math.Min(t, w), y+math.Max(0, t-w)
		x2, y2 := x+math.Max(0, t-h), y+math.Min(t, h)
		p.Move(x1, y1).Line(x2, y2)
	}
	d.Stroke(&p, pen)
}

// maxPictureBytes bounds one embedded picture: a report of hundreds is kept in memory.
const maxPictureBytes = 8 << 20

// PictureSize reads the size of a JPEG or PNG in pixels from its head, or says why it can't
// be put on a page.
func PictureSize(data []byte) (w, h int, err error) {
	switch {
	case len(data) > maxPictureBytes:
		return 0, 0, fmt.Errorf("picture of %d bytes is larger than %d: make it smaller first", len(data), maxPictureBytes)
	case bytes.HasPrefix(data, []byte("\xff\xd8")):
		c, err := jpeg.DecodeConfig(bytes.NewReader(data))
		return c.Width, c.Height, err
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		c, err := png.DecodeConfig(bytes.NewReader(data))
		return c.Width, c.Height, err
	}
	return 0, 0, fmt.Errorf("picture is neither JPEG nor PNG")
}

// Picture puts a JPEG or PNG into a rectangle, as large as fits without distortion, in the
// middle. It returns the rectangle that the picture covers. A JPEG is embedded as it is.
func (d *Doc) Picture(data []byte, x, y, w, h float64) (px, py, pw, ph float64, err error) {
	wide, high, err := PictureSize(data)
	if err != nil {
		return 0, 0, 0, 0, err
	}
	if wide < 1 || high < 1 {
		return 0, 0, 0, 0, fmt.Errorf("picture of %d by %d pixels is empty", wide, high)
	}
	scale := math.Min(w/float64(wide), h/float64(high))
	pw, ph = float64(wide)*scale, float64(high)*scale
	px, py = x+(w-pw)/2, y+(h-ph)/2
	kind := "png"
	if data[0] == 0xff {
		kind = "jpg"
	}
	sum := sha256.Sum256(data)
	name := hex.EncodeToString(sum[:]) // the same picture twice is embedded once
	if !d.pics[name] {
		d.pics[name] = true
		d.pdf.RegisterImageOptionsReader(name, fpdf.ImageOptions{ImageType: kind}, bytes.NewReader(data))
		if err := d.pdf.Error(); err != nil {
			d.pdf.ClearError()
			delete(d.pics, name)
			return 0, 0, 0, 0, fmt.Errorf("picture: %w", err)
		}
	}
	d.open()
	d.pdf.ImageOptions(name, px, py, pw, ph, false, fpdf.ImageOptions{ImageType: kind}, 0, "")
	return px, py, pw, ph, nil
}
