package annotate

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"bucktail/qc/drawing"
)

// canvas is a picture that is drawn on in CSS px.
type canvas struct {
	img   *image.RGBA
	s     float64 // picture px a CSS px
	ras   *vector.Rasterizer
	faces map[faceKey]font.Face
}

type faceKey struct {
	bold bool
	size float64 // CSS px
}

// newCanvas begins with a white sheet.
func newCanvas(width, height, s float64) *canvas {
	m := image.NewRGBA(image.Rect(0, 0, int(math.Round(width*s)), int(math.Round(height*s))))
	draw.Draw(m, m.Rect, image.NewUniform(sheetColour), image.Point{}, draw.Src)
	return &canvas{img: m, s: s, ras: vector.NewRasterizer(1, 1), faces: map[faceKey]font.Face{}}
}

// within is the canvas cut to a part that begins at its corner.
func (c *canvas) within(r image.Rectangle) *canvas {
	part := *c
	part.img = c.img.SubImage(r).(*image.RGBA)
	return &part
}

type (
	vec = drawing.Point
	box = drawing.Box
)

// polygon is closed; shape is several of them, and may overlap itself.
type (
	polygon = drawing.Path
	shape   []polygon
)

// add appends a polygon in the one sense of rotation: overlapping parts of opposite sense
// would cancel in the rasterizer.
func (s *shape) add(p polygon) {
	area := 0.0
	for i := range p {
		j := (i + 1) % len(p)
		area += p[i].X*p[j].Y - p[j].X*p[i].Y
	}
	if area < 0 {
		q := make(polygon, len(p))
		for i := range p {
			q[len(p)-1-i] = p[i]
		}
		p = q
	}
	*s = append(*s, p)
}

// line adds a straight stroke with square ends.
func (s *shape) line(a, b vec, width float64) {
	n := b.Sub(a).Unit().Turned().Mul(width / 2)
	s.add(polygon{a.Add(n), b.Add(n), b.Sub(n), a.Sub(n)})
}

// curve adds a stroke through points, round at its bends; closed comes back to the first.
func (s *shape) curve(pts []vec, width float64, closed bool) {
	for i := range pts {
		if i+1 == len(pts) && !closed {
			break
		}
		s.line(pts[i], pts[(i+1)%len(pts)], width)
	}
	for i, p := range pts {
		if closed || i > 0 && i+1 < len(pts) {
			s.disc(p, width/2)
		}
	}
}

func (s *shape) disc(c vec, r float64) { s.add(arc(c, r, 0, 2*math.Pi)) }

func (s *shape) box(b box) { s.add(b.Corners()) }

// arc gives points of a circle from one angle to another, radians, clockwise as seen.
func arc(c vec, r, from, to float64) polygon {
	n := max(8, int(math.Ceil(math.Abs(to-from)/(2*math.Pi)*48)))
	p := make(polygon, n)
	last := float64(n - 1)
	if to-from >= 2*math.Pi {
		last = float64(n) // the last point would be the first
	}
	for i := range p {
		a := from + (to-from)*float64(i)/last
		p[i] = vec{X: c.X + r*math.Cos(a), Y: c.Y + r*math.Sin(a)}
	}
	return p
}

// fill paints a shape with a colour.
func (c *canvas) fill(s shape, col color.Color) {
	lo, hi := vec{X: math.Inf(1), Y: math.Inf(1)}, vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range s {
		for _, v := range p {
			lo = vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y)}
			hi = vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y)}
		}
	}
	if !(lo.X <= hi.X && lo.Y <= hi.Y) {
		return
	}
	r := image.Rect(int(math.Floor(lo.X*c.s)), int(math.Floor(lo.Y*c.s)), int(math.Ceil(hi.X*c.s))+1, int(math.Ceil(hi.Y*c.s))+1).
		Intersect(c.img.Rect)
	if r.Empty() {
		return
	}
	c.ras.Reset(r.Dx(), r.Dy())
	at := func(v vec) (float32, float32) {
		return float32(v.X*c.s - float64(r.Min.X)), float32(v.Y*c.s - float64(r.Min.Y))
	}
	for _, p := range s {
		c.ras.MoveTo(at(p[0]))
		for _, v := range p[1:] {
			c.ras.LineTo(at(v))
		}
		c.ras.ClosePath()
	}
	c.ras.Draw(c.img, r, image.NewUniform(col), image.Point{})
}

// The typefaces, parsed once: they are compiled in and always parse.
var regular, bold = mustParse(goregular.TTF), mustParse(gobold.TTF)

func mustParse(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("annotate: a typeface that is compiled in does not parse: " + err.Error())
	}
	return f
}

func (c *canvas) face(k faceKey) font.Face {
	if f, ok := c.faces[k]; ok {
		return f
	}
	f := newFace(k, c.s)
	c.faces[k] = f
	return f
}

func newFace(k faceKey, s float64) font.Face {
	from := regular
	if k.bold {
		from = bold
	}
	// At 72 dots an inch a point is a pixel.
	f, err := opentype.NewFace(from, &opentype.FaceOptions{Size: k.size * s, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("annotate: making a typeface: " + err.Error())
	}
	return f
}

// text writes s with its baseline's left end at p and gives where the baseline ends.
func (c *canvas) text(p vec, s string, k faceKey, col color.Color) vec {
	d := font.Drawer{Dst: c.img, Src: image.NewUniform(col), Face: c.face(k),
		Dot: fixed.Point26_6{X: fixed.Int26_6(math.Round(p.X * c.s * 64)), Y: fixed.Int26_6(math.Round(p.Y * c.s * 64))}}
	d.DrawString(strings.ReplaceAll(s, "\u00a0", " "))
	return vec{X: float64(d.Dot.X) / 64 / c.s, Y: p.Y}
}

// ruler measures texts where there is no canvas yet; widths grow in proportion to the size. A
// face may not be used from two goroutines at once.
var (
	ruler     = map[bool]font.Face{false: newFace(faceKey{false, 100}, 1), true: newFace(faceKey{true, 100}, 1)}
	rulerLock sync.Mutex
)

// textWidth is a text's width in CSS px.
func textWidth(s string, k faceKey) float64 {
	rulerLock.Lock()
	defer rulerLock.Unlock()
	return float64(font.MeasureString(ruler[k.bold], strings.ReplaceAll(s, "\u00a0", " "))) / 64 * k.size / 100
}

// capHeight is the height of figures over the baseline as a fraction of the size (Go's typefaces:
// 1466 of 2048 units).
const capHeight = 0.716
